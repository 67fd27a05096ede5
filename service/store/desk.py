"""The officer's desk: every entry with its last assessment and ruling, as of one moment."""

from __future__ import annotations

from dataclasses import dataclass

from service.models.conditions import Conditions
from service.store import entries, parts, rulings
from service.store.database import Database
from service.store.entries import EntryRecord
from service.store.reading import reader
from service.store.rulings import Ruling
from service.store.standing import Current, current
from service.store.versions import Version, version_of


@dataclass(frozen=True)
class DeskLine:
    """One entry. `assessed` and `ruling` are None where there is none yet."""

    record: EntryRecord
    assessed: Current | None
    ruling: Ruling | None


@dataclass(frozen=True)
class Desk:
    """All entries in the conditions in force."""

    day_revision: int
    conditions: Version[Conditions]
    lines: tuple[DeskLine, ...]


def desk(database: Database, day_id: str) -> Desk:
    """Read the desk of a launch day."""
    with database.read() as connection:
        row = parts.day_row(connection, day_id)
        assessed = current(connection, day_id)
        ruled = rulings.latest(connection, day_id, stands=assessed)
        read = reader(Conditions)
        return Desk(
            row.revision,
            version_of(connection, day_id, "conditions", "", row.conditions_revision, read),
            tuple(
                DeskLine(record, assessed.get(record.id), ruled.get(record.id))
                for record in entries.records(connection, day_id)
            ),
        )
