"""The table on the terminal: nothing rounds to certainty, figures only as fine as they are known."""

from __future__ import annotations

import doctest

import pytest

from service.models.assessment import Spread
from service.planning import table
from service.planning.assess import assess_day
from tests.planning.quick import quick_day, too_heavy


def test_the_examples_hold():
    assert doctest.testmod(table).failed == 0


@pytest.mark.parametrize(
    ("nominal", "half", "text"),
    [(412.37, 32.1, "410 ± 30 m"), (13.94, 0.96, "13.9 ± 1.0 m"), (843.4, 94.0, "840 ± 90 m"),
     (1843.8, 180.0, "1,800 ± 200 m"), (5.57, 0.01, "5.6 ± 0.1 m")],
)  # fmt: skip
def test_a_value_is_rounded_to_what_is_known_of_it(nominal, half, text):
    assert table.rounded(Spread(nominal=nominal, p025=nominal - half, p975=nominal + half), "m") == text


def test_what_has_no_spread_or_no_value():
    assert table.rounded(Spread(nominal=None), "m") == "unknown"
    assert table.rounded(Spread(nominal=412.37), "m") == "412 m"


def test_every_entry_has_a_line_and_says_what_decides():
    result = assess_day(quick_day(too_heavy), "0" * 64)
    lines = list(table.table_lines(result))
    assert lines[0].startswith("Caldén winter morning, 2028-07-09, conditions of 2028-07-09T09:40:00-03:00; engine 0.")
    lost = next(line for line in lines if line.startswith("n1"))
    assert lost.count("unknown") == 3 and "UNKNOWN" in lost  # apogee, exit speed, chance inside
    assert any("never carries the rocket" in line for line in lines)
    assert all(len(line) <= table.WIDTH or line.startswith(("n", "Cald")) for line in lines)
    assert lines[-1] == "3 entries: 1 stop, 2 unknown, 0 caution, 0 clear."
