"""Which assessment of an entry is current.

The last one kept is, for as long as the revisions it was made from are those that stand.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import sqlalchemy as sa

from service.store import tables


class Basis(NamedTuple):
    """The revisions that an entry's assessment is made from."""

    day: int
    conditions: int
    motor: int
    entry: int


@dataclass(frozen=True)
class Current:
    """The assessment kept last for an entry. `fresh` is false once what it was made from has moved on."""

    assessment_id: str
    standing: str
    at: str
    fresh: bool


def bases(connection: sa.Connection, day_id: str) -> dict[str, Basis]:
    """The basis of each entry that takes part, as it stands."""
    rows = connection.execute(_bases(day_id))
    return {row.id: Basis(row.day, row.conditions, row.motor, row.entry) for row in rows}


def current(connection: sa.Connection, day_id: str) -> dict[str, Current]:
    """Each entry's last assessment."""
    table, kept = tables.current_assessment, tables.assessment
    stand = bases(connection, day_id)
    asked = sa.select(table, kept.c.standing).join(kept, kept.c.id == table.c.assessment_id)
    found = {}
    for row in connection.execute(asked.where(table.c.day_id == day_id)):
        basis = Basis(row.day_revision, row.conditions_revision, row.motor_revision, row.entry_revision)
        fresh = stand.get(row.entry_id) == basis
        found[row.entry_id] = Current(row.assessment_id, row.standing, row.at, fresh)
    return found


def _bases(day_id: str) -> sa.Select[tuple[str, int, int, int, int]]:
    day, entry, motor = tables.launch_day, tables.entry, tables.motor
    return (
        sa.select(
            entry.c.id,
            day.c.revision.label("day"),
            day.c.conditions_revision.label("conditions"),
            motor.c.revision.label("motor"),
            entry.c.revision.label("entry"),
        )
        .join(day, day.c.id == entry.c.day_id)
        .join(motor, sa.and_(motor.c.day_id == entry.c.day_id, motor.c.id == entry.c.motor_id))
        .where(entry.c.day_id == day_id, sa.not_(entry.c.withdrawn))
    )
