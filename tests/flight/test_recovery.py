"""Recovery devices: drag areas, what is refused, what has to hold."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.flight import recovery
from service.flight.errors import OutsideModel


def test_drag_areas():
    assert recovery.drag_area_m2("parachute", diameter_m=0.45) == pytest.approx(0.75 * math.pi * 0.45**2 / 4.0)
    assert recovery.drag_area_m2("streamer", length_m=1.0, width_m=0.1, drag_coefficient=0.25) == pytest.approx(0.025)
    assert recovery.drag_area_m2("helicopter", diameter_m=0.5) == pytest.approx(math.pi * 0.25 / 4.0)
    assert recovery.drag_area_m2("tumble", side_area_m2=0.04) == pytest.approx(0.028)
    assert recovery.drag_area_m2("none") == 0.0


@given(st.floats(0.02, 50.0), st.floats(2.0, 40.0))
def test_a_stated_descent_speed_comes_back(mass_kg, speed_mps):
    area = recovery.drag_area_m2("glide", descent_speed_mps=speed_mps, mass_kg=mass_kg)
    assert recovery.descent_speed_mps(mass_kg, area, 0.0) == pytest.approx(speed_mps, rel=1e-5)
    diameter = recovery.canopy_diameter_m(mass_kg, speed_mps)
    assert recovery.drag_area_m2("parachute", diameter_m=diameter) == pytest.approx(area)


@pytest.mark.parametrize(
    ("kind", "more", "text"),
    [
        ("balloon", {}, "recovery kind is 'balloon'; one of parachute, streamer, helicopter, tumble, glide, none"),
        ("parachute", {}, "a parachute needs its diameter_m"),
        ("parachute", {"diameter_m": math.nan}, "diameter_m is nan m"),
        ("parachute", {"diameter_m": 1.0, "drag_coefficient": math.nan}, "drag_coefficient is nan"),
        ("parachute", {"diameter_m": 1.0, "drag_coefficient": 0.0}, "drag_coefficient is 0"),
        ("streamer", {"length_m": 1.0}, "a streamer needs its width_m"),
        ("tumble", {}, "a tumble needs its side_area_m2"),
        ("glide", {}, "a glide needs its descent_speed_mps"),
        ("glide", {"descent_speed_mps": 5.0}, "a glide needs its mass_kg"),
        ("glide", {"descent_speed_mps": math.inf, "mass_kg": 1.0}, "speed_mps is inf"),
    ],
)
def test_devices_that_cannot_be_are_refused(kind, more, text):
    with pytest.raises(OutsideModel, match=text):
        recovery.drag_area_m2(kind, **more)


@pytest.mark.parametrize(("mass", "area"), [(0.0, 1.0), (1.0, 0.0), (math.nan, 1.0), (1.0, math.nan)])
def test_a_descent_needs_mass_and_drag(mass, area):
    with pytest.raises(OutsideModel, match="both need to be above zero"):
        recovery.descent_speed_mps(mass, area)


def test_more_canopy_falls_slower_and_thin_air_faster():
    assert recovery.descent_speed_mps(1.0, 0.6) < recovery.descent_speed_mps(1.0, 0.5)
    assert recovery.descent_speed_mps(1.0, 0.5, 3000.0) > recovery.descent_speed_mps(1.0, 0.5)


def test_defaults_lie_in_their_ranges_and_name_a_source():
    for row in recovery.DRAG.values():
        assert row.low <= row.default <= row.high and row.source and row.area


@given(st.floats(0.05, 40.0), st.floats(0.02, 8.0), st.floats(2.0, 80.0))
def test_the_load_of_opening_stays_under_its_bound(mass_kg, drag_area_m2, speed_mps):
    diameter = math.sqrt(4.0 * drag_area_m2 / (0.75 * math.pi))
    filling = recovery.inflation_time_s(diameter, speed_mps)
    load = recovery.opening_load(mass_kg, drag_area_m2, speed_mps, filling)
    # gravity may speed the fall while filling: bound at the greatest speed there can be
    fastest = speed_mps + 9.80665 * filling
    assert 0.0 < load.peak_n <= recovery.opening_load_bound_n(drag_area_m2, fastest, opening_coefficient=1.0)
    assert 0.0 < load.peak_time_s <= filling * (1.0 + 1e-9)
    assert math.isfinite(load.end_speed_mps)


def test_opening_refuses_nonsense():
    for change in ({"mass_kg": math.nan}, {"inflation_s": 0.0}, {"growth": 9.0}, {"speed_mps": -1.0}):
        good = {"mass_kg": 3.0, "drag_area_m2": 0.8, "speed_mps": 25.0, "inflation_s": 0.4} | change
        with pytest.raises(OutsideModel):
            recovery.opening_load(**good)
    with pytest.raises(OutsideModel):
        recovery.inflation_time_s(1.0, 0.0)
