"""Friction, base, edges and the whole build-up against handbook lines and a build-up worked by hand."""

import math

import numpy as np
import pytest

from service.flight.airframe import Airframe, FinSet, Nose
from service.flight.atmosphere import standard_air
from service.flight.coefficients import base_pressure_drag, hoerner_base_drag, stagnation_ratio
from service.flight.drag import drag_breakdown, rounded_edge_drag, slenderness_factor
from service.flight.friction import (
    critical_reynolds,
    laminar_friction,
    mean_friction,
    rough_friction,
    turbulent_friction,
)
from tests.reference.printed import half_a_digit, printed_table

LINES = printed_table("friction_lines.csv")


@pytest.mark.parametrize("row", LINES, ids=lambda row: f"Re {row['reynolds']}")
def test_friction_lines(row):
    reynolds = float(row["reynolds"])
    for printed, found in (
        (row["blasius"], laminar_friction(reynolds)),
        (row["hoerner_fit"], turbulent_friction(reynolds)),
    ):
        assert found == pytest.approx(float(printed), abs=half_a_digit(printed) * 1.001)
    assert turbulent_friction(reynolds) == pytest.approx(float(row["prandtl_schlichting"]), rel=0.045)
    assert turbulent_friction(reynolds) == pytest.approx(float(row["karman_schoenherr"]), rel=0.02)
    # a ship's line, drawn high on purpose at low Reynolds numbers
    assert turbulent_friction(reynolds) == pytest.approx(float(row["ittc_1957"]), rel=0.08)


def test_transition_of_a_polished_plate():
    # Schlichting, transition at Re 5e5: Prandtl-Schlichting less 1700/Re at 1e6 is 0.00277076
    found = float(mean_friction(1e6, 0.5e-6, 1.0, 0.0))
    assert found == pytest.approx(0.00277076, rel=0.05)
    assert float(mean_friction(1e5, 0.5e-6, 1.0, 0.0)) == pytest.approx(1.328 / math.sqrt(1e5), rel=1e-9)


def test_roughness():
    # Barrowman 1967: k 20 um on 0.56 m, worked by hand
    assert rough_friction(2e-5, 0.56) == pytest.approx(0.0041278, abs=5e-8)
    assert critical_reynolds(2e-5, 0.56) == pytest.approx(2_128_960, abs=10)
    assert float(mean_friction(1e9, 2e-5, 0.56, 0.0)) == pytest.approx(0.0041278, abs=5e-8)


def test_roughness_against_the_fully_rough_plate_of_prandtl_and_schlichting():
    # Schlichting, Boundary-Layer Theory: fully rough plate, Cf = (1.89 + 1.62 lg(L/k))^-2.5 (from memory, not re-read)
    for ratio in (1e-5, 3e-5, 1e-4, 3e-4):
        assert rough_friction(ratio, 1.0) == pytest.approx((1.89 - 1.62 * math.log10(ratio)) ** -2.5, rel=0.12)


def test_form_factors():
    # fineness 16.47: 1.03036 by the 1967 thesis, 1.02401 by Hoerner; worked by hand
    ratio = 16.47058823529412
    assert slenderness_factor(ratio, 1.0) == pytest.approx(1.03036, abs=5e-6)
    assert slenderness_factor(ratio, 1.0) == pytest.approx(1.02401, rel=0.01)


def test_base():
    # Fleeman's coasting base drag, worked by hand at Mach 0.3, 0.9, 1, 1.5, 2
    found = base_pressure_drag(np.array([0.3, 0.9, 1.0, 1.5, 2.0]))
    assert found == pytest.approx([0.1317, 0.2253, 0.25, 0.16667, 0.125], abs=5e-6)
    # Hoerner's from a forebody drag of 0.20: 0.06485
    assert hoerner_base_drag(0.2) == pytest.approx(0.06485, abs=5e-6)


def test_stagnation_pressure():
    mach = np.array([0.3, 0.8, 1.5])
    assert stagnation_ratio(mach) == pytest.approx([1.0227, 1.17024, 1.53809], abs=5e-6)
    # exact: isentropic below Mach 1, Rayleigh pitot above (NACA Report 1135, equations 44 and 100)
    for m in (0.2, 0.5, 0.8, 1.2, 1.5, 2.0, 3.0):
        if m < 1.0:
            ratio = (1.0 + 0.2 * m**2) ** 3.5
        else:
            ratio = (1.2 * m**2) ** 3.5 * (6.0 / (7.0 * m**2 - 1.0)) ** 2.5
        assert float(stagnation_ratio(m)) == pytest.approx((ratio - 1.0) / (0.7 * m**2), rel=0.006), m


def test_the_round_edge_is_continuous():
    # Barrowman 1967: three formulas that should meet at Mach 0.9 and 1
    for at in (0.9, 1.0):
        assert float(rounded_edge_drag(at - 1e-9)) == pytest.approx(float(rounded_edge_drag(at)), abs=0.002)


# A build-up worked by hand at Mach 0.3 at sea level: 34 mm airframe, 20 um finish, three square-edged 3 mm fins,
# 24 mm motor. Thesis and handbook constants (from memory, not re-read); not an experiment.
@pytest.mark.parametrize(("burning", "base", "whole"), [(False, 0.1317, 0.85399), (True, 0.066078, 0.78837)])
def test_a_build_up_worked_by_hand(burning, base, whole):
    fins = FinSet(3, 0.060, 0.035, 0.045, 0.025, 0.003, "square", 0.495)
    airframe = Airframe(0.56, 0.034, Nose("ogive", 0.102), 20.0, (), (fins,))
    air = standard_air()
    assert 0.3 * air.sound_mps[0] * air.density_kgm3[0] * 0.56 / air.viscosity_pas[0] == pytest.approx(
        3.9138e6, rel=1e-4
    )
    parts = drag_breakdown(airframe, 0.3, air, 0.024, 1, burning)
    for name, printed in (
        ("body friction", 0.26138),
        ("fin friction", 0.10585),
        ("base", base),
        ("fin leading edges", 0.29632),
        ("fin trailing edges", 0.058748),
        ("nose", 0.0),
    ):
        assert float(parts[name][0]) == pytest.approx(printed, abs=1e-5), name
    assert float(sum(parts.values())[0]) == pytest.approx(whole, abs=2e-5)


def test_typical_airframes_have_typical_drag():
    # Sanity ranges of the handbooks (from memory): rounded fins and paint 0.40 to 0.75 subsonic; the transonic peak
    # 1.3 to 2.2 times that; falling past Mach 1.5
    fins = FinSet(4, 0.12, 0.06, 0.075, 0.05, 0.003, "rounded", 1.18)
    airframe = Airframe(1.3, 0.076, Nose("ogive", 0.3), 30.0, (), (fins,))
    mach = np.array([0.3, 1.15, 2.5])
    slow, peak, fast = np.sum(list(drag_breakdown(airframe, mach, standard_air()).values()), axis=0)
    assert 0.40 < slow < 0.75
    assert 1.3 < peak / slow < 2.2
    assert fast < peak
