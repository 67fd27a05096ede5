"""Assessing in the background: nothing is forgotten, nothing is done twice, a mistake is said."""

from __future__ import annotations

import threading
import time

from service.planning.ground import ground_of
from service.store import Store
from service.web import background
from service.web.background import Reassessor
from tests.web.conftest import DAY, quick_assessment


def _windier(store: Store, by: str = "rita", factor: float = 4.0):
    found = store.weather.current(DAY)
    wind = tuple(
        level.model_copy(update={"speed_mps": level.speed_mps * factor, "gust_mps": None})
        for level in found.document.wind
    )
    changed = found.document.model_copy(update={"wind": wind})
    return store.weather.enter(DAY, changed, by, based_on=found.revision)


def test_all_become_current_and_what_changed_is_told(app, store, day, assess):
    worker = app.extensions["reassessor"]
    assert worker.progress(day).pending == 3
    assess()
    assert worker.progress(day).done == 3 and worker.progress(day).pending == 0
    assert {each.before for each in worker.last_sweep(day).moved.values()} == {None}
    _windier(store)
    assert worker.progress(day).done == 0
    assess()
    moved = worker.last_sweep(day).moved
    assert len(moved) == 3 and all(each.standing_changed for each in moved.values())
    assert {(each.before.standing, each.after_standing) for each in moved.values()} == {("clear", "caution")}


def test_nothing_is_computed_twice(store, day, clock):
    counted: list[str] = []

    def counting(document, entry, ground):
        counted.append(entry.id)
        return quick_assessment(document, entry, ground)

    worker = Reassessor(store, clock, counting, 1)
    worker.kick(day)
    assert worker.wait(20)
    before = store.weather.current(day)
    _windier(store)
    worker.kick(day)
    assert worker.wait(20)
    store.weather.enter(day, before.document, "rita", based_on=2)  # the first wind again: known already
    worker.kick(day)
    assert worker.wait(20)
    assert len(counted) == 6
    assert worker.progress(day).done == 3
    worker.close()


def test_a_restart_goes_on_with_what_is_missing(store, day, clock):
    worker = Reassessor(store, clock, quick_assessment, 1)
    worker.close()
    worker.kick(day)  # closed: does nothing
    assert worker.progress(day).pending == 3
    again = Reassessor(store, clock, quick_assessment, 1)
    again.resume()
    assert again.wait(20) and again.progress(day).pending == 0
    again.close()


def test_what_changed_outlives_a_restart(store, day, clock):
    worker = Reassessor(store, clock, quick_assessment, 1)
    worker.kick(day)
    assert worker.wait(20)
    _windier(store)
    worker.kick(day)
    assert worker.wait(20)
    told = worker.sweeps(day)
    worker.close()
    again = Reassessor(store, clock, quick_assessment, 1)
    assert again.sweeps(day) == told and len(told) == 2
    moved = again.last_sweep(day).moved
    assert {(each.before.standing, each.after_standing) for each in moved.values()} == {("clear", "caution")}
    again.resume()  # nothing is missing: no pass is begun
    assert again.wait(20) and again.sweeps(day) == told
    again.close()


def test_a_pass_that_a_stop_cut_short_is_gone_on_with(store, day, clock):
    """One of three entries was done when the service stopped: after the next start the pass tells of all three."""
    worker = Reassessor(store, clock, quick_assessment, 1)
    worker.kick(day)
    assert worker.wait(20)
    _windier(store)
    done: list[str] = []

    def stopping(document, entry, ground):
        worker._closed = bool(done)
        done.append(entry.id)
        return quick_assessment(document, entry, ground)

    worker._assess = stopping
    worker.kick(day)
    assert worker.wait(20)
    worker.close()
    cut = store.sweeps.latest(day)[0]
    assert cut.finished_at is None and 0 < len(cut.moved) < 3
    again = Reassessor(store, clock, quick_assessment, 1)
    again.resume()
    assert again.wait(20)
    whole = again.last_sweep(day)
    assert whole.number == cut.number and set(whole.moved) == {"n1", "n2", "n3"} and whole.finished_at
    assert {each.before.standing for each in whole.moved.values()} == {"clear"}
    again.close()


def test_a_change_in_the_midst_starts_over(store, day, clock):
    go_on, begun = threading.Event(), threading.Event()

    def slow(document, entry, ground):
        begun.set()
        assert go_on.wait(10)
        return quick_assessment(document, entry, ground)

    worker = Reassessor(store, clock, slow, 1)
    worker.kick(day)
    assert begun.wait(10)
    _windier(store)
    worker.kick(day)
    go_on.set()
    assert worker.wait(20)
    current = store.assessments.current(day)
    assert all(each.fresh and each.standing == "caution" for each in current.values()) and len(current) == 3
    worker.close()


def test_changes_that_never_pause_hold_nothing_up(store, day, clock, monkeypatch):
    """While many register at once there is a change before each pass has begun to fly; it concerns other entries."""

    def prepare(document):
        worker.kick(day)
        return ground_of(document)

    monkeypatch.setattr(background, "ground_of", prepare)
    worker = Reassessor(store, clock, quick_assessment, 1)
    worker.kick(day)
    deadline = time.monotonic() + 10
    while worker.progress(day).pending and time.monotonic() < deadline:
        time.sleep(0.02)
    assert worker.progress(day).pending == 0
    worker.close()


def test_a_kick_does_not_wait(store, day, clock):
    hold = threading.Event()

    def stuck(document, entry, ground):
        hold.wait(10)
        return quick_assessment(document, entry, ground)

    worker = Reassessor(store, clock, stuck, 1)
    began = time.monotonic()
    worker.kick(day)
    assert time.monotonic() - began < 1.0
    hold.set()
    assert worker.wait(20)
    worker.close()


def test_a_mistake_of_the_service_is_said_and_tried_again_after_a_change(store, day, clock):
    broken = {"n2"}

    def failing(document, entry, ground):
        if entry.id in broken:
            raise RuntimeError("no such thing")
        return quick_assessment(document, entry, ground)

    worker = Reassessor(store, clock, failing, 1)
    worker.kick(day)
    assert worker.wait(20)
    assert worker.progress(day).failed == ("n2",) and "no such thing" in worker.failures(day)["n2"]
    assert "n2" not in store.assessments.current(day)
    broken.clear()
    _windier(store)
    worker.kick(day)
    assert worker.wait(20)
    assert worker.progress(day).failed == () and worker.progress(day).done == 3
    worker.close()
