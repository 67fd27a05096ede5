"""Entries with their history, and the motors they hold."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from service.models.base import Problem
from service.models.crosscheck import DayParts
from service.models.entry import Entry
from service.models.motor import Motor
from service.store import motors, parts, rulings, tables, tokens
from service.store.audit import Change
from service.store.database import Database
from service.store.erasing import Erased, erase_flyer
from service.store.errors import AlreadyThere, Refused
from service.store.reading import read, reader
from service.store.versions import Version, history_of, named, save, subject, text_of

ENTRIES_A_DAY = 1000  # as many as a document may hold


@dataclass(frozen=True)
class EntryRecord:
    """An entry as it stands. `reserved` counts the motors it holds from the day's stock."""

    day_id: str
    entry: Entry
    revision: int
    withdrawn: bool
    reserved: int
    at: str
    by: str
    why: str

    @property
    def id(self) -> str:
        """Its number on the day."""
        return self.entry.id


@dataclass(frozen=True)
class Registered:
    """A new entry and the token of its private link, which is told this once and kept nowhere."""

    record: EntryRecord
    token: str


class Entries:
    """Entries."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def all(self, day_id: str, *, withdrawn: bool = False) -> tuple[EntryRecord, ...]:
        """Every entry in the order of registering; those withdrawn too, if asked for."""
        with self._database.read() as connection:
            parts.day_row(connection, day_id)
            return records(connection, day_id, withdrawn=withdrawn)

    def get(self, day_id: str, entry_id: str) -> EntryRecord:
        """One entry, withdrawn or not."""
        with self._database.read() as connection:
            return _record(connection, day_id, entry_id)

    def without_stock(self, day_id: str) -> tuple[str, ...]:
        """Entries that fly a motor on offer and hold none of the stock, in the order of registering."""
        return tuple(
            each.id for each in self.all(day_id) if not each.reserved and not motors.is_brought(each.entry.motor)
        )

    def history(self, day_id: str, entry_id: str) -> tuple[Version[Entry], ...]:
        """Every revision, oldest first."""
        with self._database.read() as connection:
            return history_of(connection, day_id, "entry", entry_id, reader(Entry))

    def add(
        self, day_id: str, entry: Entry, by: str, *, keep_id: bool = False, reserve: bool = True, why: str = ""
    ) -> Registered:
        """Register an entry; it gets the day's next number unless it is to keep its id.

        With `reserve` it holds its motors from the day's stock, or is refused (`OutOfStock`); a flyer who brings
        the motor reserves none. Refused where it does not fit the day's motors and pads.
        """
        entry = parts.checked(entry, Entry, "entry")
        with self._database.write(named(by)) as change:
            parts.day_row(change.connection, day_id)
            if not keep_id:
                entry = entry.model_copy(update={"id": _next_id(change, day_id)})
            insert(change, day_id, entry, reserve=reserve, why=why)
            token = tokens.new_link(change, day_id, entry.id)
            return Registered(_record(change.connection, day_id, entry.id), token)

    def update(
        self,
        day_id: str,
        entry: Entry,
        by: str,
        *,
        based_on: int,
        reserve: bool | None = None,
        until_ruled: bool = False,
        why: str = "",
    ) -> EntryRecord:
        """Save a changed entry. `reserve` None goes on as before: it holds motors if it did.

        With `until_ruled` it is refused once a ruling in force approves or refuses the entry (a flyer may mend it
        only until then). Ticks are kept; they are changed by `attestations` only.
        """
        entry = parts.checked(entry, Entry, "entry")
        with self._database.write(named(by)) as change:
            mend(change, day_id, entry, based_on=based_on, reserve=reserve, until_ruled=until_ruled, why=why)
            return _record(change.connection, day_id, entry.id)

    def withdraw(self, day_id: str, entry_id: str, by: str, *, based_on: int, why: str = "") -> EntryRecord:
        """Take an entry off the day: its motors go back, one that its flyer brought is off the day with it, its links
        end, its history stays.
        """
        with self._database.write(named(by)) as change:
            row = parts.entry_row(change.connection, day_id, entry_id)
            _refuse_withdrawn(day_id, entry_id, row)
            text = text_of(change.connection, day_id, "entry", entry_id, row.revision)
            new = save(
                change,
                day_id,
                "entry",
                entry_id,
                read(Entry, text),
                based_on=based_on,
                current=row.revision,
                why=why,
                what="withdrawn",
            )
            motors.release(change, day_id, entry_id)
            tokens.end_links(change, day_id, entry_id)
            _set(change, day_id, entry_id, revision=new, withdrawn=True)
            motors.drop_brought(change, day_id, row.motor_id)
            return _record(change.connection, day_id, entry_id)

    def erase(self, day_id: str, entry_id: str, by: str, *, based_on: int) -> Erased:
        """Erase the flyer's personal data from every revision; the private links end."""
        return erase_flyer(self._database, day_id, entry_id, by, based_on=based_on)


def insert(change: Change, day_id: str, entry: Entry, *, reserve: bool, why: str = "", fits: bool = False) -> None:
    """Add an entry inside a transaction; `fits` when it has been held against the day already."""
    table = tables.entry
    entry = _without_ticks(change.connection, day_id, entry)
    last, kept = change.connection.execute(
        sa.select(sa.func.coalesce(sa.func.max(table.c.position), 0), sa.func.count()).where(table.c.day_id == day_id)
    ).one()
    if kept >= ENTRIES_A_DAY:
        raise Refused(subject(day_id, "entry"), [Problem((), f"{kept} entries", f"at most {ENTRIES_A_DAY} a day")])
    known = sa.select(table.c.id).where(table.c.day_id == day_id, table.c.id == entry.id)
    if change.connection.execute(known).one_or_none() is not None:
        raise AlreadyThere(f'found an entry "{entry.id}" already, expected an id of its own')
    if not fits:
        _refuse_misfit(change.connection, day_id, entry)
    save(change, day_id, "entry", entry.id, entry, based_on=0, current=0, why=why, told={"holds": 0})
    change.connection.execute(
        table.insert().values(day_id=day_id, id=entry.id, position=last + 1, revision=1, motor_id=entry.motor)
    )
    motors.reserve(change, day_id, entry.id, entry.motor, entry.motor_count if reserve else 0)


def mend(
    change: Change, day_id: str, entry: Entry, *, based_on: int, reserve: bool | None, until_ruled: bool, why: str
) -> None:
    """Save a changed entry inside a transaction."""
    row = parts.entry_row(change.connection, day_id, entry.id)
    _refuse_withdrawn(day_id, entry.id, row)
    if until_ruled:
        _refuse_ruled(change.connection, day_id, entry.id)
    bare = _without_ticks(change.connection, day_id, entry)
    _refuse_misfit(change.connection, day_id, bare)
    new = save(change, day_id, "entry", entry.id, bare, based_on=based_on, current=row.revision, why=why)
    held = motors.held_by(change.connection, day_id).get(entry.id, 0)
    wanted = bool(held) if reserve is None else reserve
    _set(change, day_id, entry.id, revision=new, motor_id=entry.motor)
    motors.reserve(change, day_id, entry.id, entry.motor, entry.motor_count if wanted else 0)
    if row.motor_id != entry.motor:
        motors.drop_brought(change, day_id, row.motor_id)


def records(
    connection: sa.Connection, day_id: str, *which: sa.ColumnElement[bool], withdrawn: bool = False
) -> tuple[EntryRecord, ...]:
    """Entries as they stand."""
    table = tables.entry
    held, ticked = motors.held_by(connection, day_id), parts.ticks(connection, day_id)
    wanted = (table.c.day_id == day_id, *which, *(() if withdrawn else (sa.not_(table.c.withdrawn),)))
    return tuple(
        EntryRecord(
            day_id,
            parts.with_ticks(read(Entry, row.document), ticked.get(row.id, {})),
            row.revision,
            row.withdrawn,
            held.get(row.id, 0),
            row.at,
            row.by,
            row.why,
        )
        for row in parts.joined(connection, table, "entry", *wanted)
    )


def _record(connection: sa.Connection, day_id: str, entry_id: str) -> EntryRecord:
    parts.entry_row(connection, day_id, entry_id)
    return records(connection, day_id, tables.entry.c.id == entry_id, withdrawn=True)[0]


def _next_id(change: Change, day_id: str) -> str:
    day, entry = tables.launch_day, tables.entry
    number = parts.day_row(change.connection, day_id).entries_numbered
    taken = set(change.connection.execute(sa.select(entry.c.id).where(entry.c.day_id == day_id)).scalars())
    while (made := f"e-{(number := number + 1):02d}") in taken:
        pass
    change.connection.execute(day.update().where(day.c.id == day_id).values(entries_numbered=number))
    return made


def _without_ticks(connection: sa.Connection, day_id: str, entry: Entry) -> Entry:
    if not entry.attestations:
        return entry
    if entry.attestations != parts.ticks(connection, day_id).get(entry.id, {}):
        problem = Problem(("attestations",), "other ticks than those kept", "none, or those kept")
        raise Refused(subject(day_id, "entry", entry.id), [problem])
    return entry.model_copy(update={"attestations": {}})


def _refuse_misfit(connection: sa.Connection, day_id: str, entry: Entry) -> None:
    """Hold an entry against the day's motors and pads."""
    row = parts.motor_row(connection, day_id, entry.motor)
    motor: tuple[Motor, ...] = ()
    if row is not None and not row.removed:
        motor = (read(Motor, text_of(connection, day_id, "motor", entry.motor, row.revision)),)
    else:
        motor = parts.motors(connection, day_id)  # to say which there are
    top = parts.header(connection, parts.day_row(connection, day_id))
    parts.refuse_problems(
        subject(day_id, "entry", entry.id),
        DayParts(motors=dict(enumerate(motor)), pads=dict(enumerate(top.field.pads)), entries={0: entry}),
        ("entries", 0),
    )


def _refuse_withdrawn(day_id: str, entry_id: str, row: Any) -> None:
    if row.withdrawn:
        raise Refused(subject(day_id, "entry", entry_id), [Problem((), "a withdrawn entry", "one that takes part")])


def _refuse_ruled(connection: sa.Connection, day_id: str, entry_id: str) -> None:
    ruling = rulings.latest(connection, day_id, entry_id).get(entry_id)
    if ruling is not None and ruling.state in ("approved", "refused"):
        found = f"an entry that {ruling.by} {ruling.state} at {ruling.at}"
        raise Refused(subject(day_id, "entry", entry_id), [Problem((), found, "one that is not ruled on yet")])


def _set(change: Change, day_id: str, entry_id: str, **values: Any) -> None:
    table = tables.entry
    change.connection.execute(table.update().where(table.c.day_id == day_id, table.c.id == entry_id).values(**values))
