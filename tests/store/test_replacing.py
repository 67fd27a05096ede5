"""A whole document in the place of a day: all of it or nothing, every version kept, what vanishes is told."""

from __future__ import annotations

import pytest

from service.models.entry import Attestation
from service.store import Conflict, NotFound, Refused, Verdict
from service.store.errors import DayMoved
from tests.store.samples import assessment

SAID = Attestation(by="Officer", at="2027-05-15T08:40:00-05:00")


@pytest.fixture
def day_id(store, small) -> str:
    return store.import_day(small, "organiser-1", day_id="heron")


def test_the_same_document_changes_nothing(store, day_id, small):
    document, mark = store.days.marked(day_id)
    before = store.audit.head()[0]
    told = store.days.replace(day_id, document, "organiser-1", based_on=mark)
    assert (told.mark, told.added, told.changed, told.withdrawn, told.lapsed) == (mark, (), (), (), ())
    assert [each.what for each in store.audit.records(after=before)] == ["replaced"]
    assert store.entries.get(day_id, "e-07").revision == 1 and store.day_document(day_id) == small


def test_what_is_in_the_document_stands_and_what_was_before_is_kept(store, day_id, small):
    """Entries changed, gone and new; a motor gone, one new; wind, name, order and ticks: told, kept, whole."""
    token = store.links.new(day_id, "e-01", "organiser-1")
    store.attestations.add(day_id, "e-07", "adv-double", SAID, "rso-1")
    gone = small.entries[0]
    mended = small.entry_by_id("e-07").model_copy(
        update={"rocket": small.entry_by_id("e-07").rocket.model_copy(update={"mass_kg": 0.170})}
    )
    new = small.entry_by_id("e-02").model_copy(update={"id": "e-30"})
    spare = small.motors[0].model_copy(update={"id": "spare"})
    motors = (spare, *(each for each in small.motors if each.id != gone.motor))
    changed = {
        "name": "Heron Meadow, moved pads",
        "conditions": small.conditions.model_copy(update={"temperature_c": 24.0}),
        "entries": (new, mended, small.entry_by_id("e-02")),
        "motors": motors,
        "attestations": {"us-hpr-smoking": SAID},
    }
    document = small.model_copy(update=changed)
    told = store.days.replace(day_id, document, "organiser-1", based_on=store.days.marked(day_id)[1])
    assert store.day_document(day_id) == document
    assert (told.added, told.changed, told.withdrawn) == (("e-30",), ("e-07",), ("e-01",))
    assert told.links == {"e-01": 1}
    assert told.motors_added == ("spare",) and told.motors_removed == (gone.motor,)
    with pytest.raises(NotFound):
        store.links.open(token)
    assert store.entries.history(day_id, "e-07")[0].document == small.entry_by_id("e-07")
    assert store.weather.history(day_id)[0].document == small.conditions
    assert store.days.history(day_id)[0].document.name == small.name
    report = store.verify_chain()
    assert report.whole, report.broken
    back = store.days.replace(day_id, small, "organiser-1", based_on=told.mark)
    assert store.day_document(day_id) == small and back.added == ("e-01",) and back.withdrawn == ("e-30",)
    assert store.verify_chain().whole


def test_rulings_lapse_where_the_ground_moved_and_stay_where_it_did_not(store, day_id, small):
    for letter, entry_id in (("a", "e-07"), ("b", "e-02")):
        basis = store.assessments.snapshot(day_id).bases[entry_id]
        store.assessments.keep(day_id, [(assessment(entry_id, letter), basis)], "service")
        verdict = Verdict(word="approved")
        store.rulings.rule(day_id, entry_id, verdict, "rso", assessment_id=letter * 32, based_on=0)
    entries = tuple(
        each.model_copy(update={"rocket": each.rocket.model_copy(update={"name": "Other"})})
        if each.id == "e-07"
        else each
        for each in small.entries
    )
    told = store.days.replace(day_id, small.model_copy(update={"entries": entries}), "x", based_on=None)
    assert told.lapsed == ("e-07",)
    states = {entry: ruling.state for entry, ruling in store.rulings.latest(day_id).items()}
    assert states == {"e-07": "lapsed", "e-02": "approved"}


def test_somebody_who_was_faster_is_not_written_over(store, day_id, small):
    _, mark = store.days.marked(day_id)
    store.attestations.add(day_id, "", "r", SAID, "rso-1")
    head = store.audit.head()
    with pytest.raises(DayMoved, match="changed since") as refused:
        store.days.replace(day_id, small, "x", based_on=mark)
    assert isinstance(refused.value, Conflict) and store.audit.head() == head


@pytest.mark.parametrize("fault", ["pad", "motor"])
def test_a_document_that_cannot_be_kept_leaves_all_as_it_was(store, day_id, small, fault):
    """The last of many steps fails: a pad, a motor that the document does not have."""
    new = small.entries[-1].model_copy(update={"id": "e-99"})
    wrong = {
        "pad": small.model_copy(update={"entries": (new.model_copy(update={"pad": "Z9"}),)}),
        "motor": small.model_copy(update={"motors": small.motors[-1:]}),
    }[fault]
    head, held = store.audit.head(), [each.reserved for each in store.motors.all(day_id)]
    with pytest.raises(Refused):
        store.days.replace(day_id, wrong, "x", based_on=None)
    assert store.day_document(day_id) == small and store.audit.head() == head
    assert [each.reserved for each in store.motors.all(day_id)] == held


def test_stock_is_counted_right_afterwards(store, day_id, small):
    """Held by who held it and takes part, by who is new; given back by who is gone."""
    flown = small.entry_by_id("e-02")
    twice = (flown, flown.model_copy(update={"id": "e-50"}))
    store.days.replace(day_id, small.model_copy(update={"entries": twice}), "x", based_on=None)
    reserved = {each.motor.id: each.reserved for each in store.motors.all(day_id)}
    assert reserved == {each.id: (2 * flown.motor_count if each.id == flown.motor else 0) for each in small.motors}


def test_what_is_left_of_the_stock_goes_to_who_held_motors_before(store, day_id, small):
    """A new entry before the old ones in the document, and a stock that is too small for both: the old one holds on."""
    old = small.entry_by_id("e-07")
    new = old.model_copy(update={"id": "e-99"})
    scarce = tuple(
        each.model_copy(update={"stock": old.motor_count}) if each.id == old.motor else each for each in small.motors
    )
    wanted = small.model_copy(update={"entries": (new, old), "motors": scarce})
    done = store.days.replace(day_id, wanted, "x", based_on=None)
    assert done.without_stock == ("e-99",) == store.entries.without_stock(day_id)
    assert store.motors.get(day_id, old.motor).left == 0 and store.verify_chain().whole
    none = tuple(each.model_copy(update={"stock": 0}) for each in scarce)
    done = store.days.replace(day_id, wanted.model_copy(update={"motors": none}), "x", based_on=None)
    assert done.without_stock == ("e-07",), "e-99 held none before either"


def test_a_name_that_was_erased_does_not_come_back(store, day_id, small):
    store.entries.erase(day_id, "e-07", "x", based_on=1)
    store.days.replace(day_id, small, "x", based_on=None)
    assert store.entries.get(day_id, "e-07").entry.flyer.name == "erased"
    assert store.entries.get(day_id, "e-02").entry.flyer.name == small.entry_by_id("e-02").flyer.name


def test_motors_that_flyers_bring_are_not_reserved(store, small):
    """A day with one goes out and comes in again, as a new day and over itself."""
    brought = small.motors[0].model_copy(update={"id": "own-1a2b", "stock": 0})
    entry = next(each for each in small.entries if each.motor == small.motors[0].id)
    entries = (entry.model_copy(update={"motor": "own-1a2b"}),)
    document = small.model_copy(update={"motors": (*small.motors, brought), "entries": entries})
    day_id = store.import_day(document, "x")
    store.days.replace(day_id, document, "x", based_on=None)
    assert store.day_document(day_id) == document


def test_an_unknown_day_is_not_made(store, small):
    with pytest.raises(NotFound):
        store.days.replace("none", small, "x", based_on=None)
    assert store.days.all() == ()
