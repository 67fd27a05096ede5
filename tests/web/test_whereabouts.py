"""No dead ends: from an entry to its ruling and back, and from the code on a sheet to what stands now."""

from __future__ import annotations

import re

import pytest

from service.models.finding import Finding, Source
from service.store.rulings import Verdict
from service.store.standing import Basis
from tests.web.conftest import DAY, quick_assessment

ENTRY = f"/days/{DAY}/entries/n1"
RULING = f"{ENTRY}/ruling"


def links(page: str) -> set[str]:
    return set(re.findall(r'href="(/[^"#]*)', page))


@pytest.fixture
def old(store, assess, people) -> str:
    """The first assessment of n1, ruled on: what a sheet's code leads to."""
    assess()
    found = store.assessments.current(DAY)["n1"].assessment_id
    store.rulings.rule(DAY, "n1", Verdict(word="held", reason="wind"), "rita", assessment_id=found, based_on=0)
    return f"/assessments/{found}"


def another_reading(store) -> None:
    weather = store.weather.current(DAY)
    again = weather.document.model_copy(update={"source": "another mast"})
    store.weather.enter(DAY, again, "rita", based_on=weather.revision)


def test_an_assessment_says_that_it_is_what_stands(old, browser):
    """The small day's reading is of 12:40 UTC; Córdoba is three hours behind (IANA time zone database)."""
    page = browser.get(old).text
    assert "This is what stands now" in page and "no longer counts" not in page
    assert f"/days/{DAY}" in links(page) and re.search(r"Ruling:.*held", page)
    assert re.search(r"in the conditions of <time[^>]*>[^<]*09:40 UTC-0300", page) and "+0000" not in page
    assert "Flyer" not in page, "the flyer is not told to everybody"


def test_one_that_was_replaced_says_so_and_leads_to_the_one_that_stands(old, store, assess, browser):
    fresh = browser.get(old).text
    another_reading(store)
    waiting = browser.get(old).text
    assert "This no longer counts." in waiting and "being assessed anew" in waiting and "what stands now" not in waiting
    assert "standing-large" in fresh and "standing-large" not in waiting, "what no longer counts is not told large"
    assess()
    page = browser.get(old).text
    newer = f"/assessments/{store.assessments.current(DAY)['n1'].assessment_id}"
    assert "This no longer counts." in page and newer in links(page) and newer != old
    assert "This is what stands now" in browser.get(newer).text
    assert "lapsed" in page and "lapsed" in browser.get(newer).text


def test_a_lapsed_ruling_is_told_without_a_stop_too_many(old, store, assess, new_browser):
    """Its reason is whatever the officer typed: with a full stop, or a question mark."""
    another_reading(store)
    assess()
    current = store.assessments.current(DAY)["n1"].assessment_id
    why = Verdict(word="refused", reason="Too windy, right?")
    store.rulings.rule(DAY, "n1", why, "rita", assessment_id=current, based_on=1)
    weather = store.weather.current(DAY)
    third = weather.document.model_copy(update={"source": "a third mast"})
    store.weather.enter(DAY, third, "rita", based_on=weather.revision)
    line = re.search(r'<section class="ruling-line">.*?</p>', new_browser("rita").get(ENTRY).text, re.S)[0]
    assert line.endswith("it was “refused”, and what it rested on has changed since: Too windy, right?</p>")


def test_one_of_an_entry_that_was_withdrawn(old, store, browser):
    store.entries.withdraw(DAY, "n1", "olga", based_on=store.entries.get(DAY, "n1").revision)
    page = browser.get(old).text
    assert "n1 was withdrawn" in page and "what stands now" not in page and "Ruling:" not in page


def test_one_of_which_nothing_is_kept_but_itself(store, day, browser):
    document = store.day_document(DAY)
    stray = quick_assessment(document, document.entry_by_id("n1"), None)
    store.assessments.keep(DAY, [(stray, Basis(9, 9, 9, 9))], "setup")
    page = browser.get(f"/assessments/{stray.id}").text
    assert "This no longer counts." in page and "is not kept" in page


def test_whoever_may_see_more_finds_the_way(old, store, new_browser, browser):
    assert not {ENTRY, RULING} & links(browser.get(old).text), "nobody signed in"
    token = store.links.new(DAY, "n1", "setup")
    browser.get(f"/private/{token}")
    flyer = links(browser.get(old).text)
    assert ENTRY in flyer and RULING not in flyer
    rita = new_browser("rita")
    found = links(rita.get(old).text)
    assert {ENTRY, RULING, f"/days/{DAY}/desk"} <= found
    assert new_browser("otto").get(old).text.count(RULING) == 0, "an organiser of another day"


@pytest.mark.parametrize("login", ["rita", "olga"])
def test_an_entry_leads_those_who_run_the_day_on(old, new_browser, login):
    asking = new_browser(login)
    found = links(asking.get(ENTRY).text)
    wanted = {RULING, f"/days/{DAY}/desk", f"/days/{DAY}/sheets?entry=n1"}
    assert wanted <= found
    assert all(asking.get(each).status_code == 200 for each in wanted)


def test_the_officer_makes_a_new_link_for_a_flyer_who_lost_it(old, store, new_browser, browser):
    first = store.links.new(DAY, "n1", "setup")
    rita = new_browser("rita")
    assert f'action="{ENTRY}/links"' in rita.get(ENTRY).text
    rita.post(f"{ENTRY}/links", page=ENTRY)
    page = rita.get(ENTRY).text
    made = re.search(r'class="secret" href="[^"]*(/private/[^"]+)"', page)[1]
    assert "hand it to its flyer" in page and "Registered as" not in page
    assert browser.get(f"/private/{first}").status_code == 404
    browser.get(made)
    assert browser.get(ENTRY).status_code == 200 and RULING not in links(browser.get(ENTRY).text)


def test_its_findings_are_told_as_on_the_sheet(store, day, browser):
    """What is far below one in words, not as 1e-06; the figure that a rule of law prints by its clause."""
    document = store.day_document(DAY)
    found = Finding(
        rule="people-one", code="practice", weight="practice", kind="computed", protects="people",
        statement="The chance that the most exposed person is struck is at most 1e-06 a flight.",
        quantity="individual_risk", measured=3.53e-6, measured_si=3.53e-6, unit="1", limit=1e-6, limit_si=1e-6,
        si_unit="1", comparison="at_most", margin=-2.5e-6, standing="caution",
        source=Source(clause="14 CFR 450.101(a)(2)", known="read"),
    )  # fmt: skip
    unknown = found.model_copy(
        update={"rule": "people-two", "measured": None, "measured_si": None, "standing": "unknown"}
    )
    made = quick_assessment(document, document.entry_by_id("n1"), None).model_copy(
        update={"findings": (found, unknown)}
    )
    store.assessments.keep(DAY, [(made, Basis(9, 9, 9, 9))], "setup")
    page = browser.get(f"/assessments/{made.id}").text
    assert "1e-06" not in page and "at most 1 in a million" in page
    assert "14 CFR 450.101(a)(2)" in page and "UNKNOWN" in page and "not known" not in page
