"""The plot of landing against setting: in its frame, labels apart, the marks where the points are."""

import math

import pytest

from reports.drawings.aim_plot import AimPoint, aim_plot
from reports.ground_data import FieldPlan, PadMark, Zone
from reports.scene import Disc, Line, walk
from reports.sheet_data import WindLayer
from tests.reports.held import ON_A_PHONE, held_to_a_phone, held_to_its_frame, held_to_svg

SQUARE = ((-400.0, -400.0), (400.0, -400.0), (400.0, 400.0), (-400.0, 400.0))
PLAN = FieldPlan(
    "Field", (SQUARE,),
    (Zone("Benches", "people", (((100.0, -90.0), (160.0, -90.0), (160.0, -40.0), (100.0, -40.0)),), "area", 20),),
    (PadMark("A1", (0.0, 0.0)),),
)  # fmt: skip


def point(tilt_deg, azimuth_deg, reaches=False):
    """Landings that move 10 m a degree, blown 80 m to the east."""
    toward = math.radians(azimuth_deg)
    at = (80.0 + 10.0 * tilt_deg * math.sin(toward), 10.0 * tilt_deg * math.cos(toward))
    return AimPoint(tilt_deg, azimuth_deg, at, reaches)


TRIED = (
    point(0.0, 0.0),
    *(point(tilt, turn, turn == 120) for tilt in (4.0, 8.0, 12.0, 16.0, 20.0) for turn in range(0, 360, 30)),
)
NOW, FOUND, WORST = point(3.0, 320.0), point(8.0, 270.0), point(20.0, 120.0, True)
PICTURES = {
    f"{name}, {width:.0f}": aim_plot(PLAN, tried, NOW, FOUND, WORST, (0.0, 0.0), wind, units, width, height)
    for width, height in ((520.0, 400.0), (250.0, 320.0), (ON_A_PHONE, 240.0))
    for name, tried, wind, units in (
        ("all", TRIED, WindLayer(2.0, 3.0, 270.0, 5.0), "si"), ("us", TRIED, None, "us"), ("none", (), None, "si"),
    )
}  # fmt: skip
each_picture = pytest.mark.parametrize("scene", PICTURES.values(), ids=PICTURES.keys())


@each_picture
def test_inside_the_frame_and_no_label_on_another(scene):
    held_to_its_frame(scene)


@pytest.mark.parametrize("name", [name for name in PICTURES if "162" in name])
def test_letters_on_a_phone_are_large_enough(name):
    held_to_a_phone(PICTURES[name])


@each_picture
def test_svg_is_well_formed(scene):
    held_to_svg(scene)


def test_points_stand_where_they_land():
    shapes = list(walk(PICTURES["all, 520"].shapes))
    found = next(each.centre for each in shapes if isinstance(each, Disc) and each.name == "found")
    now = next(each.centre for each in shapes if isinstance(each, Disc) and each.name == "now")
    level, plumb = (each for each in shapes if isinstance(each, Line) and each.name == "target")
    target = (plumb.points[0][0], level.points[0][1])
    assert math.dist(found, target) < 0.1  # 8° bring the 80 m back, by construction
    assert now[0] > target[0] and now[1] < target[1]  # still to the east, and leant north
    assert sum(each.name == "reaches" for each in shapes) == 2 * 5 and sum(each.name == "ring" for each in shapes) >= 5


def test_the_three_settings_are_named():
    said = " ".join(PICTURES["all, 520"].labels())
    assert "found: 8° toward 270°" in said and "not this: 20° toward 120°" in said and "now: 3° toward 320°" in said
    assert "No setting could be flown." in PICTURES["none, 250"].description
