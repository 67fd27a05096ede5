"""Wind profiles, interpolation and gusts against worked figures and published tables."""

import math

import numpy as np
import pytest

from service.flight import gusts
from service.flight.tables import level_heights_m
from service.flight.wind import (
    TERRAIN,
    components_mps,
    equivalent_exponent,
    log_law_ratio,
    power_law_ratio,
    speed_and_from,
    wind_from_layers,
)

KNOT_MPS = 1852.0 / 3600.0
FOOT_M = 0.3048
MEDIUM = np.radians([220.0])


@pytest.mark.parametrize(
    ("from_deg", "east", "north"),
    [(270.0, 10.0, 0.0), (360.0, 0.0, -10.0), (225.0, 7.071068, 7.071068), (30.0, -5.0, -8.660254)],
)
def test_components(from_deg, east, north):
    # meteorological convention, WMO-No. 8
    found = components_mps(10.0, math.radians(from_deg))
    assert [float(part) for part in found] == pytest.approx([east, north], abs=1e-6)


def test_power_and_log_law():
    # closed forms, 100 m over 10 m
    assert float(power_law_ratio(100.0, 10.0, 1.0 / 7.0)) == pytest.approx(1.389495, abs=5e-7)
    assert float(log_law_ratio(100.0, 10.0, 0.03)) == pytest.approx(1.396373, abs=5e-7)


def test_a_hand_meter_at_2_metres_read_at_10():
    wind = wind_from_layers([2.0], [4.0], MEDIUM, roughness_m=0.03)
    speed = np.hypot(wind.east_mps, wind.north_mps)
    assert float(np.interp(10.0, level_heights_m(), speed)) == pytest.approx(5.53291, rel=0.001)
    assert 4.0 * float(log_law_ratio(10.0, 2.0, 0.03)) == pytest.approx(5.53291, abs=5e-6)


# Davenport classes as revised by Wieringa; z0 from a WMO code table and a textbook, exponents worked from the log law
@pytest.mark.parametrize(
    ("terrain", "roughness_m", "exponent"),
    [
        ("sea", 0.0002, 0.084),
        ("bare", 0.005, 0.115),
        ("open_grass", 0.03, 0.145),
        ("low_crops", 0.10, 0.176),
        ("tall_crops", 0.25, 0.211),
        ("bushes", 0.5, 0.248),
        ("forest", 1.0, 0.301),
        ("town", 2.0, 0.386),
    ],
)
def test_terrain(terrain, roughness_m, exponent):
    assert TERRAIN[terrain] == roughness_m
    assert equivalent_exponent(roughness_m) == pytest.approx(exponent, abs=6e-4)


def test_winds_aloft_are_interpolated_as_vectors():
    # 3000 ft 350/10 and 6000 ft 010/20 kt at 4500 ft: 3.3637 degrees, 14.7976 kt; closed form
    wind = wind_from_layers(
        [3000 * FOOT_M, 6000 * FOOT_M], [10 * KNOT_MPS, 20 * KNOT_MPS], np.radians([350.0, 10.0]), roughness_m=0.03
    )
    at = [float(np.interp(4500 * FOOT_M, level_heights_m(), part)) for part in (wind.east_mps, wind.north_mps)]
    speed, origin = speed_and_from(*at)
    assert float(speed) / KNOT_MPS == pytest.approx(14.7976, abs=5e-5)
    assert math.degrees(float(origin)) == pytest.approx(3.3637, abs=5e-4)


# MIL-F-8785C low-altitude model at 100 ft, wind at 20 ft of 15 and 30 kt; formulas read, values worked
@pytest.mark.parametrize(("knots", "sigma_w", "sigma_u"), [(15.0, 0.7717, 1.3241), (30.0, 1.5433, 2.6481)])
def test_turbulence_at_100_feet(knots, sigma_w, sigma_u):
    found = gusts.turbulence(100 * FOOT_M, knots * KNOT_MPS)
    assert found.sigma_w_mps == pytest.approx(sigma_w, abs=5e-5)
    assert found.sigma_u_mps == pytest.approx(sigma_u, abs=5e-5)
    assert found.length_u_m / FOOT_M == pytest.approx(505.17, abs=0.005)
    assert found.length_w_m / FOOT_M == pytest.approx(100.0, abs=1e-9)


def test_turbulence_at_1000_feet_is_the_same_in_every_direction():
    # identity of the same model: 0.177 + 0.000823 x 1000 = 1
    found = gusts.turbulence(1000 * FOOT_M, 15 * KNOT_MPS)
    assert found.length_u_m / FOOT_M == pytest.approx(1000.0, abs=1e-6)
    assert found.sigma_u_mps / found.sigma_w_mps == pytest.approx(1.0, abs=1e-9)


def test_correlation_of_neighbouring_gusts():
    # exact first-order discretisation, exp(-V dt / L)
    assert gusts.lag_one_correlation(50.0, 153.95, 0.02) == pytest.approx(0.99352544, abs=5e-9)


def test_gust_factors():
    # WMO/TD-No. 1555, Table 1.1, as printed; read in a transcription
    assert list(gusts.GUST_FACTOR_3S.values()) == [1.23, 1.38, 1.52, 1.66]
    assert list(gusts.GUST_FACTOR_60S.values()) == [1.05, 1.11, 1.16, 1.21]
