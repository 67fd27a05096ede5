"""Assessing in the background: nothing is forgotten, nothing is done twice, a mistake is said."""

from __future__ import annotations

import json
import threading
import time

from service.planning.ground import ground_of
from service.store import Busy, Store
from service.web import background, day_pass
from service.web.background import Reassessor
from tests.web.conftest import DAY, PATIENCE_S, quick_assessment


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
    assert worker.wait(PATIENCE_S)
    before = store.weather.current(day)
    _windier(store)
    worker.kick(day)
    assert worker.wait(PATIENCE_S)
    store.weather.enter(day, before.document, "rita", based_on=2)  # the first wind again: known already
    worker.kick(day)
    assert worker.wait(PATIENCE_S)
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
    assert again.wait(PATIENCE_S) and again.progress(day).pending == 0
    again.close()


def test_what_changed_outlives_a_restart(store, day, clock):
    worker = Reassessor(store, clock, quick_assessment, 1)
    worker.kick(day)
    assert worker.wait(PATIENCE_S)
    _windier(store)
    worker.kick(day)
    assert worker.wait(PATIENCE_S)
    told = worker.sweeps(day)
    worker.close()
    again = Reassessor(store, clock, quick_assessment, 1)
    assert again.sweeps(day) == told and len(told) == 2
    moved = again.last_sweep(day).moved
    assert {(each.before.standing, each.after_standing) for each in moved.values()} == {("clear", "caution")}
    again.resume()  # nothing is missing: no pass is begun
    assert again.wait(PATIENCE_S) and again.sweeps(day) == told
    again.close()


def test_a_pass_that_a_stop_cut_short_is_gone_on_with(store, day, clock):
    """One of three entries was done when the service stopped: after the next start the pass tells of all three."""
    worker = Reassessor(store, clock, quick_assessment, 1)
    worker.kick(day)
    assert worker.wait(PATIENCE_S)
    _windier(store)
    done: list[str] = []

    def stopping(document, entry, ground):
        work.closed = bool(done)
        done.append(entry.id)
        return quick_assessment(document, entry, ground)

    work = worker._days[day].work
    work.assess = stopping
    worker.kick(day)
    assert worker.wait(PATIENCE_S)
    worker.close()
    cut = store.sweeps.latest(day)[0]
    assert cut.finished_at is None and 0 < len(cut.moved) < 3
    again = Reassessor(store, clock, quick_assessment, 1)
    again.resume()
    assert again.wait(PATIENCE_S)
    whole = again.last_sweep(day)
    assert whole.number == cut.number and set(whole.moved) == {"n1", "n2", "n3"} and whole.finished_at
    assert {each.before.standing for each in whole.moved.values()} == {"clear"}
    again.close()


def test_a_change_in_the_midst_starts_over(store, day, clock):
    go_on, begun = threading.Event(), threading.Event()

    def slow(document, entry, ground):
        begun.set()
        assert go_on.wait(PATIENCE_S)
        return quick_assessment(document, entry, ground)

    worker = Reassessor(store, clock, slow, 1)
    worker.kick(day)
    assert begun.wait(PATIENCE_S)
    _windier(store)
    worker.kick(day)
    go_on.set()
    assert worker.wait(PATIENCE_S)
    current = store.assessments.current(day)
    assert all(each.fresh and each.standing == "caution" for each in current.values()) and len(current) == 3
    worker.close()


def test_changes_that_never_pause_hold_nothing_up(store, day, clock, monkeypatch):
    """While many register at once there is a change before each pass has begun to fly; it concerns other entries."""

    def prepare(document):
        worker.kick(day)
        return ground_of(document)

    monkeypatch.setattr(day_pass, "ground_of", prepare)
    worker = Reassessor(store, clock, quick_assessment, 1)
    worker.kick(day)
    deadline = time.monotonic() + PATIENCE_S
    while worker.progress(day).pending and time.monotonic() < deadline:
        time.sleep(0.02)
    assert worker.progress(day).pending == 0
    worker.close()


def test_a_kick_does_not_wait(store, day, clock):
    hold = threading.Event()

    def stuck(document, entry, ground):
        hold.wait(PATIENCE_S)
        return quick_assessment(document, entry, ground)

    worker = Reassessor(store, clock, stuck, 1)
    worker.kick(day)
    assert worker.progress(day).pending == 3, "back before the first was flown"
    hold.set()
    assert worker.wait(PATIENCE_S)
    worker.close()


def test_a_mistake_of_the_service_is_said_and_tried_again_after_a_change(store, day, clock):
    broken = {"n2"}

    def failing(document, entry, ground):
        if entry.id in broken:
            raise RuntimeError("no such thing")
        return quick_assessment(document, entry, ground)

    worker = Reassessor(store, clock, failing, 1)
    worker.kick(day)
    assert worker.wait(PATIENCE_S)
    assert worker.progress(day).failed == ("n2",) and "no such thing" in worker.failures(day)["n2"]
    assert "n2" not in store.assessments.current(day)
    broken.clear()
    _windier(store)
    worker.kick(day)
    assert worker.wait(PATIENCE_S)
    assert worker.progress(day).failed == () and worker.progress(day).done == 3
    worker.close()


def test_a_database_that_fails_for_a_moment_is_tried_again(store, day, clock, monkeypatch):
    """Without it the pages would say "assessing" for ever: nobody kicks a day at which nothing changes."""
    monkeypatch.setattr(background, "FIRST_RETRY_S", 0.05)
    real, failures = store.assessments.keep, iter([Busy("locked"), Busy("locked")])

    def failing(*given, **named):
        for error in failures:
            raise error
        return real(*given, **named)

    monkeypatch.setattr(store.assessments, "keep", failing)
    worker = Reassessor(store, clock, quick_assessment, 1)
    worker.kick(day)
    assert worker.wait(PATIENCE_S)
    assert worker.progress(day).done == 3 and worker.progress(day).failed == ()
    worker.close()


def test_a_field_that_cannot_be_worked_with_is_said_of_every_entry(store, day, clock, monkeypatch):
    def refuse(document):
        raise ValueError("no such ground")

    worker = Reassessor(store, clock, quick_assessment, 1)
    monkeypatch.setattr(day_pass, "ground_of", refuse)
    worker.kick(day)
    assert worker.wait(PATIENCE_S)
    assert worker.progress(day).pending == 0 and set(worker.failures(day)) == {"n1", "n2", "n3"}
    assert all("no such ground" in why for why in worker.failures(day).values())
    monkeypatch.setattr(day_pass, "ground_of", ground_of)
    _windier(store)
    worker.kick(day)
    assert worker.wait(PATIENCE_S) and worker.progress(day).done == 3
    worker.close()


def test_a_flight_that_hangs_holds_up_neither_the_others_nor_a_stop(store, day, clock):
    let_go, went_on = threading.Event(), threading.Event()

    def hanging(document, entry, ground):
        if entry.id == "n1":
            let_go.wait(PATIENCE_S)
            went_on.set()
        return quick_assessment(document, entry, ground)

    worker = Reassessor(store, clock, hanging, 1, longest_s=0.2)
    worker.kick(day)
    assert worker.wait(PATIENCE_S)
    assert worker.progress(day).failed == ("n1",) and "given up after 0.2 s" in worker.failures(day)["n1"]
    assert worker.progress(day).done == 2, "the only thread is stuck, so another has taken its place"
    worker.close()
    assert not went_on.is_set(), "closed while it still hangs"
    let_go.set()
    assert "n1" not in store.assessments.current(day), "what comes too late is not kept"


def test_what_another_service_on_the_database_left_undone_is_taken_up(store, day, clock):
    worker = Reassessor(store, clock, quick_assessment, 1)
    worker.kick(day)
    assert worker.wait(PATIENCE_S)
    _windier(store)  # by another service, which stopped before it had assessed anything
    worker.look()
    assert worker.progress(day).pending == 3, "it may still be at it"
    worker.look()
    assert worker.wait(PATIENCE_S) and worker.progress(day).pending == 0
    worker.close()


def test_two_services_on_one_database_keep_each_assessment_once(store, day, clock):
    both = [Reassessor(store, clock, quick_assessment, 1) for _ in range(2)]
    for factor in (4.0, 0.1, 8.0):  # from 2 m/s: caution, clear, caution
        _windier(store, factor=factor)
        for worker in both:
            worker.kick(day)
        assert all(worker.wait(PATIENCE_S) for worker in both)
        assert all(worker.progress(day).done == 3 for worker in both)
    moved = [each for each in store.audit.records(subject="day/" + day) if each.what == "assessed"]
    pointed = [entry for each in moved for entry in json.loads(each.payload)["current"]]
    assert len(pointed) == 9, "each entry's word changed once for each of the three winds"
    assert {each.standing for each in store.assessments.current(day).values()} == {"caution"}
    for worker in both:
        worker.close()


def test_a_kick_while_it_stops_does_no_harm(store, day, clock):
    worker = Reassessor(store, clock, quick_assessment, 1)
    stop, kicked = threading.Event(), []

    def kick():
        while not stop.is_set():
            worker.kick(day)
            kicked.append(1)

    asking = threading.Thread(target=kick)
    asking.start()
    while len(kicked) < 50:
        time.sleep(0.001)
    worker.close()
    stop.set()
    asking.join(5)
    assert not asking.is_alive() and worker.wait(1), "a kick after the stop raises nothing and waits for nothing"


def test_what_a_change_in_the_midst_did_is_told_apart(store, day, clock):
    """Else the desk, whose first pass still runs, would not say what the new wind changed."""
    go_on, begun = threading.Event(), threading.Event()

    def slow(document, entry, ground):
        if entry.id == "n3":
            begun.set()
            assert go_on.wait(PATIENCE_S)
        return quick_assessment(document, entry, ground)

    worker = Reassessor(store, clock, slow, 1)
    worker.kick(day)
    assert begun.wait(PATIENCE_S)
    deadline = time.monotonic() + PATIENCE_S
    while worker.progress(day).done < 2 and time.monotonic() < deadline:
        time.sleep(0.02)
    _windier(store)
    worker.kick(day)
    go_on.set()
    assert worker.wait(PATIENCE_S)
    moved = worker.last_sweep(day).moved
    assert {key: each.before and each.before.standing for key, each in moved.items()} == {
        "n1": "clear", "n2": "clear", "n3": None
    }  # fmt: skip
    assert all(each.after_standing == "caution" for each in moved.values())
    worker.close()
