"""Descent and opening loads against worked figures, and canopy coefficients against the handbook's table."""

import math

import pytest
from scipy.integrate import solve_ivp

from service.flight.recovery import (
    CANOPIES,
    DRAG,
    ballistic_parameter,
    canopy_diameter_m,
    descent_speed_mps,
    inflation_time_s,
    opening_load,
    opening_load_bound_n,
)

DRAG_AREA_M2 = 0.75 * math.pi * 1.2**2 / 4.0

# Knacke, Parachute Recovery Systems Design Manual, NWC TP 6575, Table 5-1: drag coefficient on the nominal area
# (from memory, not re-read; flat, hemispherical and cruciform also read second hand in a classroom parachute guide)
KNACKE = {
    "flat_circular": (0.75, 0.80),
    "conical": (0.75, 0.90),
    "hemispherical": (0.62, 0.77),
    "annular": (0.85, 0.95),
    "cruciform": (0.60, 0.85),
}


@pytest.mark.parametrize("name", KNACKE)
def test_canopy_coefficients(name):
    assert (CANOPIES[name].low, CANOPIES[name].high) == KNACKE[name]


def test_the_default_round_canopy_lies_in_the_handbooks_range():
    low, high = KNACKE["flat_circular"]
    assert low <= DRAG["parachute"].default <= high


def test_descent_speeds():
    # v = sqrt(2 m g / (rho Cd S)), worked by hand; density of the 1976 standard atmosphere
    assert descent_speed_mps(1.5, 0.75 * math.pi * 0.914**2 / 4.0, 1200.0) == pytest.approx(7.4061, abs=5e-5)
    assert descent_speed_mps(1.5, 0.75 * math.pi * 0.914**2 / 4.0) == pytest.approx(6.98604, abs=5e-6)


def test_canopy_for_a_descent_speed():
    assert canopy_diameter_m(2.0, 5.0) == pytest.approx(1.47461, abs=5e-6)


def test_opening():
    # Knacke's relations (from memory, not re-read), worked by hand
    assert inflation_time_s(1.2, 25.0) == pytest.approx(0.384, abs=1e-12)
    assert opening_load_bound_n(DRAG_AREA_M2, 25.0, 1.1, 1.7) == pytest.approx(495.684, abs=5e-4)
    assert ballistic_parameter(3.0, DRAG_AREA_M2, 25.0, 0.384, 1.1) == pytest.approx(0.6698, abs=5e-5)


def test_opening_on_a_finite_mass():
    found = opening_load(3.0, DRAG_AREA_M2, 25.0, 0.384, 1.1)
    # the same equation by an eighth-order integrator elsewhere
    assert found.peak_n == pytest.approx(164.72, abs=0.005)
    assert found.peak_time_s == pytest.approx(0.384, abs=1e-9)
    assert found.end_speed_mps == pytest.approx(18.7904, abs=5e-5)

    def rates(time_s, state):
        return [9.80665 - 0.5 * 1.1 * DRAG_AREA_M2 * (time_s / 0.384) ** 2 * state[0] ** 2 / 3.0]

    path = solve_ivp(rates, (0.0, 0.384), [25.0], method="DOP853", rtol=1e-10, atol=1e-12)
    assert found.end_speed_mps == pytest.approx(path.y[0, -1], abs=1e-7)
