"""Assessments, which of them is current, and rulings that lapse with them."""

from __future__ import annotations

import pytest

from service.models.entry import Attestation
from service.store import NotFound, Refused, Verdict
from tests.store.samples import assessment, finding, item

OK = Verdict(word="approved")


@pytest.fixture
def day_id(store, small) -> str:
    return store.import_day(small, "organiser-1", day_id="heron")


def keep(store, day_id, entry_id="e-07", letter="a", **changes):
    basis = store.assessments.snapshot(day_id).bases[entry_id]
    return store.assessments.keep(day_id, [(assessment(entry_id, letter, **changes), basis)], "service")


def rule(store, day_id, verdict=OK, letter="a", based_on=0, entry_id="e-07", **more):
    return store.rulings.rule(day_id, entry_id, verdict, "rso-1", assessment_id=letter * 32, based_on=based_on, **more)


def state(store, day_id, entry_id="e-07"):
    return store.rulings.latest(day_id)[entry_id].state


def problems(call) -> list[tuple]:
    with pytest.raises(Refused) as refused:
        call()
    return [problem.at for problem in refused.value.problems]


def test_an_assessment_is_kept_once_and_as_it_was(store, day_id):
    first = keep(store, day_id)
    assert first.current == ("e-07",) and first.outdated == () and first.lapsed == ()
    head = store.audit.head()
    keep(store, day_id)
    keep(store, day_id, decides="Computed elsewhere.")
    assert store.audit.head() == head
    assert store.assessments.get("a" * 32) == assessment("e-07", flyer=""), "the name stands in the entry alone"
    assert set(store.assessments.find(["a" * 32, "b" * 32])) == {"a" * 32}
    assert store.assessments.current(day_id)["e-07"].standing == "clear"


def test_an_assessment_of_what_has_changed_since_is_not_current(store, day_id, small):
    """A slow worker comes back after the wind was entered anew."""
    basis = store.assessments.snapshot(day_id).bases["e-07"]
    keep(store, day_id, letter="b")
    warm = small.conditions.model_copy(update={"temperature_c": 25.0})
    store.weather.enter(day_id, warm, "rso-1", based_on=1)
    kept = store.assessments.keep(day_id, [(assessment("e-07"), basis)], "service")
    assert kept.outdated == ("e-07",) and kept.current == ()
    assert store.assessments.get("a" * 32)
    current = store.assessments.current(day_id)["e-07"]
    assert (current.assessment_id, current.fresh) == ("b" * 32, False)
    with pytest.raises(NotFound):
        store.assessments.keep(day_id, [(assessment("e-99"), basis)], "service")


def changes(store, day_id, small):
    header = store.days.header(day_id).document
    entry = store.entries.get(day_id, "e-07").entry
    motor = small.motor_by_id(entry.motor)
    other = next(each for each in small.motors if each.id != entry.motor)
    warm = small.conditions.model_copy(update={"temperature_c": 25.0})
    tick = Attestation(by="Officer", at="2027-05-15T08:40:00-05:00")
    return {
        "conditions": lambda: store.weather.enter(day_id, warm, "x", based_on=1),
        "header": lambda: store.days.update(day_id, header.model_copy(update={"name": "N"}), "x", based_on=1),
        "entry": lambda: store.entries.update(day_id, entry.model_copy(update={"pad": "A1"}), "x", based_on=1),
        "motor": lambda: store.motors.save(
            day_id, [motor.model_copy(update={"stock": 50})], "x", based_on={motor.id: 1}
        ),
        "another motor": lambda: store.motors.save(
            day_id, [other.model_copy(update={"stock": 50})], "x", based_on={other.id: 1}
        ),
        "another entry": lambda: store.entries.withdraw(day_id, "e-01", "x", based_on=1),
        "forecast": lambda: store.weather.set_forecast(day_id, (), "x", based_on=1),
        "tick": lambda: store.attestations.add(day_id, "e-07", "r", tick, "x"),
    }


@pytest.mark.parametrize("what", ["conditions", "header", "entry", "motor"])
def test_a_ruling_lapses_by_itself(store, day_id, small, what):
    keep(store, day_id)
    assert rule(store, day_id).state == "approved"
    changes(store, day_id, small)[what]()
    assert state(store, day_id) == "lapsed"
    assert problems(lambda: rule(store, day_id, based_on=1)) == [("assessment",)]
    kept = keep(store, day_id, letter="b")
    assert kept.lapsed == ("e-07",)
    assert state(store, day_id) == "lapsed"
    assert problems(lambda: rule(store, day_id, letter="a", based_on=1)) == [("assessment",)]
    assert rule(store, day_id, letter="b", based_on=1).state == "approved"
    assert [each.state for each in store.rulings.history(day_id, "e-07")] == ["lapsed", "approved"]


@pytest.mark.parametrize("what", ["another motor", "another entry", "forecast", "tick"])
def test_a_ruling_stands_when_something_else_changes(store, day_id, small, what):
    keep(store, day_id)
    rule(store, day_id)
    changes(store, day_id, small)[what]()
    assert state(store, day_id) == "approved"


def test_a_ruling_stands_when_the_new_assessment_is_the_same(store, day_id, small):
    """An id is a hash of all it rests on: the same id says that nothing which bears on the flight has changed."""
    keep(store, day_id)
    rule(store, day_id)
    changes(store, day_id, small)["motor"]()
    assert state(store, day_id) == "lapsed"
    assert keep(store, day_id).lapsed == ()
    assert state(store, day_id) == "approved"


def test_a_ruling_needs_an_assessment(store, day_id):
    assert problems(lambda: rule(store, day_id)) == [("assessment",)]
    keep(store, day_id, "e-02")
    assert problems(lambda: rule(store, day_id)) == [("assessment",)], "it is another entry's"
    store.entries.withdraw(day_id, "e-02", "x", based_on=1)
    assert problems(lambda: rule(store, day_id, entry_id="e-02")) == [()]


def test_the_law_cannot_be_approved_over(store, day_id):
    keep(store, day_id, findings=(finding("us-law", "stop", "law"),), standing="stop")
    with_reason = Verdict(word="approved", reason="it will be fine")
    assert problems(lambda: rule(store, day_id, with_reason)) == [("word",)]
    assert rule(store, day_id, Verdict(word="refused", reason="law")).state == "refused"


@pytest.mark.parametrize("standing", ["stop", "unknown"])
def test_an_approval_over_a_stop_or_an_unknown_needs_a_reason(store, day_id, standing):
    keep(store, day_id, findings=(finding("club-a", standing, "code"),), standing=standing)
    assert problems(lambda: rule(store, day_id)) == [("reason",)]
    assert rule(store, day_id, Verdict(word="approved", reason="seen on the bench")).state == "approved"


def test_each_caution_needs_initials(store, day_id):
    cautions = (finding("club-a", "caution"), finding("club-b", "caution"), finding("club-c", "clear"))
    keep(store, day_id, findings=cautions, standing="caution")
    one = Verdict(word="approved", initials={"club-a": "JR"})
    assert problems(lambda: rule(store, day_id, one)) == [("initials", "club-b")]
    both = Verdict(word="approved", initials={"club-a": "JR", "club-b": "JR"})
    assert rule(store, day_id, both).verdict == both


def test_an_approval_needs_every_tick(store, day_id):
    keep(store, day_id, checklist=(item("club-ground"), item("club-wadding")))
    tick = Attestation(by="Officer", at="2027-05-15T08:40:00-05:00")
    store.attestations.add(day_id, "", "club-ground", tick, "rso-1")
    store.attestations.add(day_id, "e-02", "club-wadding", tick, "rso-1")
    assert problems(lambda: rule(store, day_id)) == [()], "the wadding of another entry was seen"
    assert rule(store, day_id, Verdict(word="held", reason="wait")).state == "held"
    store.attestations.add(day_id, "e-07", "club-wadding", tick, "rso-1")
    assert rule(store, day_id, based_on=1).state == "approved"


@pytest.mark.parametrize("word", ["held", "refused"])
def test_holding_and_refusing_need_a_reason(word):
    with pytest.raises(ValueError, match="a reason the flyer can act on"):
        Verdict(word=word)


def test_a_flyer_mends_an_entry_until_it_is_ruled_on(store, day_id):
    entry = store.entries.get(day_id, "e-07").entry
    mend = lambda pad, based_on: store.entries.update(  # noqa: E731
        day_id, entry.model_copy(update={"pad": pad}), "flyer e-07", based_on=based_on, until_ruled=True
    )
    keep(store, day_id)
    rule(store, day_id, Verdict(word="held", reason="pad"))
    assert mend("A1", 1).revision == 2, "held: it is waiting to be mended"
    keep(store, day_id, letter="b")
    rule(store, day_id, letter="b", based_on=1)
    assert problems(lambda: mend("A2", 2)) == [()]
    assert store.entries.get(day_id, "e-07").entry.pad == "A1"
    assert state(store, day_id) == "approved"


def test_the_desk_shows_all_of_one_moment(store, day_id, small):
    keep(store, day_id)
    rule(store, day_id)
    desk = store.desk(day_id)
    assert [line.record.id for line in desk.lines] == [entry.id for entry in small.entries]
    assert [line.record.entry for line in desk.lines] == list(small.entries)
    ruled = {line.record.id: line for line in desk.lines}["e-07"]
    assert (ruled.assessed.standing, ruled.ruling.state, desk.conditions.revision) == ("clear", "approved", 1)
    assert sum(line.assessed is not None for line in desk.lines) == 1
    assert sum(line.ruling is not None for line in desk.lines) == 1
