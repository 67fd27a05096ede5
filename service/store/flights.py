"""The flight log as it is kept, each row with the revisions that stood when it was written."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

import sqlalchemy as sa

from service.models.base import Problem
from service.models.flight_log import Flight, Happened
from service.store import parts, tables
from service.store.audit import Change
from service.store.database import Database
from service.store.errors import AlreadyLogged, NotFound, Refused
from service.store.reading import read, reader
from service.store.settings import Put, put
from service.store.standing import current
from service.store.versions import Version, history_of, named, save

SAME_WITHIN_MIN = 5.0  # engineering estimate: no rocket is recovered, packed and back on its pad sooner

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

    @property
    def by_mistake(self) -> bool:
        """Whether it counts for nothing."""
        return self.flight.happened == "mistake"


class Flights:
    """The flight log."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def all(self, day_id: str, *, mistakes: bool = False) -> tuple[FlightRow, ...]:
        """Every row, in the order of writing; those written by mistake only with `mistakes`."""
        with self._database.read() as connection:
            parts.day_row(connection, day_id)
            return tuple(each for each in _rows(connection, day_id) if mistakes or not each.by_mistake)

    def history(self, day_id: str, number: int) -> tuple[Version[Flight], ...]:
        """Every revision of a row, oldest first."""
        with self._database.read() as connection:
            return history_of(connection, day_id, "flight", str(number), reader(Flight))

    def add(self, day_id: str, flight: Flight, by: str, *, another: bool = False, also: Put | None = None) -> FlightRow:
        """Write a row. `another`: a second flight of that entry within `SAME_WITHIN_MIN` is one all the same.

        Raises
        ------
        AlreadyLogged
            Where a flight of that entry at about that time is in the log already.
        """
        with self._database.write(named(by)) as change:
            if also is not None:
                put(change, also)
            return _insert(change, day_id, flight, another)

    def add_all(self, day_id: str, flights: Iterable[Flight], by: str, *, also: Put) -> tuple[FlightRow, ...]:
        """Write rows and set a setting, all or nothing; refused as `add` refuses."""
        with self._database.write(named(by)) as change:
            put(change, also)
            return tuple(_insert(change, day_id, each, another=False) for each in flights)

    def update(
        self, day_id: str, number: int, flight: Flight, by: str, *, based_on: int, why: str = "",
        also: Put | None = None,
    ) -> FlightRow:  # fmt: skip
        """Change a row: an apogee read later, a rocket found, a row written by mistake."""
        flight = parts.checked(flight, Flight, "flight")
        table = tables.flight
        with self._database.write(named(by)) as change:
            if also is not None:
                put(change, also)
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


def _insert(change: Change, day_id: str, flight: Flight, another: bool) -> FlightRow:
    flight = parts.checked(flight, Flight, "flight")
    table, connection = tables.flight, change.connection
    if flight.happened == "mistake":
        raise Refused("flight", [Problem(("happened",), "a new row written by mistake", "what happened")])
    entry = parts.entry_row(connection, day_id, flight.entry)
    earlier = None if another else _same(_rows(connection, day_id, table.c.entry_id == flight.entry), flight)
    if earlier is not None:
        raise AlreadyLogged(earlier.number, flight.entry, earlier.flight.flown_at, SAME_WITHIN_MIN)
    stands = current(connection, day_id).get(flight.entry)
    number = connection.execute(
        sa.select(sa.func.coalesce(sa.func.max(table.c.number), 0) + 1).where(table.c.day_id == day_id)
    ).scalar_one()
    save(change, day_id, "flight", str(number), flight, based_on=0, current=0)
    connection.execute(
        table.insert().values(
            day_id=day_id,
            number=number,
            entry_id=flight.entry,
            entry_revision=entry.revision,
            revision=1,
            assessment_id=stands.assessment_id if stands and stands.fresh else None,
        )
    )
    return _rows(connection, day_id, table.c.number == number)[0]


def _same(rows: Iterable[FlightRow], flight: Flight) -> FlightRow | None:
    """A row that tells of this flight already. After a misfire the next try may follow at once."""
    if flight.happened == "misfire":
        return None
    apart = timedelta(minutes=SAME_WITHIN_MIN)
    left = (each for each in rows if each.flight.happened not in ("misfire", "mistake"))
    return next((each for each in left if abs(each.flight.flown_at - flight.flown_at) <= apart), None)


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
