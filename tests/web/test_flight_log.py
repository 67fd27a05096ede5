"""The flight log: what cannot be is refused, the same again is asked about, a mistake stays and counts for nothing."""

from __future__ import annotations

import csv
import io
import re
from datetime import timedelta

import pytest

from service.models.day import LaunchDay
from service.models.flight_log import Flight
from service.planning.errors import DocumentRefused
from service.planning.flight_log import refuse_impossible
from service.planning.learning.kept import kept_cases
from service.web.flight_log import JUST_NOW
from tests.builders import small_day
from tests.web.conftest import DAY, NOW
from tests.web.test_pads import LINE_UP, PADS, judge, launch, pad_row, program, stand  # noqa: F401

LOG = f"/days/{DAY}/log"
API = f"/api/v1/days/{DAY}/flights"
FORM = {"/entry": "n1", "/flown_at": "2028-07-09T09:45", "/pad": "P1", "/happened": "planned"}
FLIGHT = {"entry": "n1", "flown_at": "2028-07-09T09:45:00-03:00", "pad": "P1", "happened": "planned"}


def flown(store) -> list[str]:
    return [each.flight.happened for each in store.flights.all(DAY)]


# What cannot be


@pytest.mark.parametrize(
    ("change", "api", "told"),
    [
        ({"/flown_at": "2028-07-09T09:56"}, {"flown_at": "2028-07-09T09:56:00-03:00"}, "ahead of now"),
        ({"/flown_at": "2029-07-09T09:45"}, {"flown_at": "2029-07-09T09:45:00-03:00"}, "ahead of now"),
        ({"/flown_at": "2028-07-07T09:45"}, {"flown_at": "2028-07-07T09:45:00-03:00"}, "before this launch day"),
        # The Caldén field lies at 63.2° west, 32.1° south; the signs lost, it is on the other side of the world.
        ({"/landing/0": "63.2", "/landing/1": "32.1"}, {"landing": [63.2, 32.1]}, "km from the nearest pad"),
        ({"/landing/0": "10", "/landing/1": "10"}, {"landing": [10.0, 10.0]}, "km from the nearest pad"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(rita, program, store, change, api, told):  # noqa: F811
    answer = rita.post(f"{LOG}/new", {**FORM, **change})
    assert answer.status_code == 422 and told in answer.text and all(each in answer.text for each in change.values())
    refused = program("POST", API, {**FLIGHT, **api})
    assert refused.status_code == 422 and told in str(refused.json["errors"]) and not flown(store)


def test_clocks_may_differ_by_two_minutes(program, store):  # noqa: F811
    """The service's clock stands at 09:50."""
    assert program("POST", API, {**FLIGHT, "flown_at": "2028-07-09T09:51:50-03:00"}).status_code == 201


def test_a_landing_some_kilometres_away_is_none_to_refuse(program):  # noqa: F811
    """0.1° of latitude are 11.1 km on any ellipsoid of the earth, 0.5° are 55."""
    assert program("POST", API, {**FLIGHT, "landing": [-63.2, -32.0]}).status_code == 201
    far = program("PUT", f"{API}/1", {**FLIGHT, "landing": [-63.2, -31.6]}, "*")
    assert far.status_code == 422 and "55 km" in far.json["errors"][0]["found"]


def test_what_was_written_once_is_not_refused_later():
    """A day that was moved to another date, or to another field, keeps its log; an apogee read later is written."""
    day = LaunchDay.model_validate(small_day())
    moved = day.model_copy(update={"date": day.date + timedelta(days=14)})
    before = Flight(**{**FLIGHT, "landing": (10.0, 10.0)})
    refuse_impossible(moved, before.model_copy(update={"apogee_m": 131.0}), NOW, before)
    with pytest.raises(DocumentRefused) as refused:
        refuse_impossible(moved, before, NOW)
    assert [each.pointer for each in refused.value.faults] == ["/flown_at", "/landing/1"]
    two_days = day.model_copy(update={"date": day.date + timedelta(days=1)})
    refuse_impossible(two_days, Flight(**FLIGHT), NOW)


# The same flight twice


def test_the_same_flight_again_is_asked_about(rita, program, store):  # noqa: F811
    assert rita.post(f"{LOG}/new", FORM).status_code == 303
    again = rita.post(f"{LOG}/new", {**FORM, "/note": "kept words"})
    assert again.status_code == 409 and "may be in the log already" in again.text and "kept words" in again.text
    assert f'href="{LOG}/1"' in again.text and flown(store) == ["planned"]
    assert program("POST", API, FLIGHT).status_code == 409
    assert program("POST", f"{API}?another=false", FLIGHT).status_code == 409
    assert rita.post(f"{LOG}/new", {**FORM, "another": "yes"}).status_code == 303
    assert program("POST", f"{API}?another=true", FLIGHT).status_code == 201
    assert program("POST", API, {**FLIGHT, "entry": "n3"}).status_code == 201, "another rocket"
    assert program("POST", API, {**FLIGHT, "flown_at": "2028-07-09T09:30:00-03:00"}).status_code == 201, "earlier"


def test_what_was_written_by_hand_is_not_written_again_from_the_pads(rita, program, store):  # noqa: F811
    stand(rita, "n1")
    assert rita.post(f"{LOG}/new", {**FORM, "/flown_at": "2028-07-09T09:49"}).status_code == 303
    answer = launch(rita, "n1")
    assert answer.status_code == 409 and "n1 is in the log already: number 1" in answer.text
    assert flown(store) == ["planned"] and "n1" in pad_row(rita.get(PADS).text, "P1"), "neither line nor log moved"
    assert program("POST", f"{LINE_UP}/flown", {"entries": ["n1"]}, "*").status_code == 409
    assert program("GET", LINE_UP).json["on_pad"] == ["n1"]


# Written by mistake


def test_a_mistake_stays_and_counts_for_nothing(rita, program, store, clock):  # noqa: F811
    rita.post(f"{LOG}/new", {**FORM, "/apogee_m": "131"})
    clock.now += JUST_NOW + timedelta(minutes=10)
    page = rita.get(f"{LOG}/1").text
    assert f'action="{LOG}/1/mistake"' in page and "n1" in rita.get(f"/days/{DAY}/desk?ruling=flown").text
    assert rita.post(f"{LOG}/1/mistake", {"based_on": "9"}).status_code == 409
    assert rita.post(f"{LOG}/1/mistake", {"based_on": "1"}).headers["Location"].endswith("/log")
    assert flown(store) == [] and not kept_cases(store, [DAY])
    assert 'id="row-n1"' not in rita.get(f"/days/{DAY}/desk?ruling=flown").text
    page = rita.get(LOG).text
    assert "written by mistake; it counts for nothing" in page and "131 m" in page and 'class="struck"' in page
    assert [each["happened"] for each in csv.DictReader(io.StringIO(rita.get(f"{LOG}.csv").text))] == ["mistake"]
    assert [each["flight"]["happened"] for each in program("GET", API).json["items"]] == ["mistake"]
    assert [each["flight"]["happened"] for each in program("GET", f"{API}/1/history").json["items"]] == [
        "mistake", "planned"
    ]  # fmt: skip
    page = rita.get(f"{LOG}/1").text
    assert "/mistake" not in page and '<option value="" selected>' in page, "nobody's word is chosen for them"
    assert rita.post(f"{LOG}/1", {**FORM, "/happened": "", "based_on": "2"}).status_code == 422
    assert rita.post(f"{LOG}/1", {**FORM, "/happened": "lost", "based_on": "2"}).status_code == 303
    assert flown(store) == ["lost"]


def test_a_mistake_does_not_stand_in_the_way_of_the_flight_itself(program, store):  # noqa: F811
    assert program("POST", API, FLIGHT).status_code == 201
    assert program("PUT", f"{API}/1", {**FLIGHT, "happened": "mistake"}, "*").status_code == 200
    assert program("POST", API, {**FLIGHT, "happened": "mistake"}).status_code == 422, "nothing new is a mistake"
    assert program("POST", API, FLIGHT).status_code == 201 and flown(store) == ["planned"]


# What did not leave after all


@pytest.mark.parametrize("happened", ["mistake", "misfire"])
def test_flown_by_a_slip_stands_on_its_pad_again_and_is_next(rita, store, happened):
    stand(rita, "n1", "n2")
    launch(rita, "n1")
    assert "free" in pad_row(rita.get(PADS).text, "P1")
    if happened == "mistake":
        answer = rita.post(f"{LOG}/1/mistake", {"based_on": "1"})
    else:
        page = rita.get(f"{LOG}/1").text
        at = re.search(r'name="/flown_at" value="([^"]+)"', page)[1]
        answer = rita.post(f"{LOG}/1", {**FORM, "/flown_at": at, "/happened": happened, "based_on": "1"})
    assert answer.status_code == 303 and answer.headers["Location"].endswith("/pads"), answer.text
    page = rita.get(PADS).text
    assert "n1" in pad_row(page, "P1") and re.findall(r'<a id="(n\d)"', page)[:2] == ["n1", "n2"]
    assert ("nobody approaches before" in page) == (happened == "misfire")


def test_by_the_api_too_and_only_just_now(rita, program, clock):  # noqa: F811
    stand(rita, "n1")
    launch(rita, "n1")
    flight = program("GET", f"{API}/1").json["flight"]
    clock.now += JUST_NOW + timedelta(minutes=1)
    assert program("PUT", f"{API}/1", {**flight, "happened": "misfire"}, "*").status_code == 200
    assert program("GET", LINE_UP).json["on_pad"] == [], "half an hour later the pads have moved on"
    now = clock.now.isoformat(timespec="seconds")
    hung = program("POST", API, {**FLIGHT, "flown_at": now, "happened": "hung_up"})
    assert hung.status_code == 201, hung.text
    (stands,) = program("GET", LINE_UP).json["stands"]
    assert (stands["entry"], stands["stayed"]) == ("n1", "hung_up") and program("GET", LINE_UP).json["turns"] == []
