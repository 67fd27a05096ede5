"""Wave drag of noses against exact conical flow and slender-body theory."""

import math

import numpy as np
import pytest

from service.flight.airframe import Nose
from service.flight.nose import cone_wave_drag, nose_outline, nose_pressure_drag, slender_wave_drag
from tests.reference.cone_flow import cone_flow


# NACA Report 1135 charts the same flow; these digits were solved from the Taylor-Maccoll equation elsewhere.
@pytest.mark.parametrize(
    ("mach", "half_angle_deg", "pressure", "shock_deg"),
    [
        (1.5, 10.0, 0.12382, 42.666),
        (2.0, 10.0, 0.10447, 31.206),
        (3.0, 10.0, 0.08748, 21.715),
        (2.0, 20.0, 0.32555, 37.796),
    ],
)
def test_the_exact_flow_is_solved_right(mach, half_angle_deg, pressure, shock_deg):
    found, shock = cone_flow(mach, half_angle_deg)
    assert found == pytest.approx(pressure, abs=1e-5)
    assert shock == pytest.approx(shock_deg, abs=1e-3)


@pytest.mark.parametrize("mach", [1.2, 1.5, 2.0, 2.5, 3.0])
@pytest.mark.parametrize("half_angle_deg", [5.0, 7.5, 10.0, 15.0])
def test_the_fit_stays_within_its_band_of_the_exact_flow(mach, half_angle_deg):
    exact, _ = cone_flow(mach, half_angle_deg)
    fit = float(cone_wave_drag(mach, 0.5 / math.tan(math.radians(half_angle_deg))))
    assert -0.04 < fit / exact - 1.0 < 0.08


def test_the_fit_at_a_worked_point():
    # Fleeman, Tactical Missile Design, formula from memory; 10 degrees at Mach 2, worked by hand
    assert cone_wave_drag(2.0, 2.8356409098088546) == pytest.approx(0.10715, abs=5e-6)


def test_a_cone_flies_on_the_fit_above_the_transonic_rise():
    nose = Nose("cone", 0.5 / math.tan(math.radians(10.0)))
    exact, _ = cone_flow(2.0, 10.0)
    assert float(nose_pressure_drag(nose, 1.0, np.array([2.0]))[0]) == pytest.approx(exact, rel=0.03)


def _slender_drag(nose: Nose) -> float:
    """von Karman's double integral by its Fourier series: D/q = (pi/4) sum n A_n², S' = sum A_n sin(n theta)."""
    x, r = nose_outline(nose, 1.0)
    theta = np.linspace(0.0, math.pi, x.size)
    area = math.pi * r**2
    # dS/dx = (dS/dtheta) / (L/2 sin theta); A_n = (2/pi) integral of S' sin(n theta)
    change = np.gradient(area, theta, edge_order=2)
    sine = np.sin(theta)
    slope = np.divide(change, 0.5 * nose.length_m * sine, out=np.zeros_like(change), where=sine > 1e-9)
    orders = np.arange(1, 60)
    parts = np.array([2.0 / math.pi * np.trapezoid(slope * np.sin(n * theta), theta) for n in orders])
    return float(math.pi / 4.0 * np.sum(orders * parts**2) / area[-1])


@pytest.mark.parametrize(
    "nose",
    [
        Nose("haack", 5.0, 0.0),
        Nose("haack", 4.0, 1.0 / 3.0),
        Nose("parabolic", 5.0, 1.0),
        Nose("ogive", 5.0),
    ],
    ids=lambda nose: f"{nose.shape} {nose.parameter}",
)
def test_slender_noses_have_the_drag_of_slender_body_theory(nose):
    assert slender_wave_drag(nose, 1.0) == pytest.approx(_slender_drag(nose), rel=0.005)


def test_von_karmans_least():
    # von Karman's minimum, (d/L)², closed form
    assert slender_wave_drag(Nose("haack", 5.0, 0.0), 1.0) == pytest.approx(0.04, abs=1e-12)
