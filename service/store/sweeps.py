"""What each pass over a launch day changed: kept, so that the desk still tells it after a restart.

A pass is begun when something has to be assessed, and ended when all is current. One that a stop cut short is gone
on with. Nothing rests on this; it is told to people, so it stands outside the audit trail.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

import sqlalchemy as sa

from service.store import parts, tables
from service.store.audit import Change
from service.store.database import Database
from service.store.standing import Current
from service.store.versions import named

SWEEPS_KEPT = 60  # a day: what the last reading changed is told though many mend their entries after it


@dataclass(frozen=True)
class Moved:
    """How one entry's assessment changed. `before` is None for its first."""

    entry_id: str
    before: Current | None
    after_id: str
    after_standing: str

    @property
    def standing_changed(self) -> bool:
        """Whether the standing is another one now."""
        return self.before is not None and self.before.standing != self.after_standing


@dataclass(frozen=True)
class Sweep:
    """One pass over a launch day. `finished_at` is None while it runs, or where a stop cut it short."""

    number: int
    started_at: datetime
    finished_at: datetime | None = None
    moved: dict[str, Moved] = field(default_factory=dict)
    lapsed: frozenset[str] = frozenset()


class Sweeps:
    """Passes over launch days."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def begin(self, day_id: str, by: str) -> int:
        """Begin a pass, or go on with the last one if it was never ended; returns its number."""
        table, moved = tables.sweep, tables.moved
        with self._database.write(named(by)) as change:
            parts.day_row(change.connection, day_id)
            asked = sa.select(table).where(table.c.day_id == day_id).order_by(table.c.number.desc()).limit(1)
            last = change.connection.execute(asked).one_or_none()
            if last is not None and last.finished_at is None:
                return last.number
            number = last.number + 1 if last is not None else 1
            for each in (moved, table):
                old = sa.and_(each.c.day_id == day_id, each.c.number <= number - SWEEPS_KEPT)
                change.connection.execute(each.delete().where(old))
            change.connection.execute(table.insert().values(day_id=day_id, number=number, started_at=change.at))
            return number

    def end(self, day_id: str, number: int, by: str) -> None:
        """All is current, or cannot be made so."""
        table = tables.sweep
        with self._database.write(named(by)) as change:
            which = (table.c.day_id == day_id, table.c.number == number)
            change.connection.execute(table.update().where(*which).values(finished_at=change.at))

    def latest(self, day_id: str, limit: int = 5) -> tuple[Sweep, ...]:
        """The last passes, the latest first."""
        table, moved = tables.sweep, tables.moved
        with self._database.read() as connection:
            rows = connection.execute(
                sa.select(table).where(table.c.day_id == day_id).order_by(table.c.number.desc()).limit(limit)
            ).all()
            told: dict[int, list[Any]] = {}
            first = min((row.number for row in rows), default=0)
            asked = sa.select(moved).where(moved.c.day_id == day_id, moved.c.number >= first).order_by(moved.c.entry_id)
            for row in connection.execute(asked):
                told.setdefault(row.number, []).append(row)
        return tuple(_sweep(row, told.get(row.number, [])) for row in rows)


def note(
    change: Change,
    day_id: str,
    number: int,
    made: Mapping[str, tuple[Current | None, str, str]],
    lapsed: list[str],
) -> None:
    """Keep what a pass moved, inside the transaction that moved it: by entry what was before, and the new id and
    standing. What an entry had before the whole pass stays.
    """
    table = tables.moved
    of_pass = (table.c.day_id == day_id, table.c.number == number)
    there = {row.entry_id: row for row in change.connection.execute(sa.select(table).where(*of_pass))}
    for entry_id, (before, after_id, standing) in made.items():
        after: dict[str, Any] = {"after_id": after_id, "after_standing": standing}
        if entry_id in there:
            after["lapsed"] = there[entry_id].lapsed or entry_id in lapsed
            change.connection.execute(table.update().where(*of_pass, table.c.entry_id == entry_id).values(**after))
            continue
        values = {"day_id": day_id, "number": number, "entry_id": entry_id, "lapsed": entry_id in lapsed, **after}
        if before is not None:
            values |= {"before_id": before.assessment_id, "before_standing": before.standing, "before_at": before.at}
        change.connection.execute(table.insert().values(**values))


def _sweep(row: Any, told: list[Any]) -> Sweep:
    return Sweep(
        row.number,
        datetime.fromisoformat(row.started_at),
        datetime.fromisoformat(row.finished_at) if row.finished_at else None,
        {each.entry_id: _moved(each) for each in told},
        frozenset(each.entry_id for each in told if each.lapsed),
    )


def _moved(row: Any) -> Moved:
    before = None
    if row.before_id is not None:
        before = Current(row.before_id, row.before_standing, row.before_at, False)
    return Moved(row.entry_id, before, row.after_id, row.after_standing)
