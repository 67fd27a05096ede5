"""The day's hours: nothing outside the frame, no label on another, standings told apart without colour."""

from dataclasses import replace

import pytest

from reports.drawings.day_hours import HourCell, HourRow, day_hours_picture
from reports.scene import Label, extent, walk
from reports.theme import DARK, LIGHT, contrast
from tests.reports.held import ON_A_PHONE, held_to_a_phone, held_to_its_frame, held_to_svg

HOURS = tuple(f"{hour:02}:00" for hour in range(8, 19))
KINDS = ("clear", "caution", "stop", "unknown")
ROWS = tuple(
    HourRow(
        f"e-{number:02} a rocket with a name that goes on",
        tuple(
            HourCell(KINDS[(number + hour) % 4], KINDS[(number * hour) % 4], "10:37" if hour == number else "")
            for hour in range(len(HOURS))
        ),
    )
    for number in range(6)
)
CALLED = tuple(
    HourRow(row.name, tuple(replace(each, called="caution" if each.standing == "stop" else None) for each in row.cells))
    for row in ROWS
)
FEW = tuple(HourRow(row.name, row.cells[:2]) for row in ROWS)
PICTURES = {
    f"{name}, {width}": day_hours_picture(hours, rows, "2 m/s more wind", width)
    for width in (ON_A_PHONE, 200.0, 300.0, 520.0)
    for name, hours, rows in (
        ("all", HOURS, ROWS),
        ("two hours", HOURS[:2], FEW),
        ("none", (), ()),
        ("called", HOURS, CALLED),
    )
}
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


def test_a_word_stands_beside_each_shape_and_in_the_description():
    scene = PICTURES["all, 300.0"]
    assert {"CLEAR", "CAUTION", "STOP", "UNKNOWN"} <= set(scene.labels())
    assert "08:00 clear, flies at 10:37" in scene.description and "in more wind" in scene.description


def test_a_narrow_column_keeps_its_mark_and_leaves_the_time_to_the_frame():
    assert "10:37" in PICTURES["all, 520.0"].labels() and "10:37" not in PICTURES["all, 200.0"].labels()
    frames = [each for each in walk(PICTURES["all, 200.0"].shapes) if each.name == "flies"]
    assert len(frames) == 6


@pytest.mark.parametrize("name", [name for name in PICTURES if name.startswith("called")])
def test_what_takes_a_call_has_a_mark_of_its_own_with_its_key_in_every_width(name):
    scene, shapes = PICTURES[name], list(walk(PICTURES[name].shapes))
    corners = [each for each in shapes if each.name == "call"]
    assert len(corners) == 1 + sum(cell.called is not None for row in CALLED for cell in row.cells)
    beside = [each for each in shapes if isinstance(each, Label) and each.text == "only after a call"]
    assert len(beside) == 1 and 0.0 < beside[0].box()[0] - extent(corners[-1])[2] < 6.0
    assert abs(sum(extent(corners[-1])[1::2]) - sum(beside[0].box()[1::2])) < 4.0, "on one line"
    assert scene.description.count("caution after a call") == len(corners) - 1
    assert "only after a call" not in PICTURES[name.replace("called", "all")].labels()


@pytest.mark.parametrize("name", [name for name in PICTURES if name.startswith("called")])
def test_the_mark_of_a_call_lies_on_no_other_and_holds_without_colour(name):
    """Contrast is reckoned from luminance alone, so it is that of a grey copy; 7:1 is criterion 1.4.6 of WCAG 2.2."""
    shapes = list(walk(PICTURES[name].shapes))
    for corner in (each for each in shapes if each.name == "call"):
        left, top, right, bottom = extent(corner)
        assert right - left == pytest.approx(bottom - top) and right - left >= 4.0
        for frame in (extent(each) for each in shapes if each.name == "flies"):
            if frame[0] <= left < frame[2] and frame[1] <= top < frame[3]:
                assert min(left - frame[0], top - frame[1]) >= 1.4 - 0.01, "the frame of its flight hides it"
        for other in (each for each in shapes if isinstance(each, Label) or each.name.startswith("standing")):
            west, north, east, south = other.box() if isinstance(other, Label) else extent(other)
            if east > left and south > top:  # the corner ends along its slope, from upper right to lower left
                assert max(west - left, 0.0) + max(north - top, 0.0) >= right - left - 0.01, other
        for theme in (LIGHT, DARK):
            assert min(contrast(theme[corner.look.fill], theme[ground]) for ground in ("paper", "ghost")) >= 7.0
