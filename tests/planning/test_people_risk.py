"""The risk to people on the small square field: a sum worked out by hand, and what it leaves out said by name."""

from __future__ import annotations

import math

import numpy as np
import pytest

from service.planning.flight_inputs import flight_inputs
from service.planning.footprints import Cloud
from service.planning.ground import ground_of
from service.planning.people_risk import people_risk, yardstick_words
from tests.builders import LAT_DEG, LON_DEG, square
from tests.planning.quick import put, quick_day

SIDE_DEG = 0.0006


def zone(name, kind, north_deg, **more):
    ring = square(SIDE_DEG / 2.0, LON_DEG, LAT_DEG + north_deg)
    return {"name": name, "kind": kind, "geometry": {"type": "Polygon", "coordinates": [ring]}, **more}


CROWD = zone("Crowd", "people", 0.002, people=40)


def reckoned(*zones):
    """Half the landings in the middle of the zone at 0.002 degrees north, straight down; the rest far off."""
    day = quick_day(put("/field/zones", list(zones)))
    ground = ground_of(day)
    inputs = flight_inputs(day, day.entry_by_id("n1"), day.conditions)
    east, north = ground.frame.to_local(LON_DEG, LAT_DEG + 0.002)
    hit = np.arange(64) % 2 == 0
    cloud = Cloud(
        mode="planned", east_m=np.where(hit, east, 0.0), north_m=np.where(hit, north, -400.0),
        replicate=np.arange(64) // 4, landing=None, down_mps=5.0, across_mps=0.0, lost=0,
    )  # fmt: skip
    return ground, inputs, people_risk(ground, [cloud], {"planned": 1.0}, inputs)


def test_the_sum_by_hand():
    """Half of the flights on 40 people spread over the zone; each takes up a disc of 0.3 m about the body's outline."""
    ground, inputs, (risk, why) = reckoned(CROWD)
    length, across, r = inputs.length_m, inputs.diameter_m, 0.3
    struck_m2 = length * across + 2.0 * r * (length + across) + math.pi * r**2
    area_m2 = ground.of_kind("people")[0].area.area
    assert why == "" and risk.individual == pytest.approx(0.5 * struck_m2 / area_m2, rel=1e-9)
    assert risk.collective == pytest.approx(40.0 * risk.individual, rel=1e-9)
    assert risk.collective_high >= risk.collective


LOT = zone("Car park", "parking", -0.002)
BARN = zone("Barn", "building", 0.004)


@pytest.mark.parametrize(
    ("more", "named", "unnamed"),
    [
        ([LOT, BARN], "Car park, Barn", None),
        ([LOT, {**BARN, "occupied": False}], "Car park", "Barn"),
        ([LOT, {**BARN, "people": 0}], "Car park", "Barn"),
        ([{**LOT, "people": 3}, {**BARN, "occupied": True}], "Barn", "Car park"),
    ],
)
def test_cars_and_buildings_without_a_number_are_named_before_all_else(more, named, unnamed):
    _ground, _inputs, (risk, _why) = reckoned(CROWD, *more)
    first = risk.assumptions[0]
    assert first.startswith("NOT COUNTED") and f": {named}. " in first
    assert unnamed is None or unnamed not in first


@pytest.mark.parametrize(
    "more", [[], [{**LOT, "people": 3}], [{**BARN, "occupied": False}], [zone("Lane", "road", 0.01)]]
)
def test_where_all_are_counted_nothing_is_said_of_it(more):
    _ground, _inputs, (risk, _why) = reckoned(CROWD, *more)
    assert not any("NOT COUNTED" in line for line in risk.assumptions) and len(risk.assumptions) > 3


@pytest.mark.parametrize(
    ("zones", "said"),
    [
        ([{**CROWD, "people": None}], "Crowd is not stated"),
        ([LOT], "no zone with a number"),
        ([], "no zone with a number"),
    ],
)
def test_people_without_a_number_leave_it_unknown(zones, said):
    _ground, _inputs, (risk, why) = reckoned(*zones)
    assert risk is None and said in why


def test_each_sum_stands_with_its_upper_figure_beside_the_yardstick():
    """14 CFR 450.101(a), as recalled: 1e-4 together is 100 in a million, 1e-6 for one person is 1 in a million."""
    _ground, _inputs, (risk, _why) = reckoned(CROWD)
    risk = risk.model_copy(update={"collective": 2.5e-5, "collective_high": 1.5e-3, "individual": 6.2e-7,
                                   "individual_high": 4e-6})  # fmt: skip
    assert yardstick_words(risk) == (
        "All ways of ending: people struck a flight 25 in a million, upper figure 1,500, yardstick 100; "
        "the person most exposed 0.62 in a million, upper figure 4, yardstick 1. "
        "The yardstick, 14 CFR 450.101(a), is no clearance."
    )


def test_the_sums_never_stand_without_what_they_leave_out():
    _ground, _inputs, (risk, _why) = reckoned(CROWD, LOT)
    assert yardstick_words(risk).endswith(risk.assumptions[0]) and ": Car park. " in risk.assumptions[0]
