"""Assessing in the background: after every change, whatever is not current is flown again.

Here stands when a day is gone over; what one pass does is `day_pass`. Requests never wait for it; its threads run at
a lower priority where the system can.

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

from flask import current_app

from service.store import NotFound, Store
from service.store.desk import Desk
from service.store.sweeps import Sweep
from service.web.config import Assess
from service.web.crew import LONGEST_S, Crew, step_back
from service.web.day_pass import DayPass, fly

LOOK_S = 60.0  # between two looks around
FIRST_RETRY_S, LAST_RETRY_S = 1.0, 15.0

log = logging.getLogger("rangehand.background")


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

    work: DayPass
    running: bool = False
    retry_s: float = field(default_factory=lambda: FIRST_RETRY_S)
    seen: tuple[int, int] | None = None
    """At the last look around: entries done, and entries pending."""


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
            state = self._day(day_id)
            state.work.recheck |= recheck
            if state.running:
                state.work.again = True
                return
            state.running = True
            self._sweeps.submit(self._run, day_id, state)  # under the lock: close() comes before or after, not between

    def _day(self, day_id: str) -> _Day:
        """The state of a day; under the lock."""
        if day_id not in self._days:
            self._days[day_id] = _Day(DayPass(day_id, self._store, self._crew, self._assess, self._lock))
        return self._days[day_id]

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
                state = self._day(line.id)
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
            return state.work.failures() if state else {}

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
                state.work.again = state.work.closed = True
        self._sweeps.shutdown(wait=True, cancel_futures=True)
        self._crew.close()
        with self._idle:
            for state in self._days.values():
                state.running = False
            self._idle.notify_all()

    def _run(self, day_id: str, state: _Day) -> None:
        failed = False
        try:
            while state.work.run():
                pass
            state.work.end()
            state.retry_s = FIRST_RETRY_S
        except NotFound:
            log.info("launch day %s is gone", day_id)
        except Exception:
            log.exception("re-assessing launch day %s failed; tried again in %g s", day_id, state.retry_s)
            failed = not self._stop.wait(state.retry_s)
            state.retry_s = min(2.0 * state.retry_s, LAST_RETRY_S)
        with self._idle:
            state.running = (state.work.again or failed) and not self._closed
            if state.running:
                self._sweeps.submit(self._run, day_id, state)
            else:
                self._idle.notify_all()


def reassessor() -> Reassessor:
    """The one of the running app."""
    return current_app.extensions["reassessor"]
