"""What the desk tells of the last conditions: until there are others, whatever is edited and saved after them."""

from __future__ import annotations

import html
import re

import pytest

from tests.web.conftest import DAY
from tests.web.test_desk import CAUTION, TICKS, blow, judge, send  # noqa: F401 - a fixture

DESK = f"/days/{DAY}/desk"


def block(page: str, called: str) -> str:
    """The words of one block, empty where it is not there."""
    found = re.search(rf'<(details|p) [^>]*id="{called}".*?</\1>(?=\s*(<details class="what|<p|</div>))', page, re.S)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", found[0])).split()) if found else ""


@pytest.fixture
def mend(store, assess):
    """A flyer mends an entry: some grams more, which move no finding of this day's assessments."""

    def run(entry_id: str = "n1", grams: int = 1) -> None:
        kept = store.entries.get(DAY, entry_id)
        rocket = kept.entry.rocket.model_copy(update={"mass_kg": kept.entry.rocket.mass_kg + grams / 1000})
        entry = kept.entry.model_copy(update={"rocket": rocket})
        store.entries.update(DAY, entry, "otto", based_on=kept.revision)
        assess()

    return run


def test_what_a_reading_changed_outlives_edits(rita, assess, mend):
    assert blow(rita, "7.5", **{"/temperature": "9"}).status_code == 303
    assess()
    first = block(rita.get(DESK).text, "changed")
    assert "3 entries stand differently" in first
    # wind and temperature of the small day, as the reading replaced them
    assert "wind 2 m/s from 180° (south), gusts 3 m/s became 7.5 m/s from 200° (south)" in first
    assert "temperature 6 °C became 9 °C" in first and "pressure" not in first
    assert f"Clear → , now caution for every entry: Words of {CAUTION}." in first
    for _ in range(6):  # more passes than the desk once looked back
        mend("n1")
    page = rita.get(DESK).text
    assert block(page, "changed") == first
    assert block(page, "changed-since") == "", "an edit that moves no finding and lapses nothing is no news"


def test_an_edit_that_only_lapses_a_ruling_is_told_after_the_reading(rita, assess, mend):
    assert blow(rita, "7.5").status_code == 303
    assess()
    initials = {f"/initials/{CAUTION}": "RQ"}
    assert send(rita, "n1", "approved", **TICKS, **initials).status_code == 303
    mend("n1")
    page = rita.get(DESK).text
    told = block(page, "changed-since")
    assert told.startswith("Edits since then: 1 ruling lapsed Why: n1 was changed")
    assert "1 ruling has lapsed by it: n1" in told and "every finding as before" in told
    assert "became 7.5 m/s" in block(page, "changed") and "lapsed" not in block(page, "changed")
    assert send(rita, "n1", "approved", **initials).status_code == 303
    assert "Lapsed by it and ruled on again: n1" in block(rita.get(DESK).text, "changed-since")


def test_no_earlier_pass_is_told_as_the_new_one(rita, assess):
    assert blow(rita, "7.5").status_code == 303
    assess()
    assert blow(rita, "8.5").status_code == 303
    waiting = block(rita.get(DESK).text, "changed")
    assert "nothing stands differently so far" in waiting and "3 entries wait to be assessed" in waiting
    assert "wind 7.5 m/s from 200° (south) became 8.5 m/s" in waiting
    assess()
    done = block(rita.get(DESK).text, "changed")
    assert "3 entries were assessed in them; every finding stands as before" in done


def test_a_reading_replaced_at_once_is_told_against_what_was_assessed(rita, assess):
    assert blow(rita, "4").status_code == 303  # nobody is assessed in it
    assert blow(rita, "7.5").status_code == 303
    assess()
    told = block(rita.get(DESK).text, "changed")
    assert "wind 2 m/s" in told and "became 7.5 m/s" in told and "wind 4 m/s" not in told


def test_an_entry_that_was_edited_while_it_waited_says_so(rita, assess, mend):
    assert blow(rita, "7.5").status_code == 303
    mend("n2")
    told = block(rita.get(DESK).text, "changed")
    assert told.count("The entry itself was changed as well.") == 1


def test_edits_before_any_reading_are_told_as_edits(rita, store, assess):
    assert block(rita.get(DESK).text, "changed") == "" == block(rita.get(DESK).text, "changed-since")
    assert send(rita, "n1", "approved", **TICKS).status_code == 303
    kept = store.days.header(DAY)
    policy = kept.document.policy.model_copy(update={"samples": kept.document.policy.samples * 2})
    store.days.update(DAY, kept.document.model_copy(update={"policy": policy}), "olga", based_on=kept.revision)
    assess()
    told = block(rita.get(DESK).text, "changed-since")
    assert told.startswith("Edits so far: 1 ruling lapsed Why: a motor or the day itself was changed")
