"""Figures of a thrust curve, worked by hand from the trade's definitions."""

import pytest

from service.flight.thrust import (
    average_thrust_n,
    burn_time_s,
    impulse_fraction,
    specific_impulse_s,
    thrust_at_pressure_n,
    thrust_curve,
    total_impulse_ns,
)

CURVE = thrust_curve([0, 0.05, 0.2, 0.5, 1.2, 1.6, 1.75], [0, 30, 45, 35, 28, 24, 0])


def test_impulse_and_burn():
    # trapezoids, closed form; burn time between 5 % of peak as NFPA 1125 has it (from memory, not re-read)
    assert total_impulse_ns(CURVE) == pytest.approx(52.625, abs=1e-9)
    assert burn_time_s(CURVE) == pytest.approx(1.73219, abs=5e-6)
    assert average_thrust_n(CURVE) == pytest.approx(30.3691, abs=5e-5)


def test_specific_impulse():
    assert specific_impulse_s(CURVE, 0.030) == pytest.approx(178.875, abs=5e-4)


def test_propellant_left_at_800_milliseconds():
    # mass flow in proportion to thrust
    assert 0.030 * (1.0 - impulse_fraction(CURVE, 0.8)) == pytest.approx(0.0137957, abs=5e-8)


def test_thrust_in_thin_air():
    # (p_test - p) A_e: 45 N at sea level is 48.759 N at 700 hPa through 1.2 cm²
    assert thrust_at_pressure_n(45.0, 101_325.0, 70_000.0, 0.00012) == pytest.approx(48.759, abs=5e-4)
