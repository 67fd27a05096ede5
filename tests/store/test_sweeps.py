"""What a pass moved: kept with the change itself, the first word of before, a bounded number of passes."""

from __future__ import annotations

import pytest

from service.store import NotFound, Verdict
from service.store.sweeps import SWEEPS_KEPT
from tests.store.samples import assessment


@pytest.fixture
def day_id(store, small) -> str:
    return store.import_day(small, "organiser-1", day_id="heron")


def keep(store, day_id, sweep, letter, **changes):
    basis = store.assessments.snapshot(day_id).bases["e-07"]
    return store.assessments.keep(day_id, [(assessment("e-07", letter, **changes), basis)], "service", sweep=sweep)


def test_before_is_what_stood_before_the_whole_pass(store, day_id, small):
    keep(store, day_id, store.sweeps.begin(day_id, "service"), "a")
    store.sweeps.end(day_id, 1, "service")
    store.rulings.rule(day_id, "e-07", Verdict(word="approved"), "rso", assessment_id="a" * 32, based_on=0)
    number = store.sweeps.begin(day_id, "service")
    for revision, (letter, standing) in enumerate((("b", "caution"), ("c", "stop")), start=1):
        warm = small.conditions.model_copy(update={"temperature_c": 20.0 + revision})
        store.weather.enter(day_id, warm, "rso-1", based_on=revision)
        keep(store, day_id, number, letter, standing=standing)
    running = store.sweeps.latest(day_id)[0]
    assert (running.number, running.finished_at) == (2, None)
    moved = running.moved["e-07"]
    assert (moved.before.assessment_id, moved.before.standing) == ("a" * 32, "clear")
    assert (moved.after_id, moved.after_standing) == ("c" * 32, "stop") and running.lapsed == {"e-07"}
    store.sweeps.end(day_id, number, "service")
    assert store.sweeps.latest(day_id)[0].finished_at > store.sweeps.latest(day_id)[1].finished_at
    assert store.verify_chain().whole


def test_a_pass_that_was_not_ended_is_gone_on_with(store, day_id):
    assert [store.sweeps.begin(day_id, "x"), store.sweeps.begin(day_id, "x")] == [1, 1]
    store.sweeps.end(day_id, 1, "x")
    assert store.sweeps.begin(day_id, "x") == 2


def test_only_so_many_are_kept(store, day_id):
    for number in range(1, SWEEPS_KEPT + 4):
        keep(store, day_id, store.sweeps.begin(day_id, "x"), "a")
        store.sweeps.end(day_id, number, "x")
    kept = store.sweeps.latest(day_id, 100)
    assert [each.number for each in kept] == list(range(SWEEPS_KEPT + 3, 3, -1))


def test_an_unknown_day_has_none(store):
    assert store.sweeps.latest("none") == ()
    with pytest.raises(NotFound):
        store.sweeps.begin("none", "x")
