"""Entries: their numbers, their motors, what does not fit, and what is too much."""

from __future__ import annotations

import pytest

from service.models.entry import Attestation
from service.store import AlreadyThere, Conflict, NotFound, OutOfStock, Refused, TooLarge
from service.store.flights import Flight
from service.store.sheets import SHEET_LIMIT


@pytest.fixture
def day_id(store, small) -> str:
    return store.import_day(small, "organiser-1", day_id="heron")


def places(call) -> list[tuple]:
    with pytest.raises(Refused) as refused:
        call()
    return [problem.at for problem in refused.value.problems]


def left(store, day_id, motor_id):
    return store.motors.get(day_id, motor_id).left


def test_numbers_are_given_in_turn_and_skip_those_taken(store, day_id, small):
    made = [store.entries.add(day_id, small.entries[0], "flyer", reserve=False).record.id for _ in range(6)]
    assert made == ["e-03", "e-04", "e-05", "e-06", "e-08", "e-09"]
    store.entries.withdraw(day_id, "e-09", "flyer", based_on=1)
    assert store.entries.add(day_id, small.entries[0], "flyer", reserve=False).record.id == "e-10"
    own = small.entries[0].model_copy(update={"id": "guest.1"})
    assert store.entries.add(day_id, own, "flyer", keep_id=True, reserve=False).record.id == "guest.1"
    for taken in ("guest.1", "e-09"):
        with pytest.raises(AlreadyThere):
            store.entries.add(day_id, own.model_copy(update={"id": taken}), "flyer", keep_id=True, reserve=False)


def test_an_entry_holds_its_motors_and_gives_them_back(store, day_id, small):
    entry = small.entry_by_id("e-07")
    stock = small.motor_by_id(entry.motor).stock
    assert left(store, day_id, entry.motor) == stock - entry.motor_count
    other = small.entry_by_id("e-01").motor
    before = left(store, day_id, other)
    model = small.entry_by_id("e-01")
    same = {name: getattr(model, name) for name in ("motor", "rocket", "delay_s", "recovery")}
    swapped = entry.model_copy(update=same)
    record = store.entries.update(day_id, swapped, "flyer", based_on=1)
    assert record.reserved == 1
    assert left(store, day_id, entry.motor) == stock and left(store, day_id, other) == before - 1
    store.entries.update(day_id, swapped, "flyer", based_on=2, reserve=False)
    assert left(store, day_id, other) == before
    store.entries.update(day_id, swapped, "flyer", based_on=2, reserve=True)
    assert left(store, day_id, other) == before - 1
    store.entries.withdraw(day_id, "e-07", "flyer", based_on=2, why="broken fin")
    assert left(store, day_id, other) == before
    assert [each.why for each in store.entries.history(day_id, "e-07")] == ["", "", "broken fin"]
    assert store.verify_chain().whole


def test_what_is_sold_out_is_refused_whole(store, day_id, small):
    entry = small.entry_by_id("e-07")
    motor = small.motor_by_id(entry.motor)
    store.motors.save(day_id, [motor.model_copy(update={"stock": 1})], "organiser-1", based_on={motor.id: 1})
    head = store.audit.head()
    with pytest.raises(OutOfStock) as refused:
        store.entries.add(day_id, entry, "flyer")
    assert (refused.value.motor_id, refused.value.asked, refused.value.left) == (motor.id, 1, 0)
    assert store.audit.head() == head and len(store.entries.all(day_id)) == 3
    assert store.entries.add(day_id, entry, "flyer", reserve=False).record.reserved == 0
    with pytest.raises(OutOfStock):
        store.motors.save(day_id, [motor.model_copy(update={"stock": 0})], "organiser-1", based_on={motor.id: 2})
    uncounted = motor.model_copy(update={"stock": None})
    assert store.motors.save(day_id, [uncounted], "organiser-1", based_on={motor.id: 2})[0].left is None
    assert store.entries.add(day_id, entry, "flyer").record.reserved == 1


def test_what_does_not_fit_the_day_is_refused(store, day_id, small):
    entry = small.entry_by_id("e-07")
    add = lambda **changes: store.entries.add(day_id, entry.model_copy(update=changes), "flyer", reserve=False)  # noqa: E731
    head = store.audit.head()
    assert places(lambda: add(motor="none")) == [("motor",)]
    assert places(lambda: add(pad="Z9")) == [("pad",)]
    assert places(lambda: add(delay_s=59.0)) == [("delay_s",)]
    assert places(lambda: add(motor_count=0)) == [("motor_count",)]
    assert places(lambda: add(delay_s=float("nan"))) == [("delay_s",)]
    with pytest.raises(TypeError, match="expected Entry"):
        store.entries.add(day_id, entry.model_dump(), "flyer")
    assert store.audit.head() == head


def test_a_motor_that_entries_fly_cannot_go_or_change_under_them(store, day_id, small):
    entry = small.entry_by_id("e-07")
    motor = small.motor_by_id(entry.motor)
    head = store.audit.head()
    assert places(lambda: store.motors.remove(day_id, motor.id, "organiser-1", based_on=1)) == [()]
    fat = motor.model_copy(update={"diameter_m": 0.4})
    assert places(lambda: store.motors.save(day_id, [fat], "organiser-1", based_on={motor.id: 1}))
    assert store.audit.head() == head


def test_a_motor_goes_and_comes_back(store, day_id, small):
    spare = next(each for each in small.motors if each.id not in {entry.motor for entry in small.entries})
    store.motors.remove(day_id, spare.id, "organiser-1", based_on=1)
    assert spare.id not in {offer.motor.id for offer in store.motors.all(day_id)}
    with pytest.raises(NotFound):
        store.motors.get(day_id, spare.id)
    (offer,) = store.motors.save(day_id, [spare], "organiser-1", based_on={})
    assert (offer.revision, offer.motor) == (3, spare)
    assert store.day_document(day_id) == small
    with pytest.raises(Conflict):
        store.motors.remove(day_id, spare.id, "organiser-1", based_on=1)


def test_ticks_do_not_come_in_with_an_entry(store, day_id, small):
    tick = Attestation(by="Officer", at="2027-05-15T08:40:00-05:00")
    entry = small.entries[0].model_copy(update={"attestations": {"club-a": tick}})
    assert places(lambda: store.entries.add(day_id, entry, "flyer", reserve=False)) == [("attestations",)]
    assert places(lambda: store.entries.update(day_id, entry, "flyer", based_on=1)) == [("attestations",)]
    store.attestations.add(day_id, entry.id, "club-a", tick, "rso-1")
    moved = store.entries.get(day_id, entry.id).entry.model_copy(update={"pad": "B2"})
    assert store.entries.update(day_id, moved, "flyer", based_on=1).entry.attestations == {"club-a": tick}


def test_a_withdrawn_entry_stays_as_it_is(store, day_id, small):
    store.entries.withdraw(day_id, "e-01", "flyer", based_on=1)
    entry = store.entries.get(day_id, "e-01")
    assert entry.withdrawn and entry.revision == 2
    assert places(lambda: store.entries.update(day_id, entry.entry, "flyer", based_on=2)) == [()]
    assert places(lambda: store.entries.withdraw(day_id, "e-01", "flyer", based_on=2)) == [()]
    assert [each.id for each in store.entries.all(day_id)] == ["e-02", "e-07"]
    assert [each.id for each in store.entries.all(day_id, withdrawn=True)] == ["e-01", "e-02", "e-07"]
    assert [each.id for each in store.day_document(day_id).entries] == ["e-02", "e-07"]


def test_too_much_is_refused(store, day_id):
    with pytest.raises(TooLarge):
        store.sheets.add(day_id, b"%PDF-" + bytes(SHEET_LIMIT), "rso-1")
    with pytest.raises(TooLarge):
        store.settings.set("club", "x" * 100_000, "ann", based_on=0)
    with pytest.raises(TypeError):
        store.settings.set("club", 0.1, "ann", based_on=0)
    with pytest.raises(Refused):
        store.sheets.add(day_id, b"<html>", "rso-1")
    assert store.sheets.all(day_id) == ()


def test_a_sheet_comes_out_as_it_went_in(store, day_id):
    pdf = b"%PDF-1.7\x00\xff" + bytes(range(256))
    line = store.sheets.add(day_id, pdf, "rso-1", entry_id="e-07")
    assert store.sheets.all(day_id) == (line,)
    assert store.sheets.pdf(day_id, line.id) == pdf
    with pytest.raises(NotFound):
        store.sheets.pdf("other", line.id)


def test_the_log_keeps_what_flew(store, day_id):
    flight = Flight(
        entry="e-07", flown_at="2027-05-15T10:00:00-05:00", pad="A1", happened="planned", apogee_m=231.5,
        landing=(-97.51, 46.91),
    )  # fmt: skip
    row = store.flights.add(day_id, flight, "rso-1")
    assert (row.number, row.flight, row.entry_revision, row.assessment_id) == (1, flight, 1, None)
    assert store.flights.all(day_id) == (row,)
    other = flight.model_copy(update={"entry": "e-02"})
    assert store.flights.update(day_id, 1, other, "rso-1", based_on=1).flight == other
    assert [each.document for each in store.flights.history(day_id, 1)] == [flight, other]
    with pytest.raises(NotFound):
        store.flights.add(day_id, flight.model_copy(update={"entry": "e-99"}), "rso-1")
    with pytest.raises(ValueError, match="misfire"):
        Flight(entry="e-07", flown_at="2027-05-15T10:00:00-05:00", pad="A1", happened="misfire", apogee_m=1.0)


def test_conditions_of_another_field_are_refused(store, day_id, small):
    sea_level = small.conditions.model_copy(update={"pressure_hpa": 600.0})
    assert places(lambda: store.weather.enter(day_id, sea_level, "rso-1", based_on=1)) == [("pressure_hpa",)]
    assert store.weather.current(day_id).document == small.conditions
