"""The flight log as it is kept, each row with the revisions that stood when it was written."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from service.models.flight_log import Flight, Happened
from service.store import parts, tables
from service.store.database import Database
from service.store.errors import NotFound
from service.store.reading import read, reader
from service.store.standing import current
from service.store.versions import Version, history_of, named, save

__all__ = ["Flight", "FlightRow", "Flights", "Happened"]


@dataclass(frozen=True)
class FlightRow:
    """A row of the log, with the entry's revision and assessment that stood when it was written."""

    number: int
    flight: Flight
    entry_revision: int
    assessment_id: str | None
    revision: int
    at: str
    by: str


class Flights:
    """The flight log."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def all(self, day_id: str) -> tuple[FlightRow, ...]:
        """Every row, in the order of writing."""
        with self._database.read() as connection:
            parts.day_row(connection, day_id)
            return _rows(connection, day_id)

    def history(self, day_id: str, number: int) -> tuple[Version[Flight], ...]:
        """Every revision of a row, oldest first."""
        with self._database.read() as connection:
            return history_of(connection, day_id, "flight", str(number), reader(Flight))

    def add(self, day_id: str, flight: Flight, by: str) -> FlightRow:
        """Write a row."""
        flight = parts.checked(flight, Flight, "flight")
        table = tables.flight
        with self._database.write(named(by)) as change:
            entry = parts.entry_row(change.connection, day_id, flight.entry)
            stands = current(change.connection, day_id).get(flight.entry)
            number = change.connection.execute(
                sa.select(sa.func.coalesce(sa.func.max(table.c.number), 0) + 1).where(table.c.day_id == day_id)
            ).scalar_one()
            save(change, day_id, "flight", str(number), flight, based_on=0, current=0)
            change.connection.execute(
                table.insert().values(
                    day_id=day_id,
                    number=number,
                    entry_id=flight.entry,
                    entry_revision=entry.revision,
                    revision=1,
                    assessment_id=stands.assessment_id if stands and stands.fresh else None,
                )
            )
            return _rows(change.connection, day_id, table.c.number == number)[0]

    def update(self, day_id: str, number: int, flight: Flight, by: str, *, based_on: int, why: str = "") -> FlightRow:
        """Change a row: an apogee read later, a rocket found."""
        flight = parts.checked(flight, Flight, "flight")
        table = tables.flight
        with self._database.write(named(by)) as change:
            found = _rows(change.connection, day_id, table.c.number == number)
            if not found:
                raise NotFound(f'found no flight {number} on launch day "{day_id}"')
            row = found[0]
            values: dict[str, Any] = {}
            if flight.entry != row.flight.entry:
                entry = parts.entry_row(change.connection, day_id, flight.entry)
                values = {"entry_id": flight.entry, "entry_revision": entry.revision, "assessment_id": None}
            new = save(change, day_id, "flight", str(number), flight, based_on=based_on, current=row.revision, why=why)
            where = (table.c.day_id == day_id, table.c.number == number)
            change.connection.execute(table.update().where(*where).values(revision=new, **values))
            return _rows(change.connection, day_id, table.c.number == number)[0]


def _rows(connection: sa.Connection, day_id: str, *which: sa.ColumnElement[bool]) -> tuple[FlightRow, ...]:
    table = tables.flight
    return tuple(
        FlightRow(
            row.number,
            read(Flight, row.document),
            row.entry_revision,
            row.assessment_id,
            row.revision,
            row.at,
            row.by,
        )
        for row in parts.joined(connection, table, "flight", table.c.day_id == day_id, *which)
    )
