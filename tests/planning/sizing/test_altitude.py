"""The greatest altitude of a class: flown and inside, with the next step not; the motor scaled as it says."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
import shapely

from service.models.conditions import WindLevel
from service.models.designation import class_bounds_ns
from service.planning.sizing.altitude import AltitudeSearch, scaled_motor
from service.planning.sizing.flights import fly
from service.planning.sizing.profiles import Profile
from service.planning.sizing.season_cloud import turned
from service.planning.sizing.shares import WindCells
from tests.planning.advise.few_flights import demo
from tests.planning.sizing.seasons import few, ground

SAMPLES = 64
FROM_DEG, WIND_MPS = 200.0, 4.0
PROFILE = Profile(WIND_MPS, 0, (WindLevel(height_m=10.0, speed_mps=WIND_MPS, from_deg=0.0),))
WINDS = WindCells(np.array([0]), np.array([FROM_DEG]), np.array([1.0]))


def search(most_outside: float, boundary=None, rocket: int = 2, check=lambda: None) -> AltitudeSearch:
    return AltitudeSearch(
        demo(), few().rockets[rocket], (PROFILE,), WINDS, boundary or ground().boundary, most_outside, SAMPLES, check
    )


@cache
def circle() -> shapely.Polygon:
    """A field that the middle of the G class just stays inside of: the 90th percentile of its landings."""
    rocket = few().rockets[2]
    flown = fly(demo(), rocket, PROFILE, SAMPLES, scaled_motor(rocket.motor, 120.0 / rocket.impulse_ns))
    reach_m = float(np.quantile(np.hypot(*flown.landings["planned"].T), 0.9))
    return shapely.Point(rocket.pad_at).buffer(reach_m, quad_segs=64)


def outside_share(impulse_ns: float) -> float:
    """Flown and counted again, without the search."""
    rocket = few().rockets[2]
    flown = fly(demo(), rocket, PROFILE, SAMPLES, scaled_motor(rocket.motor, impulse_ns / rocket.impulse_ns))
    points = shapely.points(turned(flown.landings["planned"], FROM_DEG) + rocket.pad_at)
    return 1.0 - float(shapely.contains(circle(), points).mean())


def test_what_it_finds_stays_inside_and_a_step_more_does_not():
    found = search(0.1, circle()).greatest()
    low_ns, high_ns = class_bounds_ns("G")
    step_ns = (high_ns - 0.51 * high_ns) / 16  # four halvings of the class
    assert found.bound == "inside" and low_ns < found.impulse_ns < high_ns
    assert outside_share(found.impulse_ns) <= 0.1 < outside_share(found.impulse_ns + 1.05 * step_ns)
    assert found.impulse_ns == pytest.approx(120.0, abs=2.0 * step_ns)
    nominal = fly(demo(), few().rockets[2], PROFILE, SAMPLES,
                  scaled_motor(few().rockets[2].motor, found.impulse_ns / few().rockets[2].impulse_ns))  # fmt: skip
    assert found.apogee_m == nominal.apogee_m


def test_a_field_as_large_as_can_be_holds_the_whole_class():
    found = search(0.0, shapely.box(-50_000.0, -50_000.0, 50_000.0, 50_000.0)).greatest()
    assert found.bound == "whole_class" and found.impulse_ns == class_bounds_ns("G")[1] and found.apogee_m > 300.0


def test_a_field_as_small_as_a_garden_holds_nothing_of_it():
    found = search(0.01, shapely.Point(few().rockets[2].pad_at).buffer(10.0)).greatest()
    assert found.bound == "none" and found.apogee_m is None and "least impulse" in found.words


def test_the_scaled_motor_burns_as_long_and_carries_its_propellant():
    motor = few().rockets[2].motor
    half = scaled_motor(motor, 0.5)
    assert half.impulse_ns == pytest.approx(0.5 * motor.impulse_ns) and half.burn_time_s == motor.burn_time_s
    assert half.propellant_mass_kg == pytest.approx(0.5 * motor.propellant_mass_kg)
    spent = motor.loaded_mass_kg - motor.propellant_mass_kg
    assert half.loaded_mass_kg - half.propellant_mass_kg == pytest.approx(spent)


def test_it_asks_before_each_flight():
    class Stopped(Exception):
        pass

    def check() -> None:
        raise Stopped

    with pytest.raises(Stopped):
        search(0.1, check=check).greatest()
