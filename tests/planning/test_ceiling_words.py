"""Call-in windows: a higher ceiling that is entered and does not count says so where the lower one binds."""

from __future__ import annotations

from datetime import timedelta

import pytest

from service.planning.assess import assess_entry
from service.planning.ceiling_words import not_counted
from service.planning.pictures import entry_sheet
from tests.planning.quick import put, quick_day, rule

# The small day: 900 m MSL all day; 2,200 m MSL from 10:00 until 12:00 on "a call to the tower". Read at 9:40.
WINDOW = "the ceiling of 2,200 m MSL from 10:00 until 12:00 is NOT counted"
CALLED = put("/ceiling/1/condition", None)
CUT = put("/ceiling", [
    {"height_m": 900.0, "datum": "msl", "to": "2028-07-09T10:00:00-03:00"},
    {"height_m": 2200.0, "datum": "msl", "from": "2028-07-09T10:00:00-03:00", "to": "2028-07-09T12:00:00-03:00"},
    {"height_m": 900.0, "datum": "msl", "from": "2028-07-09T12:00:00-03:00"},
])  # fmt: skip


def said(minutes, *changes):
    day = quick_day(*changes)
    return not_counted(day, day.conditions.observed_at + timedelta(minutes=minutes))


def test_a_window_that_waits_for_a_call_is_not_counted_before_it_nor_in_it():
    for minutes in (0.0, 60.0):
        assert said(minutes) == f"{WINDOW}: it needs a call to the tower, and only where the lower one is cut around " \
            "its window"  # fmt: skip
    assert said(141.0) == "", "it is over"


def test_a_window_whose_call_was_made_is_bound_by_the_lower_one_it_lies_over():
    assert said(60.0, CALLED) == f"{WINDOW}: a lower one holds over the same time, and binds"
    assert said(0.0, CALLED) == "", "it has not opened, and nothing waits for it"


def test_where_the_lower_one_is_cut_around_it_it_counts():
    assert [said(minutes, CUT) for minutes in (0.0, 60.0, 200.0)] == ["", "", ""]


def test_a_lower_one_and_one_alone_have_nothing_to_say():
    lower = put("/ceiling/1/height_m", 600.0)
    assert said(60.0, lower) == "" == said(60.0, put("/ceiling", {"height_m": 900.0, "datum": "msl"}))
    alone = put("/ceiling", [{"height_m": 2200.0, "datum": "msl", "condition": "a call"}])
    assert said(0.0, alone) == "the ceiling of 2,200 m MSL is NOT counted: it needs a call"


@pytest.mark.parametrize(("changes", "minutes", "told"), [((), 0.0, True), ((CUT,), 0.0, False)])
def test_the_finding_of_a_flight_over_the_ceiling_says_so_on_paper_too(changes, minutes, told):
    """n2, a high-power rocket, rises far over 720 m above the field (900 m MSL, the field at 180 m)."""
    day = quick_day(put("/codes", ["practice"]), *changes)
    found = assess_entry(day, day.entry_by_id("n2"), threads=1)
    finding = rule(found, "club-ceiling")
    assert finding.standing == "stop", "else nothing binds here"
    assert (WINDOW in finding.note) is told
    printed = next(each for each in entry_sheet(day, found).entries[0].findings if each.rule_id == "club-ceiling")
    assert ("NOT counted" in str(printed.says)) is told
    others = [each for each in found.findings if each.quantity not in ("apogee_m", "cloud_base_m")]
    assert not any("NOT counted" in each.note for each in others), "only where a ceiling bears"
