"""Two people with the same thing open: the later one is told what changed and by whom, and nothing is lost."""

from __future__ import annotations

import pytest

from service.models.entry import Attestation
from service.store import AlreadyThere, Conflict, Verdict
from service.store.flights import Flight
from tests.store.samples import assessment


@pytest.fixture
def day_id(store, small) -> str:
    return store.import_day(small, "organiser-1", day_id="heron")


def refused_as_late(store, call) -> Conflict:
    """The conflict that a call meets, once it is sure that it wrote nothing."""
    head = store.audit.head()
    with pytest.raises(Conflict) as met:
        call()
    assert store.audit.head() == head
    assert store.verify_chain().whole
    return met.value


def test_the_later_of_two_headers(store, day_id):
    header = store.days.header(day_id).document
    store.days.update(day_id, header.model_copy(update={"name": "First"}), "ann", based_on=1, why="clearer")
    late = header.model_copy(update={"name": "Second"})
    conflict = refused_as_late(store, lambda: store.days.update(day_id, late, "ben", based_on=1))
    assert (conflict.based_on, conflict.current) == (1, 2)
    assert [(each.by, each.why, each.changed) for each in conflict.since] == [("ann", "clearer", ("/name",))]
    assert "ann" in str(conflict) and "/name" in str(conflict)
    assert store.days.header(day_id).document.name == "First"


def test_the_later_of_two_entries(store, day_id):
    entry = store.entries.get(day_id, "e-07").entry
    rocket = entry.rocket.model_copy(update={"mass_kg": 0.2})
    store.entries.update(day_id, entry.model_copy(update={"rocket": rocket}), "flyer e-07", based_on=1)
    store.entries.update(day_id, entry.model_copy(update={"rocket": rocket, "pad": "A1"}), "rso-1", based_on=2)
    conflict = refused_as_late(store, lambda: store.entries.update(day_id, entry, "flyer e-07", based_on=1))
    assert [(each.revision, each.by, each.changed) for each in conflict.since] == [
        (2, "flyer e-07", ("/rocket/mass_kg",)),
        (3, "rso-1", ("/pad",)),
    ]
    assert store.entries.get(day_id, "e-07").revision == 3
    assert [version.document.rocket.mass_kg for version in store.entries.history(day_id, "e-07")] == [
        entry.rocket.mass_kg, 0.2, 0.2,
    ]  # fmt: skip


@pytest.mark.parametrize("based_on", [0, 2, -1])
def test_a_revision_that_never_was(store, day_id, based_on):
    header = store.days.header(day_id).document.model_copy(update={"name": "Other"})
    assert refused_as_late(store, lambda: store.days.update(day_id, header, "ben", based_on=based_on)).current == 1


def test_the_later_of_two_readings_of_the_weather(store, day_id, small):
    warm = small.conditions.model_copy(update={"temperature_c": 25.0})
    cold = small.conditions.model_copy(update={"temperature_c": 5.0})
    assert store.weather.enter(day_id, warm, "rso-1", based_on=1).revision == 2
    conflict = refused_as_late(store, lambda: store.weather.enter(day_id, cold, "rso-2", based_on=1))
    assert conflict.since[0].changed == ("/temperature_c",)
    assert store.day_document(day_id).conditions == warm
    assert [version.by for version in store.weather.history(day_id)] == ["organiser-1", "rso-1"]
    hours = store.weather.forecast(day_id)
    store.weather.set_forecast(day_id, hours.document.forecast[:3], "ann", based_on=1)
    refused_as_late(store, lambda: store.weather.set_forecast(day_id, (), "ben", based_on=1))
    assert store.day_document(day_id).forecast == small.forecast[:3]


def test_the_later_of_two_motors_and_all_of_its_batch(store, day_id, small):
    one, two = small.motors[0], small.motors[1]
    more = one.model_copy(update={"stock": 99})
    store.motors.save(day_id, [more], "ann", based_on={one.id: 1})
    batch = [two.model_copy(update={"stock": 88}), one.model_copy(update={"stock": 77})]
    conflict = refused_as_late(store, lambda: store.motors.save(day_id, batch, "ben", based_on={one.id: 1, two.id: 1}))
    assert conflict.since[0].changed == ("/stock",)
    assert store.motors.get(day_id, two.id).motor == two, "the first of the batch was not kept either"
    assert refused_as_late(store, lambda: store.motors.save(day_id, [one], "ben", based_on={})).current == 2


def test_the_later_of_two_rulings(store, day_id):
    basis = store.assessments.snapshot(day_id).bases["e-07"]
    store.assessments.keep(day_id, [(assessment("e-07"), basis)], "service")
    rule = lambda word, by: store.rulings.rule(  # noqa: E731
        day_id, "e-07", Verdict(word=word, reason="gusts"), by, assessment_id="a" * 32, based_on=0
    )
    rule("held", "rso-1")
    conflict = refused_as_late(store, lambda: rule("approved", "rso-2"))
    assert (conflict.since[0].by, conflict.since[0].why) == ("rso-1", "gusts")
    assert store.rulings.latest(day_id)["e-07"].state == "held"


def test_the_later_of_two_withdrawals_flights_settings_and_names(store, day_id):
    store.entries.withdraw(day_id, "e-01", "ann", based_on=1)
    entry = store.entries.get(day_id, "e-02").entry
    store.entries.update(day_id, entry.model_copy(update={"pad": "B2"}), "ann", based_on=1)
    refused_as_late(store, lambda: store.entries.withdraw(day_id, "e-02", "ben", based_on=1))

    flight = Flight(entry="e-02", flown_at="2027-05-15T10:00:00-05:00", pad="A1", happened="planned")
    row = store.flights.add(day_id, flight, "rso-1")
    found = flight.model_copy(update={"apogee_m": 120.0})
    store.flights.update(day_id, row.number, found, "rso-1", based_on=1)
    assert refused_as_late(store, lambda: store.flights.update(day_id, row.number, flight, "rso-2", based_on=1)).since[
        0
    ].changed == ("/apogee_m",)
    assert [row.flight.apogee_m for row in store.flights.all(day_id)] == [120.0]

    store.settings.set("club", {"name": "Heron"}, "ann", based_on=0)
    assert refused_as_late(store, lambda: store.settings.set("club", {}, "ben", based_on=0)).since[0].by == "ann"
    assert store.settings.get("club").value == {"name": "Heron"}

    person = store.people.add("ann", "Ann", "$argon2id$v=19$x", "init", roles={"organiser": ""})
    store.people.update(person.id, "ann", based_on=1, units="us")
    refused_as_late(store, lambda: store.people.update(person.id, "ben", based_on=1, units="si"))
    assert store.people.get(person.id).units == "us"


def test_a_tick_is_made_once(store, day_id):
    tick = Attestation(by="Safety officer 1", at="2027-05-15T08:40:00-05:00")
    store.attestations.add(day_id, "e-07", "club-wadding", tick, "rso-1")
    later = Attestation(by="Safety officer 2", at="2027-05-15T08:50:00-05:00")
    with pytest.raises(AlreadyThere, match="Safety officer 1"):
        store.attestations.add(day_id, "e-07", "club-wadding", later, "rso-2")
    assert store.entries.get(day_id, "e-07").entry.attestations["club-wadding"] == tick
    store.attestations.take_back(day_id, "e-07", "club-wadding", "rso-1")
    store.attestations.add(day_id, "e-07", "club-wadding", later, "rso-2")
    assert store.day_document(day_id).entry_by_id("e-07").attestations["club-wadding"] == later
