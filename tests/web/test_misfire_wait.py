"""The wait after a misfire where the day asks more than the codes: at the items that say 60 s, and while it goes on.

60 s is the least: NAR Model Rocket Safety Code item 4, High Power Rocket Safety Code item 5, 2012-08.
"""

from __future__ import annotations

import re
from datetime import timedelta

import pytest

from tests.web.conftest import DAY
from tests.web.test_desk import RULING, TICKS, assess_by_hand, item, send, shift
from tests.web.test_pads import PADS, launch, shift_at, stand

CHECKLIST = f"/days/{DAY}/checklist"
SAID = "On this day nobody approaches for 300 s."


def with_the_misfire_item(day, entry, ground):
    made = assess_by_hand(day, entry, ground)
    return made.model_copy(update={"checklist": (*made.checklist, item("us-mr-misfire", "day"))})


@pytest.fixture
def judge():
    return with_the_misfire_item


def wait(store, seconds: float) -> None:
    kept = store.days.header(DAY)
    policy = kept.document.policy.model_copy(update={"misfire_wait_s": seconds})
    store.days.update(DAY, kept.document.model_copy(update={"policy": policy}), "olga", based_on=kept.revision)


def words(page: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", page).split())


def test_a_longer_wait_stands_at_the_item_and_at_no_other(rita, store, assess):
    at_item = f"Seen to us-mr-misfire. {SAID}"
    for page in (CHECKLIST, RULING.format("n1")):
        assert SAID not in words(rita.get(page).text)
    wait(store, 300.0)
    assess()
    for page in (CHECKLIST, RULING.format("n1")):
        shown = words(rita.get(page).text)
        assert at_item in shown and shown.count(SAID) == 1, page
    refused = send(rita, "n1", "approved", **TICKS)
    assert refused.status_code == 422 and f"Not ticked: {at_item}" in words(refused.text)
    assert "Not ticked: Seen to fire-watch. On" not in words(refused.text)
    assert rita.post(CHECKLIST, {"tick": ["us-mr-misfire"], "by": "One"}).status_code == 303
    for page in (CHECKLIST, RULING.format("n1")):
        assert at_item in words(rita.get(page).text), "ticked"


@pytest.mark.parametrize(("before_s", "then_s"), [(300.0, 60.0), (60.0, 300.0), (300.0, 120.0)])
def test_a_wait_that_goes_on_is_never_shorter_than_when_the_try_was_logged(rita, store, clock, before_s, then_s):
    wait(store, before_s)
    stand(rita, "n1")
    assert launch(rita, "n1", happened="misfire").status_code == 303
    wait(store, then_s)
    clock.now += timedelta(seconds=299)
    assert "nobody approaches before" in words(rita.get(PADS).text)
    assert shift_at(rita, "n1", "take_down").status_code == 422
    clock.now += timedelta(seconds=2)
    assert "the wait of 300 s is over" in words(rita.get(PADS).text)
    assert shift(rita, "n1", "ready").status_code == 303
    launch(rita, "n1", happened="misfire")
    clock.now += timedelta(seconds=then_s + 1.0)
    assert f"the wait of {then_s:g} s is over" in words(rita.get(PADS).text), "the next try waits as the day asks then"


def test_a_wait_that_was_kept_without_its_length_is_read(rita, store, clock):
    """As it was once kept: the codes' 60 s, or what the day asks now."""
    stand(rita, "n1")
    launch(rita, "n1", happened="misfire")
    kept = next(each for each in store.settings.all() if each.name.startswith("line-up."))
    stayed = {each: {"what": told["what"], "at": told["at"]} for each, told in kept.value["stayed"].items()}
    store.settings.set(kept.name, {**kept.value, "stayed": stayed}, "setup", based_on=kept.revision)
    clock.now += timedelta(seconds=59)
    assert "nobody approaches before" in words(rita.get(PADS).text)
    clock.now += timedelta(seconds=2)
    assert "the wait of 60 s is over" in words(rita.get(PADS).text)
