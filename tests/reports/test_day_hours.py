"""The day's hours: nothing outside the frame, no label on another, standings told apart without colour."""


import pytest

from reports.drawings.day_hours import HourCell, HourRow, day_hours_picture
from reports.scene import walk
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
FEW = tuple(HourRow(row.name, row.cells[:2]) for row in ROWS)
PICTURES = {
    f"{name}, {width}": day_hours_picture(hours, rows, "2 m/s more wind", width)
    for width in (ON_A_PHONE, 200.0, 300.0, 520.0)
    for name, hours, rows in (("all", HOURS, ROWS), ("two hours", HOURS[:2], FEW), ("none", (), ()))
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
