"""The pictures of a flight log: in their frames, labels apart, marks where the figures say."""

from __future__ import annotations

import math

import pytest

from reports.drawings.apogee_match import ApogeePoint, apogee_match_picture
from reports.drawings.landing_offsets import OffsetPoint, landing_offsets_picture
from reports.drawings.rocket_bias import BiasRow, rocket_bias_picture
from reports.scene import Disc, Line, walk
from tests.reports.held import ON_A_PHONE, held_to_a_phone, held_to_its_frame, held_to_svg

POINTS = (
    ApogeePoint("Reed", 250.0, 240.0), ApogeePoint("Reed", 250.0, 250.0), ApogeePoint("Heron", 330.0, 320.0),
    ApogeePoint("A rocket with a very long name indeed", 1580.0, 1490.0), ApogeePoint("Gnat", 82.0, 80.0),
    ApogeePoint("Reed", 250.0, 330.0, counts=False),
)  # fmt: skip
NEAR = (ApogeePoint("Reed", 250.0, 252.0), ApogeePoint("Reed", 251.0, 249.0))
ROWS = (
    BiasRow("Reed", (0.95, 0.96, 0.99), 0.967, 0.94, 0.99, proposed=True),
    BiasRow("A rocket with a very long name indeed", (1.02,), 1.02),
    BiasRow("Slip", (3.0, 0.2), 1.4, 0.1, 9.0),
    BiasRow("All rockets", (), 0.98, 0.95, 1.01, strong=True),
)
OFFSETS = (OffsetPoint(1.0, 0.5), OffsetPoint(-1.0, 0.5), OffsetPoint(0.0, -4.0, counts=False))
PICTURES = {
    **{
        f"apogees {units} {width:.0f}": apogee_match_picture(points, units, width, 0.9 * width)
        for width in (520.0, 216.0, ON_A_PHONE) for units, points in (("si", POINTS), ("us", POINTS), ("us", NEAR))
    },
    **{f"rockets {width:.0f}": rocket_bias_picture(ROWS, width) for width in (520.0, 216.0, ON_A_PHONE)},
    **{
        f"landings {width:.0f}": landing_offsets_picture(OFFSETS, width, width + 30.0)
        for width in (420.0, 216.0, ON_A_PHONE)
    },
    "no apogees": apogee_match_picture((ApogeePoint("x", math.nan, 3.0),), "si", 300.0, 300.0),
    "no rockets": rocket_bias_picture((BiasRow("x", (), None),), 300.0),
    "no landings": landing_offsets_picture((), 300.0, 330.0),
}  # fmt: skip
each_picture = pytest.mark.parametrize("scene", PICTURES.values(), ids=PICTURES.keys())


@each_picture
def test_inside_the_frame_and_no_label_on_another(scene):
    held_to_its_frame(scene)


@pytest.mark.parametrize("name", [name for name in PICTURES if "162" in name])
def test_letters_on_a_phone_are_large_enough(name):
    held_to_a_phone(PICTURES[name])


@each_picture
def test_svg_is_well_formed_and_has_words(scene):
    held_to_svg(scene)


def named(scene, name):
    return [shape for shape in walk(scene.shapes) if getattr(shape, "name", "") == name]


def test_what_flew_as_estimated_lies_on_the_line():
    scene = PICTURES["apogees si 520"]
    (line,) = named(scene, "same")
    (x0, y0), (x1, y1) = line.points
    on, low = (named(scene, "flight")[number].centre for number in (1, 0))  # 250 of 250, and 240 of 250
    at = y0 + (y1 - y0) * (on[0] - x0) / (x1 - x0)
    assert on[1] == pytest.approx(at, abs=0.01) and low[1] > on[1] and low[0] == pytest.approx(on[0])
    assert len(named(scene, "flight")) == 5 and len(named(scene, "left-out")) == 2  # a cross has two strokes
    assert scene.description == "5 flights as dots, 1 left out as crosses; 4 went lower than estimated."


def test_a_per_cent_is_as_long_low_as_high():
    low, high = (
        apogee_match_picture((ApogeePoint("a", h, h), ApogeePoint("a", h, 1.1 * h), *POINTS), "si", 520.0, 480.0)
        for h in (100.0, 1000.0)
    )
    rises = [named(s, "flight")[0].centre[1] - named(s, "flight")[1].centre[1] for s in (low, high)]
    assert rises[0] == pytest.approx(rises[1])


def test_means_and_intervals_stand_at_their_ratio():
    scene = PICTURES["rockets 520"]
    (same,) = (each for each in named(scene, "same") if isinstance(each, Line))
    middle = same.points[0][0]
    reed, other, *_ = (each for each in named(scene, "mean") if isinstance(each, Disc))
    assert reed.centre[0] < middle < other.centre[0] and reed.look.fill == "accent" and other.look.fill == "paper"
    assert (middle - reed.centre[0]) / (other.centre[0] - middle) == pytest.approx(0.033 / 0.02, rel=1e-6)
    assert "Reed: 3 flights, 3.3 % lower, a correction is put forward" in scene.description


def test_landings_are_up_down_the_wind_and_right_to_the_right():
    scene = PICTURES["landings 420"]
    first, second = (each.centre for each in named(scene, "flight"))
    (mean,) = (each.centre for each in named(scene, "mean"))
    assert first[1] < second[1] and first[0] == pytest.approx(second[0]) == pytest.approx(mean[0])
    assert mean[1] == pytest.approx((first[1] + second[1]) / 2)
    (disc,) = (each for each in named(scene, "ring") if isinstance(each, Disc))
    assert disc.radius / (first[0] - disc.centre[0]) == pytest.approx(2.4477 / 0.5, rel=1e-4)  # sqrt(-2 ln 0.05)
    assert "2 of 2 lie within" in scene.description


@pytest.mark.parametrize(("low", "high"), [(217.0, 290.0), (95.0, 130.0), (249.0, 251.0), (80.0, 1600.0)])
def test_a_scale_has_three_round_figures_or_more(low, high):
    points = (ApogeePoint("a", low, low), ApogeePoint("a", high, high))
    scene = apogee_match_picture(points, "si", 520.0, 400.0)
    across = [line for line in named(scene, "grid") if line.points[0][0] == line.points[1][0]]
    assert 3 <= len(across) <= 13
