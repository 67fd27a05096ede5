"""The ladder's picture: nothing outside its frame, no label on another, both writers."""

import math

import pytest

from reports.drawings.motor_ladder import LadderRung, motor_ladder_picture
from reports.scene import Area, Disc, Label, Line, walk
from tests.reports.held import ON_A_PHONE, held_to_a_phone, held_to_its_frame, held_to_svg

RUNGS = (
    LadderRung("Lantern C11, 4 s", 108.0, 96.0, 120.0, "clear", 1.0, 19.7, ("cheapest",)),
    LadderRung("Lantern D9, 5 s", 259.0, 231.0, 287.0, "unknown", 0.974, 18.2, ("gentle", "highest", "fastest")),
    LadderRung("A maker with a very long name indeed G99, 12 s", 900.0, 800.0, 1000.0, "stop", None, None),
    LadderRung("Quillon H90", 1700.0, over_ceiling=True),
    LadderRung("nowhere", math.nan),
)
PICTURES = {
    f"{name}, {width}": motor_ladder_picture(rungs, ceiling, units, width)
    for width in (ON_A_PHONE, 200.0, 260.0, 430.0)
    for name, rungs, ceiling, units in (
        ("all", RUNGS, 1500.0, "si"), ("us", RUNGS, 1500.0, "us"), ("no ceiling", RUNGS[:2], None, "si"),
        ("far ceiling", RUNGS[:2], 9000.0, "si"), ("none", (), 1500.0, "si"), ("low ceiling", RUNGS, 120.0, "us"),
        ("forty", RUNGS[:3] * 14, 1200.0, "si"),
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


def test_height_goes_with_apogee_and_the_ceiling_lies_between():
    scene = PICTURES["all, 430.0"]
    discs = [
        shape.centre for shape in walk(scene.shapes) if isinstance(shape, Disc) and shape.name in ("apogee", "over")
    ]
    assert [x for x, _ in discs] == sorted(x for x, _ in discs)
    assert [y for _, y in discs] == sorted((y for _, y in discs), reverse=True)  # higher up the page, higher up
    ceiling = next(shape for shape in scene.shapes if isinstance(shape, Line) and shape.name == "ceiling").points[0][0]
    assert discs[2][0] < ceiling < discs[3][0]
    spread = [shape for shape in walk(scene.shapes) if isinstance(shape, Area) and shape.name == "spread"]
    assert len(spread) == 3


def test_words_stand_for_the_picture():
    words = PICTURES["all, 430.0"].description
    assert "Quillon H90: about 1,700 m, over the ceiling" in words
    assert "Lantern D9, 5 s: apogee 260 ± 30 m" in words and "chosen for gentle, highest, fastest" in words
    assert "No motor" in PICTURES["none, 260.0"].labels()[0]


def test_a_ceiling_too_far_up_to_draw_is_named_all_the_same():
    said = [shape.text for shape in walk(PICTURES["far ceiling, 260.0"].shapes) if isinstance(shape, Label)]
    assert "ceiling 9,000 m, off the picture" in said
    none = [shape.text for shape in walk(PICTURES["no ceiling, 260.0"].shapes) if isinstance(shape, Label)]
    assert not any("ceiling" in text for text in none)
