"""A wind without one direction, from the report to the findings and the words."""

from __future__ import annotations

import json
import math

import pytest
import shapely

from service.planning import facts as known
from service.planning.assess import assess_day, assess_entry
from service.planning.check import read_day
from service.planning.fly import flight_lines, nominal_flight
from service.planning.ground import ground_of
from service.planning.pictures import entry_map, entry_sheet, wind_picture
from service.planning.table import table_lines
from tests.builders import LAT_DEG, LON_DEG, as_bytes, square
from tests.planning.quick import assessed, put, quick_day, quick_document

ANYWHERE = put("/conditions/wind/0/arc_deg", 360.0)


def centred(found):
    """How far the middle of the 95 % contour lies from the pad, as a share of the farthest landing's distance."""
    planned = found.footprint("planned")
    contour = next(each for each in planned.contours if each.share == 0.95)
    middle = shapely.geometry.shape(contour.geometry).centroid
    metres = 111_000.0
    away_m = math.hypot((middle.x - LON_DEG) * metres * math.cos(math.radians(LAT_DEG)), (middle.y - LAT_DEG) * metres)
    return away_m / planned.farthest_m


def test_flights_in_a_variable_wind_come_down_all_round_the_pad():
    # any direction alike: the footprint is a ring about the pad, whichever bearing the nominal flight is reckoned from
    alone = put("/conditions/wind", [{"height_m": 2.0, "speed_mps": 4.0, "from_deg": 180.0}])
    usual, anywhere = assessed("n1", alone), assessed("n1", alone, ANYWHERE)
    assert centred(usual) > 0.3 and centred(anywhere) < 0.15
    assert anywhere.footprint("planned").contours[0].area_m2 > 1.5 * usual.footprint("planned").contours[0].area_m2


@pytest.mark.parametrize(
    ("arc_deg", "told"),
    [
        (360.0, "direction is variable: the simulated flights come from every direction alike"),
        (80.0, "direction ranges over 80°: the simulated flights are drawn over all of it"),
        (None, ""),
        (0.0, ""),
    ],
)
def test_the_cautions_say_what_rests_on_one_direction(arc_deg, told):
    found = [each for each in assessed("n1", put("/conditions/wind/0/arc_deg", arc_deg)).cautions if "nominal" in each]
    assert len(found) == bool(told)
    if told:
        assert told in found[0] and "is for a wind from 180°" in found[0]


def test_the_terminal_says_so_above_its_table_and_below_one_flight():
    for arc_deg, told in ((360.0, True), (None, False)):
        day = quick_day(put("/conditions/wind/0/arc_deg", arc_deg))
        table = list(table_lines(assess_day(day, "0" * 64, entries=["n1"])))
        flight = list(flight_lines(day, day.entry_by_id("n1"), *nominal_flight(day, day.entry_by_id("n1"))))
        assert ("every direction alike" in table[1]) is told
        assert any("for a wind from 180°" in line for line in flight) is told


@pytest.mark.parametrize(
    ("arc_deg", "off_deg"), [(None, 0.0), (40.0, 20.0), (120.0, 60.0), (180.0, 90.0), (200.0, 90.0), (360.0, 90.0)]
)
def test_the_crosswind_is_that_of_the_worst_direction(arc_deg, off_deg):
    """Wind from 180, a guide 30 degrees toward 180: along it lies sin 30 cos(off) of the wind (plane trigonometry)."""
    day = quick_day(
        put("/field/pads/0/tilt_deg", 30.0), put("/field/pads/0/azimuth_deg", 180.0),
        put("/conditions/wind/0/arc_deg", arc_deg),
    )  # fmt: skip
    found = known.weather_facts(day, day.conditions, day.pad_by_name("P1"), None, 60.0)["crosswind_mps"]
    assert found == pytest.approx(2.0 * math.sqrt(1.0 - (0.5 * math.cos(math.radians(off_deg))) ** 2))


@pytest.mark.parametrize(
    ("bearing_deg", "arc_deg", "over"),
    [(0.0, 0.0, True), (90.0, 0.0, False), (90.0, 100.0, False), (90.0, 190.0, None), (180.0, 360.0, None)],
)
def test_a_track_that_another_direction_would_carry_over_people_is_not_known_to_miss_them(bearing_deg, arc_deg, over):
    """People some 110 m north of the pad and 50 m wide; a track of 200 m toward a bearing, turned about the pad."""
    crowd = {"name": "crowd", "kind": "people", "people": 9, "geometry": {"type": "Polygon", "coordinates": [
        square(0.0003, LON_DEG, LAT_DEG + 0.001)]}}  # fmt: skip
    day = quick_day(put("/field/zones", [crowd]))
    ground = ground_of(day)
    east, north = ground.pad_at(day.pad_by_name("P1"))
    toward = math.radians(bearing_deg)
    track = [(east, north), (east + 200.0 * math.sin(toward), north + 200.0 * math.cos(toward))]
    found = known.ground_facts(ground, [], None, None, track, arc_deg)
    assert found["track_over_people"] is over


def test_the_arc_is_kept_in_the_document_and_told_in_the_pictures():
    day = quick_day(ANYWHERE)
    assert read_day(as_bytes(json.loads(day.model_dump_json(by_alias=True)))) == day
    entry = day.entry_by_id("n1")
    found = assess_entry(day, entry, threads=1)
    for drawn in (entry_map(entry_sheet(day, found), "si"), wind_picture(day.conditions, "si")):
        assert "variable" in drawn and "from 180°" not in drawn
    told = wind_picture(quick_day(put("/conditions/wind/0/arc_deg", 80.0)).conditions, "si")
    assert "from 140° to 220°" in told and "180 ± 40°" in told


@pytest.mark.parametrize("arc_deg", [-1.0, 361.0, "all", True])
def test_an_arc_that_cannot_be_is_refused_by_its_path(arc_deg):
    from service.planning.errors import DocumentRefused

    with pytest.raises(DocumentRefused) as refusal:
        read_day(as_bytes(quick_document(put("/conditions/wind/0/arc_deg", arc_deg))))
    assert refusal.value.faults[0].pointer == "/conditions/wind/0/arc_deg"
