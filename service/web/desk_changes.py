"""What the last conditions changed on the desk, told until there are others; what edits changed since, told after it.

Each pass keeps what every entry moved from and to. A move away from an assessment that was there before the conditions
came is their doing, whatever pass it fell into and however many edits followed; a move after it is an edit's.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from service.models.assessment import Assessment
from service.models.conditions import SURFACE_HEIGHT_M, Conditions
from service.planning.compare import Change, FindingChange, compare
from service.planning.new_day import NOT_MEASURED
from service.store import Store
from service.store.desk import Desk
from service.store.sweeps import SWEEPS_KEPT, Sweep
from service.store.versions import Version

SEVERAL = 3  # from so many entries on, what they have in common is told once


@dataclass(frozen=True)
class Moves:
    """What went differently: entries in order, those that got worse first.

    `common` are the findings that went the same way for several entries, each told once with all of them. `same` counts
    entries that were assessed again with every finding as before. [count]
    """

    changes: tuple[Change, ...]
    common: tuple[tuple[FindingChange, tuple[str, ...]], ...]
    same: int
    lapsed: tuple[str, ...]
    """Entries whose ruling lapsed by it."""
    still_lapsed: tuple[str, ...]
    """Those of them that nobody has ruled on again."""
    edited: tuple[str, ...]
    """Entries that were themselves changed in between."""

    def own(self, change: Change) -> tuple[FindingChange, ...]:
        """Findings of an entry that are not told for several at once."""
        told = {_way(each) for each, _ in self.common}
        return tuple(each for each in change.findings if _way(each) not in told)

    @property
    def by_standing(self) -> tuple[tuple[str, str, tuple[str, ...]], ...]:
        """From which standing to which, and the entries that went so; those that got worse first."""
        went: dict[tuple[str, str], list[str]] = {}
        for each in self.changes:
            if each.standing_changed:
                went.setdefault((each.before, each.after), []).append(each.entry)
        return tuple((before, after, tuple(entries)) for (before, after), entries in went.items())

    @property
    def standing_as_before(self) -> tuple[str, ...]:
        """Entries whose standing is the same, with other findings."""
        return tuple(sorted(each.entry for each in self.changes if not each.standing_changed))

    @property
    def telling(self) -> bool:
        """Whether anything in it is news."""
        return bool(self.changes or self.lapsed)


@dataclass(frozen=True)
class Changed:
    """What the conditions in force changed, and what edits changed since.

    `before` are the conditions before them: None for the first ones, which change nothing. `awaited` counts entries
    that have not been assessed in them yet. [count] `all_kept` is false where passes have been dropped since.
    """

    now: Version[Conditions]
    before: Conditions | None
    reading: Moves
    awaited: int
    all_kept: bool
    edits: Moves

    @property
    def measured_before(self) -> bool:
        """Whether anybody had measured what was in force before."""
        return self.before is not None and self.before.source != NOT_MEASURED

    @property
    def aloft_words(self) -> str:
        """How the winds above the surface reading changed; empty where they did not."""
        was, are = (
            tuple(level for level in each.wind if level.height_m > SURFACE_HEIGHT_M) if each else ()
            for each in (self.before, self.now.document)
        )
        if was == are:
            return ""
        if was and are:
            return "the winds aloft are others"
        return f"the winds aloft are {'known' if are else 'not known'} now"


@dataclass
class _Step:
    """From one assessment of an entry to a later one."""

    before_id: str
    after_id: str
    lapsed: bool
    edited: bool


def changed_of(store: Store, day_id: str, seen: Desk, failed: Mapping[str, str]) -> Changed:
    """What is to be told on the desk as it was seen; `failed` are entries that could not be assessed."""
    history = store.weather.history(day_id)
    now = history[-1]
    entered = datetime.fromisoformat(now.at)
    sweeps = store.sweeps.latest(day_id, SWEEPS_KEPT)
    reading, edits = _steps(seen, sweeps, entered)
    wanted = {each for step in (*reading.values(), *edits.values()) for each in (step.before_id, step.after_id)}
    found = store.assessments.find(wanted)
    lapsed = {line.record.id for line in seen.lines if line.ruling is not None and line.ruling.state == "lapsed"}
    behind = {
        line.record.id
        for line in seen.lines
        if line.assessed is not None and not line.assessed.fresh and datetime.fromisoformat(line.assessed.at) < entered
    }
    first = len(history) == 1
    return Changed(
        now,
        None if first else _before(history, reading, found),
        _moves({} if first else reading, found, lapsed),
        0 if first else len(behind - set(failed)),
        not sweeps or sweeps[-1].number == 1 or sweeps[-1].started_at <= entered,
        _moves(edits, found, lapsed),
    )


def _steps(seen: Desk, sweeps: tuple[Sweep, ...], entered: datetime) -> tuple[dict[str, _Step], dict[str, _Step]]:
    """By entry: the step that the conditions took, and the one that edits took after it, however many there were."""
    moves = defaultdict(list)
    for sweep in reversed(sweeps):
        for entry_id, moved in sweep.moved.items():
            if moved.before is not None:
                moves[entry_id].append((moved.before, moved.after_id, entry_id in sweep.lapsed))
    reading: dict[str, _Step] = {}
    edits: dict[str, _Step] = {}
    for line in seen.lines:
        chain, last = moves[line.record.id], line.assessed
        if not chain or last is None:
            continue
        ends = [before.at for before, _, _ in chain[1:]] + [last.at]
        edited_at = datetime.fromisoformat(line.record.at)
        for (before, after_id, lapsed), end in zip(chain, ends, strict=True):
            begun, ended = datetime.fromisoformat(before.at), datetime.fromisoformat(end)
            if ended < entered:
                continue
            steps = reading if begun < entered else edits
            step = steps.setdefault(line.record.id, _Step(before.assessment_id, after_id, False, False))
            step.after_id = after_id
            step.lapsed |= lapsed
            step.edited |= begun < edited_at < ended
    return reading, edits


def _before(
    history: tuple[Version[Conditions], ...], steps: Mapping[str, _Step], found: Mapping[str, Assessment]
) -> Conditions:
    """The conditions that most entries were assessed in before: not those that were replaced before that was done."""
    times = Counter(found[step.before_id].conditions_at for step in steps.values() if step.before_id in found)
    most = times.most_common(1)
    earlier = [each.document for each in history[:-1]]
    if not most:
        return earlier[-1]
    at = datetime.fromisoformat(most[0][0])
    return next((each for each in reversed(earlier) if each.observed_at == at), earlier[-1])


def _moves(steps: Mapping[str, _Step], found: Mapping[str, Assessment], lapsed: set[str]) -> Moves:
    changes = []
    for step in steps.values():
        before, after = found.get(step.before_id), found.get(step.after_id)
        if before is not None and after is not None:
            changes.append(compare(before, after))
    telling = [each for each in changes if each.standing_changed or each.findings]
    lapsed_by_it = sorted(entry for entry, step in steps.items() if step.lapsed)
    return Moves(
        tuple(sorted(telling, key=lambda each: (not each.worse, not each.standing_changed, each.entry))),
        _common(telling),
        len(changes) - len(telling),
        tuple(lapsed_by_it),
        tuple(entry for entry in lapsed_by_it if entry in lapsed),
        tuple(sorted(entry for entry, step in steps.items() if step.edited)),
    )


def _way(change: FindingChange) -> tuple[str, str | None, str | None]:
    return change.rule, change.before, change.after


def _common(changes: list[Change]) -> tuple[tuple[FindingChange, tuple[str, ...]], ...]:
    """Findings that went the same way for several entries, the most frequent first."""
    groups: dict[tuple[str, str | None, str | None], list[tuple[FindingChange, str]]] = {}
    for change in changes:
        for each in change.findings:
            groups.setdefault(_way(each), []).append((each, change.entry))
    several = [group for group in groups.values() if len(group) >= SEVERAL]
    several.sort(key=lambda group: (not group[0][0].worse, -len(group)))
    return tuple((group[0][0], tuple(sorted(entry for _, entry in group))) for group in several)
