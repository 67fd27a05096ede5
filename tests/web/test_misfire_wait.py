"""The wait after a misfire where the day asks more than the codes: at the items that say 60 s.

60 s is the least: NAR Model Rocket Safety Code item 4, High Power Rocket Safety Code item 5, 2012-08.
"""

from __future__ import annotations

import re

import pytest

from tests.web.conftest import CHEAP, DAY, PLENTY, Config, tried
from tests.web.test_desk import RULING, TICKS, assess_by_hand, item, send

CHECKLIST = f"/days/{DAY}/checklist"
SAID = "On this day nobody approaches for 300 s."


def with_the_misfire_item(day, entry, ground):
    made = assess_by_hand(day, entry, ground)
    return made.model_copy(update={"checklist": (*made.checklist, item("us-mr-misfire", "day"))})


@pytest.fixture
def app(store, clock):
    config = Config(rates=PLENTY, background=False, assess=with_the_misfire_item, clock=clock, password_cost=CHEAP,
                    workers=1)  # fmt: skip
    with tried(config, store) as made:
        yield made


@pytest.fixture
def rita(new_browser, people, day, assess):
    assess()
    return new_browser("rita")


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
