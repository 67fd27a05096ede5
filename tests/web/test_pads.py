"""The pads page where a flight does not go as planned: a misfire, a hang-up, a reading that grows old, a moved entry.

What is asked of it: nobody approaches for 60 s after the last try (NAR Model Rocket Safety Code item 4, High Power item
5, 2012-08); and no pad is called free while a rocket stands on it.
"""

from __future__ import annotations

import json
import re
from datetime import timedelta

import pytest

from service.planning.new_day import NOT_MEASURED
from tests.web.conftest import DAY
from tests.web.test_api import Program
from tests.web.test_desk import TICKS, assess_by_hand, hidden, send, shift

PADS = f"/days/{DAY}/pads"
LINE_UP = f"/api/v1/days/{DAY}/line-up"


@pytest.fixture
def judge():
    return assess_by_hand


@pytest.fixture
def program(app, people, day, store) -> Program:
    return Program(app.test_client(), store.people.new_token(store.people.by_login("rita").id, "test", "setup"))


def pad_row(page: str, pad: str) -> str:
    """What the page says of a pad, without its tags."""
    found = re.search(rf'<tr><td data-label="Pad"><div><b>{pad}</b>.*?</tr>', page, re.S)
    assert found, f"no pad {pad}"
    return " ".join(re.sub(r"<[^>]+>", " ", found[0]).split())


def launch(browser, *entries: str, **happened: str):
    page = browser.get(PADS).text
    based_on = re.search(r'class="flown.*?name="based_on" value="(\d+)"', page, re.S)[1]
    return browser.post(f"{PADS}/flown", {"entry": list(entries), "based_on": based_on, **happened})


def stand(browser, *entries: str) -> None:
    for each in entries:
        assert shift(browser, each, "add").status_code == 303
        assert shift(browser, each, "set_up").status_code == 303


# A misfire


def test_a_misfire_stands_on_its_pad_and_nobody_approaches_for_a_minute(rita, store, clock):
    stand(rita, "n1")
    clock.now = clock.now.replace(minute=51, second=20, microsecond=0)
    answer = launch(rita, "n1", happened="misfire")
    assert answer.status_code == 303 and answer.headers["Location"].endswith("/pads")
    assert [each.flight.happened for each in store.flights.all(DAY)] == ["misfire"]
    page = rita.get(PADS).text
    assert "free" not in pad_row(page, "P1") and "n1 Hornero misfired" in pad_row(page, "P1")
    words = " ".join(re.sub(r"<[^>]+>", " ", page).split())
    assert "n1 Hornero misfired at 09:51:20 -03 : nobody approaches before 09:52:20" in words.replace("UTC-0300", "-03")
    assert 'value="take_down"' not in page and 'class="main">Flown' not in page and "http-equiv" in page
    early = shift_at(rita, "n1", "take_down")
    assert early.status_code == 422 and "Nobody approaches n1 yet" in early.text
    assert shift_at(rita, "n1", "ready").status_code == 422
    stamp = rita.get(f"/days/{DAY}/desk/state").json["stamp"]
    clock.now += timedelta(seconds=61)
    assert rita.get(f"/days/{DAY}/desk/state").json["stamp"] != stamp, "open pages learn that the wait is over"
    page = rita.get(PADS).text
    assert "the wait of 60 s is over" in page and "free" not in pad_row(page, "P1")
    assert shift(rita, "n1", "take_down").status_code == 303
    page = rita.get(PADS).text
    assert "free" in pad_row(page, "P1") and "misfired" not in page and re.search(r'<a id="n1"', page), "in line still"


def test_a_longer_wait_of_the_day_holds(rita, program, store, clock):
    kept = store.days.header(DAY)
    policy = kept.document.policy.model_copy(update={"misfire_wait_s": 90.0})
    changed = kept.document.model_copy(update={"policy": policy})
    store.days.update(DAY, changed, "olga", based_on=kept.revision)
    stand(rita, "n1")
    clock.now = clock.now.replace(minute=51, second=20, microsecond=0)
    launch(rita, "n1", happened="misfire")
    clock.now += timedelta(seconds=61)
    assert "n1 Hornero misfired stays until 09:52:50" in pad_row(rita.get(PADS).text, "P1")
    assert shift_at(rita, "n1", "take_down").status_code == 422
    (stands,) = program("GET", LINE_UP).json["stands"]
    assert "12:52:50" in stands["nobody_before"]
    early = program("PUT", LINE_UP, {"turns": [["n1"]], "on_pad": ["n1"], "ready": ["n1"]}, "*")
    assert early.status_code == 422 and "12:52:50" in early.json["detail"]
    assert "nobody approaches for 90 s on this day" in rita.get(f"/days/{DAY}/checklist").text
    clock.now += timedelta(seconds=30)
    assert "the wait of 90 s is over" in rita.get(PADS).text and shift(rita, "n1", "ready").status_code == 303


def shift_at(browser, entry: str, what: str):
    """Shift as a page from before would: nothing of that kind is offered now."""
    based_on = re.search(r'class="flown.*?name="based_on" value="(\d+)"', browser.get(PADS).text, re.S)[1]
    return browser.post(PADS, {"entry": entry, "what": what, "based_on": based_on})


def test_a_misfire_is_made_ready_again_and_flies(rita, store, clock):
    stand(rita, "n1")
    launch(rita, "n1", happened="misfire")
    clock.now += timedelta(seconds=61)
    assert "make it ready again" in rita.get(PADS).text
    assert shift(rita, "n1", "ready").status_code == 303
    assert "make it ready again" not in rita.get(PADS).text
    assert launch(rita, "n1").status_code == 303
    assert [each.flight.happened for each in store.flights.all(DAY)] == ["misfire", "planned"]
    assert "free" in pad_row(rita.get(PADS).text, "P1")


def test_what_lights_late_has_flown_whatever_the_wait_says(rita, store):
    stand(rita, "n1")
    launch(rita, "n1", happened="misfire")
    assert launch(rita, "n1").status_code == 303
    page = rita.get(PADS).text
    assert "free" in pad_row(page, "P1") and "nobody approaches" not in page


def test_a_misfire_of_one_that_nobody_had_put_on_its_pad_stands_there(rita):
    shift(rita, "n2", "add")
    launch(rita, "n2", happened="misfire")
    assert "n2" in pad_row(rita.get(PADS).text, "P2") and "free" in pad_row(rita.get(PADS).text, "P1")


def test_of_two_launched_at_once_one_stays(rita, store):
    stand(rita, "n1", "n2")
    assert shift(rita, "n2", "join").status_code == 303
    page = rita.get(PADS).text
    assert "All flown" in page and all(f'"{each}: n2"' in page for each in ("Flown", "Misfire", "Lit, and hung up"))
    assert launch(rita, "n2", happened="misfire").headers["Location"].endswith("/pads")
    page = rita.get(PADS).text
    assert "n1 flown</button>" in page and "All flown" not in page
    (left,) = [each for each in re.findall(r'<form method="post" class="flown".*?</form>', page) if "n1 flown" in each]
    assert re.findall(r'name="entry" value="(\w+)"', left) == ["n1"], "what stayed is not said to have flown"
    assert launch(rita, "n1").status_code == 303
    told = {each.flight.entry: each.flight.happened for each in store.flights.all(DAY)}
    assert told == {"n1": "planned", "n2": "misfire"}
    page = rita.get(PADS).text
    assert "free" in pad_row(page, "P1") and "misfired" in pad_row(page, "P2")


def test_nothing_else_can_become_of_an_entry(rita, store):
    stand(rita, "n1")
    assert launch(rita, "n1", happened="mistake").status_code == 422 and not store.flights.all(DAY)


# A hang-up


def test_what_hung_up_is_out_of_line_and_on_its_pad(rita, store, clock):
    stand(rita, "n1", "n2")
    assert launch(rita, "n1", happened="hung_up").status_code == 303
    page = rita.get(PADS).text
    assert "n1 Hornero hung up" in pad_row(page, "P1") and "a charge may still fire" in page
    assert re.findall(r'<a id="(n\d)"', page)[0] == "n2", "it has had its flight: the next one is next"
    assert "flown" in rita.get(f"/days/{DAY}/desk").text
    clock.now += timedelta(seconds=61)
    assert shift(rita, "n1", "take_down").status_code == 303
    assert "free" in pad_row(rita.get(PADS).text, "P1") and not store.settings.all()[-1].value["stayed"]


# What stands on a pad stays there


def test_out_of_line_moved_or_withdrawn_it_stands_on_its_pad(rita, new_browser, store, assess):
    stand(rita, "n1")
    refused = shift(rita, "n1", "leave")
    assert refused.status_code == 422 and "take it off first" in refused.text
    moved = rita.post(f"{PADS}/other", {"entry": "n1", "pad": "P2", "based_on": "1"})
    assert moved.status_code == 422 and "stands on pad P1: take it off first" in moved.text
    entry = store.entries.get(DAY, "n1").entry
    store.entries.update(DAY, entry.model_copy(update={"pad": "P2"}), "olga", based_on=1)
    page = rita.get(PADS).text
    assert "n1" in pad_row(page, "P1") and "meant for pad P2" in pad_row(page, "P1") and "free" in pad_row(page, "P2")
    assert "n1 stands on pad P1, and is now meant for pad P2." in page
    store.entries.withdraw(DAY, "n1", "olga", based_on=2)
    page = rita.get(PADS).text
    assert "n1 Hornero withdrawn" in pad_row(page, "P1") and "free" not in pad_row(page, "P1")
    given = {"entry": "n1", "what": "take_down", "based_on": hidden(page, "based_on")}
    assert rita.post(PADS, given).status_code == 303
    assert "free" in pad_row(rita.get(PADS).text, "P1")


def test_an_order_that_was_kept_before_pads_were_named_is_read(rita, store):
    stand(rita, "n1")
    kept = next(each for each in store.settings.all() if each.name.startswith("line-up."))
    store.settings.set(kept.name, {"turns": [["n1"]], "on_pad": ["n1"]}, "setup", based_on=kept.revision)
    assert "n1" in pad_row(rita.get(PADS).text, "P1")


# A reading that grows old


def test_no_flight_goes_on_conditions_that_are_too_old(rita, clock):
    assert send(rita, "n1", "approved", **TICKS).status_code == 303
    stand(rita, "n1")
    page = rita.get(PADS).text
    assert '<button class="main">Flown' in page and "Hold:" not in page
    clock.now += timedelta(minutes=25)  # the reading was ten minutes old; 35 are more than the policy's 30
    page = rita.get(PADS).text
    assert "Hold: no flight goes before a new reading." in page and "Next</b>, on hold" in page
    assert "The conditions are 35 min old: no flight goes before a new reading." in page
    assert '<button class="main">' not in page and page.count("n1: Approved, but") == 0, "said once"
    row = re.search(r'<tr[^>]*id="row-n1".*?</tr>', rita.get(f"/days/{DAY}/desk").text, re.S)[0]
    assert "the conditions are 35 min old: no flight goes on them" in row and 'class="row-loud"' in row


def test_before_the_first_reading_nothing_flies(rita, store):
    """A new day begins with conditions that nobody measured."""
    shift(rita, "n1", "add")
    now = store.weather.current(DAY)
    unread = now.document.model_copy(update={"source": NOT_MEASURED})
    store.weather.enter(DAY, unread, "setup", based_on=now.revision)
    page = rita.get(PADS).text
    assert "Hold: no flight goes before a first reading." in page
    assert "The conditions are not measured yet: no flight goes before a first reading." in page


# Programs


def test_programs_see_a_misfire_and_wait_too(program, clock):
    put = program("PUT", LINE_UP, {"turns": [["n1"], ["n2"]], "on_pad": ["n1"]}, '"0"')
    assert put.json["stands"] == [{"entry": "n1", "pad": "P1", "stayed": None, "tried_at": None, "nobody_before": None}]
    assert program("POST", f"{LINE_UP}/flown", {"entries": ["n1"], "happened": "misfire"}, "*").status_code == 200
    told = program("GET", LINE_UP).json
    (stands,) = told["stands"]
    assert told["on_pad"] == ["n1"] and told["turns"][0]["entries"] == ["n1"] and stands["stayed"] == "misfire"
    turns = {"turns": [["n1"], ["n2"]]}
    for early in (turns, {**turns, "on_pad": ["n1"], "ready": ["n1"]}):
        answer = program("PUT", LINE_UP, early, "*")
        assert answer.status_code == 422 and answer.json["detail"].startswith("Nobody approaches n1"), early
    kept = program("PUT", LINE_UP, {"turns": [["n2"], ["n1"]], "on_pad": ["n1"]}, "*").json
    assert kept["stands"][0]["stayed"] == "misfire", "moving it in line does not make it another thing"
    assert program("PUT", f"/api/v1/days/{DAY}/entries/n1/pad", {"pad": "P2"}, '"1"').status_code == 422
    clock.now += timedelta(seconds=61)
    ready = program("PUT", LINE_UP, {**turns, "on_pad": ["n1"], "ready": ["n1"]}, "*").json
    assert ready["stands"][0]["stayed"] is None
    assert json.dumps(program("PUT", LINE_UP, turns, "*").json["stands"]) == "[]"
