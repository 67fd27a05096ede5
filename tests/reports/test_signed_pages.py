"""A sheet over recorded rulings: initials where they were given, the head whole, times on one clock."""

from __future__ import annotations

import dataclasses
import datetime as dt
from typing import Any

import pytest

from reports.sheet import render_sheet
from reports.sheet_data import EntryPage, RangeSheet, Ruling, Signature, Tick
from tests.reports.golden import page_texts
from tests.reports.sample import NOW, REED, SHEET, SLOW

GIVEN = Ruling("approved", "light wind", "Officer One", "RSO", NOW, {SLOW.rule_id: "QX"})


def of(*entries: EntryPage, **more: Any) -> RangeSheet:
    return dataclasses.replace(SHEET, entries=entries, **more)


def page_of(sheet: RangeSheet, form: tuple[Any, Any] = ("A4", "si")) -> str:
    """The page of its one entry."""
    return page_texts(render_sheet(sheet, *form))[1]


@pytest.mark.parametrize("form", [("A4", "si"), ("letter", "us")])
def test_initials_stand_beside_the_caution_they_were_given_on(form):
    blank = page_of(of(REED), form)
    text = page_of(of(dataclasses.replace(REED, ruling=GIVEN)), form)
    assert "QX" not in blank and text.count("QX") == 1
    found, given = text.index("It leaves the guide slowly"), text.index("QX")
    assert found < given < text.index("Ruling of the range safety officer")
    # what is left of the word are the heads of this column and of the ticks: it is asked for nowhere
    assert blank.count("initials") == 3 and text.count("initials") == 2
    assert text.index("limit initials") < found


def test_initials_given_on_an_earlier_assessment_are_not_printed():
    lapsed = dataclasses.replace(GIVEN, word="lapsed")
    text = page_of(of(dataclasses.replace(REED, ruling=lapsed)))
    assert "QX" not in text and text.count("initials") == 3 and "LAPSED" in text


def test_of_two_sources_that_say_the_same_only_the_initialled_one_has_initials():
    other = dataclasses.replace(SLOW, rule_id="another-guide-speed", clause="another clause")
    page = dataclasses.replace(REED, findings=(SLOW, other), ruling=GIVEN)
    both = dataclasses.replace(GIVEN, initials={SLOW.rule_id: "QX", other.rule_id: "QX"})
    apart, together = page_of(of(page)), page_of(of(dataclasses.replace(page, ruling=both)))
    assert apart.count("QX") == 1 and apart.count("It leaves the guide slowly") == 2
    assert together.count("QX") == 1 and together.count("It leaves the guide slowly") == 1
    assert apart.count("initials") == 3 and together.count("initials") == 2


@pytest.mark.parametrize("name", ["Rita", "Margarethe Wilhelmine von der Hohen Heide zu Niederbrunn " * 3])
@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_the_time_in_the_head_is_never_cut(name, paper):
    long = dataclasses.replace(REED, entry_id="e-123456789", rocket="The long name of a rather small rocket, mark IV")
    sheet = of(REED, long, signature=Signature(name, "range safety officer", NOW))
    for page in page_texts(render_sheet(sheet, paper)):
        head = page[page.index("Signed by") :]
        assert name[:20] in head[:40] and "2027-05-15 09:12 UTC-0500" in head


def test_a_tick_of_the_day_itself_needs_no_date():
    """Under "times in America/Chicago" a time is read as of that day there."""
    then = NOW - dt.timedelta(days=1)
    ticks = (Tick("Motor looked at", by="Officer One", at=NOW), Tick("Recovery packed", by="Officer Two", at=then))
    text = page_of(of(dataclasses.replace(REED, ticks=ticks)))
    assert "Motor looked at: Officer One, 09:12" in text
    assert "Recovery packed: Officer Two, 2027-05-14 09:12 UTC-0500" in text


def test_printing_tells_how_far_it_is_and_ends_when_told_to():
    told: list[tuple[int, int, str]] = []
    whole = render_sheet(SHEET, progress=lambda *each: told.append(each))
    assert whole == render_sheet(SHEET)
    done = [each[0] for each in told]
    assert done == sorted(done) and done[0] == 0 and all(0 <= at <= total for at, total, _ in told)
    assert len({total for _, total, _ in told}) == 1
    said = " ".join(words for _, _, words in told)
    assert all(entry.entry_id in said for entry in SHEET.entries)
    assert f"drawing page {len(page_texts(whole))}" in said

    class Enough(Exception):
        pass

    for words in ("laying out", "drawing page 2"):

        def stop(_done: int, _total: int, at: str, until: str = words) -> None:
            if at.startswith(until):
                raise Enough

        with pytest.raises(Enough):
            render_sheet(SHEET, progress=stop)
