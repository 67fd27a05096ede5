"""What the air refuses, and laws it keeps on any day."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.flight import atmosphere, gravity, humidity
from service.flight.errors import OutsideModel

GAS_CONSTANT = 287.0529


@pytest.mark.parametrize("height_m", [-1001.0, 47_001.0, math.nan, math.inf])
def test_heights_outside_the_standard_are_refused(height_m):
    with pytest.raises(OutsideModel, match=r"height_msl_m is .* m; the model holds from -1000 to 47000 m"):
        atmosphere.standard_state(height_m)


@pytest.mark.parametrize("edge_m", [11_019.06, 20_063.1, 32_161.9])
def test_the_layers_join(edge_m):
    below, above = atmosphere.standard_state(edge_m - 0.5), atmosphere.standard_state(edge_m + 0.5)
    assert below.pressure_pa > above.pressure_pa
    assert below.pressure_pa == pytest.approx(above.pressure_pa, rel=2e-4)
    assert below.temperature_k == pytest.approx(above.temperature_k, abs=0.01)


@pytest.mark.parametrize(
    ("change", "text"),
    [
        ({"temperature_k": 18.0}, "temperature_k is 18 K"),  # Celsius by mistake
        ({"temperature_k": math.nan}, "temperature_k is nan K"),
        ({"pressure_pa": 978.0}, "pressure_pa is 978 Pa"),  # hectopascals by mistake
        ({"pressure_pa": math.inf}, "pressure_pa is inf Pa"),
        ({"elevation_m": 9000.0}, "elevation_m is 9000 m"),
        ({"relative_humidity": 50.0}, "relative_humidity is 50"),  # per cent by mistake
        ({"relative_humidity": math.nan}, "relative_humidity is nan"),
        ({"sounding": [(0.0, 290.0), (0.0, 280.0)]}, r"sounding heights\[1\] is 0 after 0"),
        ({"sounding": [(-5.0, 290.0), (100.0, 280.0)]}, "sounding heights run -5 to 100 m"),
        ({"sounding": [(0.0, 290.0), (500.0, math.nan)]}, r"sounding temperatures\[1\] is nan"),
        ({"sounding": [(0.0, 290.0), (500.0, 12.0)]}, "sounding temperature is 12 K"),
    ],
)
def test_a_day_that_cannot_be_is_refused(change, text):
    day = {"elevation_m": 310.0, "temperature_k": 291.0, "pressure_pa": 97_800.0} | change
    with pytest.raises(OutsideModel, match=text):
        atmosphere.launch_day_air(**day)


@settings(max_examples=40, deadline=None)
@given(
    st.floats(-400.0, 5000.0), st.floats(240.0, 320.0), st.floats(50_000.0, 105_000.0), st.none() | st.floats(0.0, 1.0)
)
def test_any_day_is_hydrostatic_and_finite(elevation_m, temperature_k, pressure_pa, relative_humidity):
    day = atmosphere.launch_day_profile(elevation_m, temperature_k, pressure_pa, relative_humidity)
    air = atmosphere.launch_day_air(elevation_m, temperature_k, pressure_pa, relative_humidity)
    for column in (air.density_kgm3, air.sound_mps, air.viscosity_pas):
        assert column.shape == (801,)
        assert np.isfinite(column).all() and (column > 0.0).all()
    # dp = -rho g dz in the standard's geopotential height, by trapezoids of the density it gave
    heights = atmosphere.geopotential_m(day.height_m + elevation_m)
    weight = np.diff(heights) * 9.80665 * 0.5 * (air.density_kgm3[1:] + air.density_kgm3[:-1])
    assert -np.diff(day.pressure_pa) == pytest.approx(weight, rel=5e-4)
    assert day.pressure_pa[0] == pytest.approx(pressure_pa, rel=1e-12)


def test_an_even_warm_sounding_gives_the_barometric_law():
    # isothermal air: p = p0 exp(-g H / R T), closed form
    day = atmosphere.launch_day_profile(0.0, 280.0, 101_325.0, sounding=[(0.0, 280.0), (5000.0, 280.0)])
    at = int(np.searchsorted(day.height_m, 4000.0))
    heights = atmosphere.geopotential_m(day.height_m)
    assert day.pressure_pa[at] == pytest.approx(101_325.0 * math.exp(-9.80665 * heights[at] / (GAS_CONSTANT * 280.0)))


def test_a_sounding_that_starts_aloft_is_joined_to_the_station():
    day = atmosphere.launch_day_profile(0.0, 290.0, 101_325.0, sounding=[(1000.0, 280.0)])
    assert float(np.interp(500.0, day.height_m, day.temperature_k)) == pytest.approx(285.0, abs=0.01)
    step = np.diff(day.temperature_k)
    assert abs(step).max() < 1.0  # no jump where the sounding ends


def test_damp_air_is_lighter():
    dry = atmosphere.launch_day_air(0.0, 303.0, 101_325.0)
    damp = atmosphere.launch_day_air(0.0, 303.0, 101_325.0, 0.9)
    assert 0.98 < damp.density_kgm3[0] / dry.density_kgm3[0] < 0.99
    assert damp.sound_mps[0] > dry.sound_mps[0]
    assert damp.density_kgm3[0] == pytest.approx(
        humidity.moist_density_kgm3(303.0, 101_325.0, humidity.vapour_pressure_pa(303.0, 0.9)), rel=1e-12
    )


def test_zero_humidity_is_dry_air():
    dry = atmosphere.launch_day_air(200.0, 290.0, 99_000.0)
    zero = atmosphere.launch_day_air(200.0, 290.0, 99_000.0, 0.0)
    assert (dry.density_kgm3 == zero.density_kgm3).all()


def test_a_sea_level_pressure_given_for_a_high_field_is_noticed():
    assert atmosphere.reads_like_sea_level(1655.0, 101_900.0)
    assert not atmosphere.reads_like_sea_level(1655.0, 83_475.0)
    assert not atmosphere.reads_like_sea_level(50.0, 101_300.0)  # too low a field to tell


def test_constant_air_is_constant_and_checked():
    air = atmosphere.constant_air(1.2, 340.0)
    assert (air.density_kgm3 == 1.2).all() and (air.sound_mps == 340.0).all()
    with pytest.raises(OutsideModel, match="density_kgm3 is 0"):
        atmosphere.constant_air(0.0, 340.0)


def test_gravity_falls_with_height_and_refuses_degrees():
    at = math.radians(45.0)
    assert gravity.normal_gravity_mps2(at, 3000.0) < gravity.normal_gravity_mps2(at)
    with pytest.raises(OutsideModel, match="latitude_rad is 45 rad"):
        gravity.normal_gravity_mps2(45.0)
    with pytest.raises(OutsideModel):
        gravity.normal_gravity_mps2(math.nan)
