"""Rows of the flight log and the setting that goes with them: all or nothing, on every database."""

from __future__ import annotations

import pytest

from service.store import AlreadyLogged, Conflict, NotFound, Refused
from service.store.flights import SAME_WITHIN_MIN, Flight
from service.store.settings import Put

AT = "2027-05-15T14:{:02d}:00Z"


@pytest.fixture
def day_id(store, small) -> str:
    return store.import_day(small, "organiser-1", day_id="heron")


def flight(entry: str = "e-07", minute: int = 0, happened: str = "planned") -> Flight:
    return Flight(entry=entry, flown_at=AT.format(minute), pad="A1", happened=happened)


def test_rows_and_setting_go_together(store, day_id):
    store.flights.add_all(day_id, [flight("e-07"), flight("e-02")], "rso-1", also=Put("line", {"left": 1}, 0))
    assert [each.flight.entry for each in store.flights.all(day_id)] == ["e-07", "e-02"]
    refused = (
        (Conflict, [flight("e-01")], 0),  # somebody else shifted the line first
        (NotFound, [flight("e-01"), flight("e-99")], 1),  # the second row is of nobody
        (AlreadyLogged, [flight("e-01"), flight("e-07", 3)], 1),  # the second row is there already
    )
    for kind, rows, based_on in refused:
        with pytest.raises(kind):
            store.flights.add_all(day_id, rows, "rso-2", also=Put("line", {"left": 2}, based_on))
        assert len(store.flights.all(day_id)) == 2 and store.settings.get("line").value == {"left": 1}, kind
    with pytest.raises(Conflict):
        store.flights.update(day_id, 1, flight(happened="lost"), "rso-2", based_on=9, also=Put("line", {"left": 3}, 1))
    assert store.settings.get("line").revision == 1 and store.verify_chain().whole


def test_the_same_flight_twice(store, day_id):
    store.flights.add(day_id, flight(minute=20), "rso-1")
    within = int(SAME_WITHIN_MIN)
    for minute in (20 - within, 20, 20 + within):
        with pytest.raises(AlreadyLogged) as told:
            store.flights.add(day_id, flight(minute=minute), "rso-1")
        assert told.value.number == 1 and "e-07" in str(told.value)
    store.flights.add(day_id, flight(minute=20 + within + 1), "rso-1")
    store.flights.add(day_id, flight(minute=20), "rso-1", another=True)
    store.flights.add(day_id, flight(minute=21, happened="misfire"), "rso-1")
    assert len(store.flights.all(day_id)) == 4


def test_after_a_misfire_the_next_try_is_no_second_flight(store, day_id):
    store.flights.add(day_id, flight(happened="misfire"), "rso-1")
    store.flights.add(day_id, flight(minute=1), "rso-1")
    with pytest.raises(AlreadyLogged):
        store.flights.add(day_id, flight(minute=2, happened="hung_up"), "rso-1")


def test_a_row_written_by_mistake_stays_and_is_left_out(store, day_id):
    row = store.flights.add(day_id, flight(), "rso-1")
    store.flights.update(day_id, row.number, flight(happened="mistake"), "rso-1", based_on=1)
    assert store.flights.all(day_id) == ()
    (kept,) = store.flights.all(day_id, mistakes=True)
    assert kept.by_mistake and kept.number == 1
    assert [each.document.happened for each in store.flights.history(day_id, 1)] == ["planned", "mistake"]
    assert store.flights.add(day_id, flight(), "rso-1").number == 2, "the number is not given again"
    with pytest.raises(Refused, match="expected what happened"):
        store.flights.add(day_id, flight("e-02", happened="mistake"), "rso-1")
