"""One launch day brought up to date: what has no current assessment is flown, and kept as soon as it is there.

What is missing is read from the store each time, and beside each assessment is kept what the pass changed: a stop
loses nothing, a restart goes on where it was. What a change in the midst of it bears on and has not been flown yet is
dropped and starts over from the new state.
"""

from __future__ import annotations

import logging
import threading
from dataclasses import dataclass, field
from functools import partial

from service.models.assessment import Assessment
from service.models.day import LaunchDay
from service.models.entry import Entry
from service.planning.ground import Ground, ground_of
from service.planning.identity import assessment_id
from service.store import Basis, Store
from service.store.assessments import Snapshot
from service.store.standing import Current
from service.web.config import Assess
from service.web.crew import Crew

BY = "assessor"  # what the audit trail calls it

log = logging.getLogger("rangehand.background")


def fly(day: LaunchDay, entry: Entry, ground: Ground) -> Assessment:
    """Assess one entry in the day's conditions, on one thread."""
    from service.planning.assess import assess_entry  # compiles the flight model: not before it is needed

    return assess_entry(day, entry, ground=ground, threads=1)


def expected_id(day: LaunchDay, entry: Entry) -> str:
    """The id that assessing an entry now would give."""
    from service.planning.assess import SEED

    return assessment_id(day, entry, day.conditions, SEED, stale=False)


@dataclass
class DayPass:
    """The passes over one day, one at a time. `again`, `recheck` and `closed` are set from outside, under `lock`."""

    day_id: str
    store: Store
    crew: Crew
    assess: Assess
    lock: threading.Lock
    again: bool = False
    """Something has changed since the pass began."""
    recheck: bool = False
    """What another version of the flight model made counts as missing."""
    closed: bool = False
    _sweep: int | None = None
    _asked: tuple[int, int] | None = None
    """Revisions of the day and of its conditions that the pass is about."""
    _broken: dict[str, tuple[Basis, str]] = field(default_factory=dict)

    def failures(self) -> dict[str, str]:
        """Entries that the service itself failed to assess, and what it said. Called under the lock."""
        return {entry: why for entry, (_, why) in self._broken.items()}

    def run(self) -> bool:
        """Assess what is missing as of now; True when it has to be looked at again."""
        with self.lock:
            if self.closed:
                return False
            self.again, recheck, self.recheck = False, self.recheck, False
        try:
            return self._bring_up(recheck)
        except Exception:
            with self.lock:
                self.recheck |= recheck  # what was asked for has not been done
            raise

    def end(self) -> None:
        """The pass is through, unless the service stops in the midst of it: it then goes on after the next start."""
        if self._sweep is not None and not self.closed:
            self.store.sweeps.end(self.day_id, self._sweep, BY)
            self._sweep = None

    def _bring_up(self, recheck: bool) -> bool:
        snapshot = self.store.assessments.snapshot(self.day_id)
        before = self.store.assessments.current(self.day_id)
        missing = self._missing(snapshot, before, recheck)
        if not missing:
            return False
        asked = next(((each.day, each.conditions) for each in snapshot.bases.values()), None)
        if self._sweep is not None and self._asked != asked:
            self.store.sweeps.end(self.day_id, self._sweep, BY)  # what a newer change did is told apart from this one's
            self._sweep = None
        if self._sweep is None:
            self._sweep, self._asked = self.store.sweeps.begin(self.day_id, BY), asked
        ids = {entry.id: expected_id(snapshot.document, entry) for entry in missing}
        known = self.store.assessments.find(ids.values())
        self._keep([(known[ids[e.id]], snapshot.bases[e.id]) for e in missing if ids[e.id] in known])
        rest = [entry for entry in missing if ids[entry.id] not in known]
        if rest:
            self._fly(rest, snapshot)
        return True

    def _fly(self, entries: list[Entry], snapshot: Snapshot) -> None:
        try:
            ground = ground_of(snapshot.document)
        except Exception as error:
            log.exception("the field of %s cannot be worked with", self.day_id)
            self._break(entries, snapshot, error)
            return
        tasks = [self.crew.submit(entry.id, partial(self._one, snapshot, entry, ground)) for entry in entries]
        by_id = {entry.id: entry for entry in entries}
        for task in self.crew.finished(tasks):
            mistake = task.outcome.exception()
            if mistake is not None:
                log.error("assessing %s of %s failed", task.key, self.day_id, exc_info=mistake)
                self._break([by_id[task.key]], snapshot, mistake)
                continue
            result = task.outcome.result()
            if result is not None:
                self._keep([(result, snapshot.bases[task.key])])

    def _break(self, entries: list[Entry], seen: Snapshot, mistake: BaseException) -> None:
        """Nothing is known about these entries until something changes that they rest on; pages say why."""
        why = f"{type(mistake).__name__}: {mistake}"[:300]
        with self.lock:
            self._broken.update({entry.id: (seen.bases[entry.id], why) for entry in entries})

    def _missing(self, seen: Snapshot, before: dict[str, Current], recheck: bool) -> list[Entry]:
        found = []
        for entry in seen.document.entries:
            now = before.get(entry.id)
            with self.lock:
                broken = self._broken.get(entry.id)
                if broken is not None and broken[0] != seen.bases[entry.id]:
                    del self._broken[entry.id]
                    broken = None
            if broken is not None:
                continue
            if now is None or not now.fresh or (recheck and now.assessment_id != expected_id(seen.document, entry)):
                found.append(entry)
        return found

    def _one(self, seen: Snapshot, entry: Entry, ground: Ground) -> Assessment | None:
        if self.closed:
            return None
        # Somebody else's entry coming in is no reason to drop this one: else nothing gets done while many register.
        if self.again and self.store.assessments.bases(self.day_id).get(entry.id) != seen.bases[entry.id]:
            return None
        return self.assess(seen.document, entry, ground)

    def _keep(self, made: list[tuple[Assessment, Basis]]) -> None:
        if made:
            self.store.assessments.keep(self.day_id, made, BY, sweep=self._sweep)
