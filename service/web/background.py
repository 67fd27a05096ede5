"""Assessing in the background: after every change, whatever is not current is flown again.

What is missing is read from the store each time, and each assessment is kept as soon as it is there, and beside it
what the pass changed: a stop loses nothing, a restart goes on where it was. What a change in the midst of it bears on
and has not been flown yet is dropped and starts over from the new state. Requests never wait for it; its threads run
at a lower priority where the system can.

Where the database fails it is tried again, later each time. What another service on the same database left undone is
taken up as well: a slow look around finds days at which nothing moves.
"""

from __future__ import annotations

import logging
import os
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from datetime import datetime
from functools import partial

from flask import current_app

from service.models.assessment import Assessment
from service.models.day import LaunchDay
from service.models.entry import Entry
from service.planning.ground import Ground, ground_of
from service.planning.identity import assessment_id
from service.store import Basis, NotFound, Store
from service.store.assessments import Snapshot
from service.store.desk import Desk
from service.store.standing import Current
from service.store.sweeps import Sweep
from service.web.config import Assess
from service.web.crew import LONGEST_S, Crew, step_back

BY = "assessor"  # what the audit trail calls it
LOOK_S = 60.0  # between two looks around
FIRST_RETRY_S, LAST_RETRY_S = 1.0, 15.0

log = logging.getLogger("rangehand.background")


def fly(day: LaunchDay, entry: Entry, ground: Ground) -> Assessment:
    """Assess one entry in the day's conditions, on one thread."""
    from service.planning.assess import assess_entry  # compiles the flight model: not before it is needed

    return assess_entry(day, entry, ground=ground, threads=1)


def expected_id(day: LaunchDay, entry: Entry) -> str:
    """The id that assessing an entry now would give."""
    from service.planning.assess import SEED

    return assessment_id(day, entry, day.conditions, SEED, stale=False)


@dataclass(frozen=True)
class Progress:
    """How many of a day's entries have a current assessment. [count]"""

    total: int
    done: int
    failed: tuple[str, ...]

    @property
    def pending(self) -> int:
        """How many are still to come. [count]"""
        return self.total - self.done - len(self.failed)


@dataclass
class _Day:
    """What is going on with one launch day. Guarded by the reassessor's lock."""

    running: bool = False
    again: bool = False
    recheck: bool = False
    sweep: int | None = None
    asked: tuple[int, int] | None = None
    """Revisions of the day and of its conditions that the pass is about."""
    retry_s: float = field(default_factory=lambda: FIRST_RETRY_S)
    seen: tuple[int, int] | None = None
    """At the last look around: entries done, and entries pending."""
    broken: dict[str, tuple[Basis, str]] = field(default_factory=dict)


class Reassessor:
    """Keeps every entry's assessment current."""

    def __init__(
        self,
        store: Store,
        clock: Callable[[], datetime],
        assess: Assess | None = None,
        workers: int = 0,
        longest_s: float = LONGEST_S,
    ) -> None:
        self._store, self._clock, self._assess = store, clock, assess or fly
        self._crew = Crew(workers or os.cpu_count() or 1, longest_s)
        self._sweeps = ThreadPoolExecutor(4, "sweep", initializer=step_back)
        self._lock = threading.Lock()
        self._days: dict[str, _Day] = {}
        self._idle = threading.Condition(self._lock)
        self._closed = False
        self._stop = threading.Event()
        self._around: threading.Thread | None = None

    def kick(self, day_id: str, *, recheck: bool = False) -> None:
        """See that a day's entries become current; returns at once."""
        with self._lock:
            if self._closed:
                return
            state = self._days.setdefault(day_id, _Day())
            state.recheck |= recheck
            if state.running:
                state.again = True
                return
            state.running = True
            self._sweeps.submit(self._run, day_id, state)  # under the lock: close() comes before or after, not between

    def resume(self) -> None:
        """After a start: go on with whatever is missing, or was made by another version of the flight model."""
        for line in self._store.days.all():
            self.kick(line.id, recheck=line.date >= self._clock().date().isoformat())
        if self._around is None:
            self._around = threading.Thread(target=self._look_around, name="look-around", daemon=True)
            self._around.start()

    def look(self) -> None:
        """Take up days at which something is missing and nothing has moved since the last look."""
        for line in self._store.days.all():
            found = self.progress(line.id)
            now = (found.done, found.pending)
            with self._lock:
                state = self._days.setdefault(line.id, _Day())
                stalled, state.seen = found.pending > 0 and not state.running and state.seen == now, now
            if stalled:
                log.warning("%s of %s entries of %s wait, and nothing moves: taken up", *now[::-1], line.id)
                self.kick(line.id)

    def _look_around(self) -> None:
        while not self._stop.wait(LOOK_S):
            try:
                self.look()
            except Exception:
                log.exception("looking for what is left undone failed")

    def wait(self, timeout_s: float = 60.0) -> bool:
        """Wait until nothing is running; False when it takes longer."""
        with self._idle:
            return self._idle.wait_for(lambda: not any(d.running for d in self._days.values()), timeout_s)

    def progress(self, day_id: str, seen: Desk | None = None) -> Progress:
        """How far a day is, by what is kept; by the desk as it was seen, where it was read just now."""
        lines = (seen or self._store.desk(day_id)).lines
        done = {line.record.id for line in lines if line.assessed is not None and line.assessed.fresh}
        failed = tuple(sorted(set(self.failures(day_id)) - done))
        return Progress(len(lines), len(done), failed)

    def failures(self, day_id: str) -> dict[str, str]:
        """Entries that the service itself failed to assess, and what it said."""
        with self._lock:
            state = self._days.get(day_id)
            return {entry: why for entry, (_, why) in state.broken.items()} if state else {}

    def last_sweep(self, day_id: str) -> Sweep | None:
        """The pass that runs, or the last one that had anything to assess."""
        return next(iter(self.sweeps(day_id)), None)

    def sweeps(self, day_id: str) -> tuple[Sweep, ...]:
        """The last passes, the latest first; those of before a restart too."""
        return self._store.sweeps.latest(day_id)

    def close(self) -> None:
        """Drop what has not begun; it will be found missing at the next start."""
        self._stop.set()
        self._crew.hurry()
        with self._lock:
            self._closed = True
            for state in self._days.values():
                state.again = True
        self._sweeps.shutdown(wait=True, cancel_futures=True)
        self._crew.close()
        with self._idle:
            for state in self._days.values():
                state.running = False
            self._idle.notify_all()

    def _run(self, day_id: str, state: _Day) -> None:
        failed = False
        try:
            while self._pass(day_id, state):
                pass
            self._end(day_id, state)
            state.retry_s = FIRST_RETRY_S
        except NotFound:
            log.info("launch day %s is gone", day_id)
        except Exception:
            log.exception("re-assessing launch day %s failed; tried again in %g s", day_id, state.retry_s)
            failed = not self._stop.wait(state.retry_s)
            state.retry_s = min(2.0 * state.retry_s, LAST_RETRY_S)
        with self._idle:
            state.running = (state.again or failed) and not self._closed
            if state.running:
                self._sweeps.submit(self._run, day_id, state)
            else:
                self._idle.notify_all()

    def _end(self, day_id: str, state: _Day) -> None:
        """The pass is through, unless the service stops in the midst of it: it then goes on after the next start."""
        if state.sweep is not None and not self._closed:
            self._store.sweeps.end(day_id, state.sweep, BY)
            state.sweep = None

    def _pass(self, day_id: str, state: _Day) -> bool:
        """Assess what is missing as of now; True when it has to be looked at again."""
        with self._lock:
            if self._closed:
                return False
            state.again, recheck, state.recheck = False, state.recheck, False
        try:
            return self._bring_up(day_id, state, recheck)
        except Exception:
            state.recheck |= recheck  # what was asked for has not been done
            raise

    def _bring_up(self, day_id: str, state: _Day, recheck: bool) -> bool:
        snapshot, before = self._store.assessments.snapshot(day_id), self._store.assessments.current(day_id)
        missing = self._missing(snapshot.document, snapshot.bases, before, state, recheck)
        if not missing:
            return False
        asked = next(((each.day, each.conditions) for each in snapshot.bases.values()), None)
        if state.sweep is not None and state.asked != asked:
            self._store.sweeps.end(day_id, state.sweep, BY)  # what a newer change did is told apart from what this did
            state.sweep = None
        if state.sweep is None:
            state.sweep, state.asked = self._store.sweeps.begin(day_id, BY), asked
        ids = {entry.id: expected_id(snapshot.document, entry) for entry in missing}
        known = self._store.assessments.find(ids.values())
        made = [(known[ids[e.id]], snapshot.bases[e.id]) for e in missing if ids[e.id] in known]
        self._keep(day_id, made, state)
        rest = [entry for entry in missing if ids[entry.id] not in known]
        if not rest:
            return True
        try:
            ground = ground_of(snapshot.document)
        except Exception as error:
            log.exception("the field of %s cannot be worked with", day_id)
            self._break(rest, snapshot, state, error)
            return True
        tasks = [
            self._crew.submit(entry.id, partial(self._one, day_id, snapshot, entry, ground, state)) for entry in rest
        ]
        entries = {entry.id: entry for entry in rest}
        for task in self._crew.finished(tasks):
            mistake = task.outcome.exception()
            if mistake is not None:
                log.error("assessing %s of %s failed", task.key, day_id, exc_info=mistake)
                self._break([entries[task.key]], snapshot, state, mistake)
                continue
            result = task.outcome.result()
            if result is not None:
                self._keep(day_id, [(result, snapshot.bases[task.key])], state)
        return True

    def _break(self, entries: list[Entry], seen: Snapshot, state: _Day, mistake: BaseException) -> None:
        """Nothing is known about these entries until something changes that they rest on; pages say why."""
        why = f"{type(mistake).__name__}: {mistake}"[:300]
        with self._lock:
            state.broken.update({entry.id: (seen.bases[entry.id], why) for entry in entries})

    def _missing(
        self, day: LaunchDay, bases: dict[str, Basis], before: dict[str, Current], state: _Day, recheck: bool
    ) -> list[Entry]:
        found = []
        for entry in day.entries:
            now = before.get(entry.id)
            with self._lock:
                broken = state.broken.get(entry.id)
                if broken is not None and broken[0] != bases[entry.id]:
                    del state.broken[entry.id]
                    broken = None
            if broken is not None:
                continue
            if now is None or not now.fresh or (recheck and now.assessment_id != expected_id(day, entry)):
                found.append(entry)
        return found

    def _one(self, day_id: str, seen: Snapshot, entry: Entry, ground: Ground, state: _Day) -> Assessment | None:
        if self._closed:
            return None
        # Somebody else's entry coming in is no reason to drop this one: else nothing gets done while many register.
        if state.again and self._store.assessments.bases(day_id).get(entry.id) != seen.bases[entry.id]:
            return None
        return self._assess(seen.document, entry, ground)

    def _keep(self, day_id: str, made: list[tuple[Assessment, Basis]], state: _Day) -> None:
        if made:
            self._store.assessments.keep(day_id, made, BY, sweep=state.sweep)


def reassessor() -> Reassessor:
    """The one of the running app."""
    return current_app.extensions["reassessor"]
