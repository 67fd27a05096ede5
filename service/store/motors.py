"""Motors on offer, their stock, and what entries have reserved of it.

A document's `stock` says how many are on offer in all; what is left is that less what is reserved.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from service.models.base import Problem
from service.models.crosscheck import DayParts
from service.models.entry import Entry
from service.models.motor import Motor
from service.store import parts, tables
from service.store.audit import Change
from service.store.database import Database
from service.store.errors import NotFound, OutOfStock, Refused
from service.store.reading import read, reader
from service.store.versions import Version, conflict, history_of, named, save, subject

MOTORS_A_DAY = 2000
BROUGHT = "own-"  # how ids of motors begin that flyers bring: never offered to others, never reserved


def is_brought(motor_id: str) -> bool:
    """Whether a flyer brings this motor."""
    return motor_id.startswith(BROUGHT)


@dataclass(frozen=True)
class Offer:
    """One motor on offer. `left` is None where the stock is not counted."""

    motor: Motor
    revision: int
    reserved: int
    at: str
    by: str

    @property
    def left(self) -> int | None:
        """How many can still be had. [count]"""
        return None if self.motor.stock is None else self.motor.stock - self.reserved


class Motors:
    """Motors on offer."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def all(self, day_id: str) -> tuple[Offer, ...]:
        """Every motor on offer, in the organiser's order."""
        with self._database.read() as connection:
            parts.day_row(connection, day_id)
            return _offers(connection, tables.motor.c.day_id == day_id)

    def gone(self, day_id: str) -> tuple[Offer, ...]:
        """Every motor that is off the offer, as it was last: what flew with it, or was to fly, tells of it still."""
        with self._database.read() as connection:
            parts.day_row(connection, day_id)
            return _offers(connection, tables.motor.c.day_id == day_id, gone=True)

    def get(self, day_id: str, motor_id: str) -> Offer:
        """One motor on offer."""
        with self._database.read() as connection:
            return _offer(connection, day_id, motor_id)

    def history(self, day_id: str, motor_id: str) -> tuple[Version[Motor], ...]:
        """Every revision of a motor, oldest first."""
        with self._database.read() as connection:
            return history_of(connection, day_id, "motor", motor_id, reader(Motor))

    def save(
        self, day_id: str, motors: Iterable[Motor], by: str, *, based_on: Mapping[str, int], why: str = ""
    ) -> tuple[Offer, ...]:
        """Add and change motors, all or none. `based_on` gives the revision of each that is there already.

        Refused where entries that fly a motor would no longer fit it, or have reserved more than its new stock.
        """
        checked = [parts.checked(each, Motor, "motor") for each in motors]
        with self._database.write(named(by)) as change:
            parts.day_row(change.connection, day_id)
            save_all(change, day_id, checked, based_on, why)
            return tuple(_offer(change.connection, day_id, each.id) for each in checked)

    def remove(self, day_id: str, motor_id: str, by: str, *, based_on: int, why: str = "") -> None:
        """Take a motor off the offer; refused while an entry flies it."""
        with self._database.write(named(by)) as change:
            offer = _offer(change.connection, day_id, motor_id)
            flown_by = _flyers_of(change.connection, day_id, motor_id)
            if flown_by:
                found = f"entry {', '.join(each.id for each in flown_by[:6])} that flies it"
                raise Refused(subject(day_id, "motor", motor_id), [Problem((), found, "no entry with this motor")])
            _remove(change, day_id, offer, based_on, why)


def drop_brought(change: Change, day_id: str, motor_id: str) -> None:
    """Take away a motor that a flyer brought, once no entry flies it: it was there for that entry alone."""
    row = parts.motor_row(change.connection, day_id, motor_id) if is_brought(motor_id) else None
    if row is not None and not row.removed and not _flyers_of(change.connection, day_id, motor_id):
        _remove(change, day_id, _offer(change.connection, day_id, motor_id), row.revision, "no entry flies it any more")


def _remove(change: Change, day_id: str, offer: Offer, based_on: int, why: str) -> None:
    new = save(
        change,
        day_id,
        "motor",
        offer.motor.id,
        offer.motor,
        based_on=based_on,
        current=offer.revision,
        why=why,
        what="removed",
    )
    _set(change, day_id, offer.motor.id, revision=new, removed=True)


def save_all(change: Change, day_id: str, motors: Iterable[Motor], based_on: Mapping[str, int], why: str = "") -> None:
    """Add and change motors inside a transaction."""
    table = tables.motor
    last = change.connection.execute(
        sa.select(sa.func.coalesce(sa.func.max(table.c.position), 0)).where(table.c.day_id == day_id)
    ).scalar_one()
    for motor in motors:
        row = parts.motor_row(change.connection, day_id, motor.id)
        if row is None:
            if based_on.get(motor.id, 0):
                raise NotFound(f'found no motor "{motor.id}" on launch day "{day_id}"')
            last += 1
            save(change, day_id, "motor", motor.id, motor, based_on=0, current=0, why=why)
            change.connection.execute(
                table.insert().values(day_id=day_id, id=motor.id, position=last, revision=1, stock=motor.stock)
            )
        else:
            _change(change, day_id, motor, row, based_on.get(motor.id, 0), why)
    if last > MOTORS_A_DAY:
        raise Refused(subject(day_id, "motor"), [Problem((), f"{last} motors", f"at most {MOTORS_A_DAY} a day")])


def _change(change: Change, day_id: str, motor: Motor, row: Any, based_on: int, why: str) -> None:
    if row.removed and not based_on:
        based_on = row.revision  # coming back under its old name
    if based_on != row.revision:
        raise conflict(change.connection, day_id, "motor", motor.id, based_on, row.revision)
    if motor.stock is not None and motor.stock < row.reserved:
        raise OutOfStock(motor.id, row.reserved, motor.stock)
    flown_by = _flyers_of(change.connection, day_id, motor.id)
    pads = frozenset(each.pad for each in flown_by)
    fits = DayParts(motors={0: motor}, entries=dict(enumerate(flown_by)), pad_names=pads)
    parts.refuse_problems(subject(day_id, "motor", motor.id), fits)
    what = "returned" if row.removed else ""
    new = save(change, day_id, "motor", motor.id, motor, based_on=based_on, current=row.revision, why=why, what=what)
    _set(change, day_id, motor.id, revision=new, stock=motor.stock, removed=False)


def reserve(change: Change, day_id: str, entry_id: str, motor_id: str, count: int) -> None:
    """Let an entry hold `count` of a motor, and give back what it held before. Refused when too few are left."""
    before = _held(change.connection, day_id, entry_id)
    if before == ((motor_id, count) if count else None):
        return
    let_go(change, day_id, entry_id)
    _take(change, day_id, entry_id, motor_id, count)
    record_held(change, day_id, entry_id, motor_id, count)


def record_held(change: Change, day_id: str, entry_id: str, motor_id: str, count: int) -> None:
    """Tell the trail how many of a motor an entry holds now."""
    what = "motors set aside" if count else "motors given back"
    change.record(what, subject(day_id, "entry", entry_id), {"motor": motor_id, "holds": count})


def _take(change: Change, day_id: str, entry_id: str, motor_id: str, count: int) -> None:
    motor, held = tables.motor, tables.reservation
    if count == 0:
        return
    taken = change.connection.execute(
        motor.update()
        .where(
            motor.c.day_id == day_id,
            motor.c.id == motor_id,
            sa.or_(motor.c.stock.is_(None), motor.c.reserved + count <= motor.c.stock),
        )
        .values(reserved=motor.c.reserved + count)
    )
    if taken.rowcount != 1:
        row = parts.motor_row(change.connection, day_id, motor_id)
        raise OutOfStock(motor_id, count, row.stock - row.reserved)
    change.connection.execute(held.insert().values(day_id=day_id, entry_id=entry_id, motor_id=motor_id, count=count))


def reserve_if_left(change: Change, day_id: str, entry_id: str, motor_id: str, count: int) -> bool:
    """Let an entry hold its motors while the stock lasts; else it holds none. Says whether it does.

    For whole documents: they do not say who holds motors, and entries that hold none may outnumber the stock.
    """
    if not take_if_left(change, day_id, entry_id, motor_id, count):
        return False
    record_held(change, day_id, entry_id, motor_id, count)
    return True


def take_if_left(change: Change, day_id: str, entry_id: str, motor_id: str, count: int) -> bool:
    """The same for an entry that holds none just now; the caller tells the trail what it holds then."""
    try:
        _take(change, day_id, entry_id, motor_id, count)
    except OutOfStock:
        return False
    return True


def release(change: Change, day_id: str, entry_id: str) -> None:
    """Give back what an entry holds."""
    before = let_go(change, day_id, entry_id)
    if before is not None:
        record_held(change, day_id, entry_id, before[0], 0)


def let_go(change: Change, day_id: str, entry_id: str) -> tuple[str, int] | None:
    """Give back what an entry holds and return it: motor and count. The caller tells the trail what it holds then."""
    motor, held = tables.motor, tables.reservation
    before = _held(change.connection, day_id, entry_id)
    if before is None:
        return None
    change.connection.execute(held.delete().where(held.c.day_id == day_id, held.c.entry_id == entry_id))
    change.connection.execute(
        motor.update()
        .where(motor.c.day_id == day_id, motor.c.id == before[0])
        .values(reserved=motor.c.reserved - before[1])
    )
    return before


def _held(connection: sa.Connection, day_id: str, entry_id: str) -> tuple[str, int] | None:
    held = tables.reservation
    asked = sa.select(held.c.motor_id, held.c.count).where(held.c.day_id == day_id, held.c.entry_id == entry_id)
    row = connection.execute(asked).one_or_none()
    return None if row is None else (str(row[0]), int(row[1]))


def held_by(connection: sa.Connection, day_id: str) -> dict[str, int]:
    """How many motors each entry holds. [count]"""
    held = tables.reservation
    rows = connection.execute(sa.select(held.c.entry_id, held.c.count).where(held.c.day_id == day_id))
    return {entry_id: count for entry_id, count in rows}


def _flyers_of(connection: sa.Connection, day_id: str, motor_id: str) -> list[Entry]:
    table = tables.entry
    which = (table.c.day_id == day_id, table.c.motor_id == motor_id, sa.not_(table.c.withdrawn))
    return [read(Entry, row.document) for row in parts.joined(connection, table, "entry", *which)]


def _set(change: Change, day_id: str, motor_id: str, **values: Any) -> None:
    table = tables.motor
    change.connection.execute(table.update().where(table.c.day_id == day_id, table.c.id == motor_id).values(**values))


def _offers(connection: sa.Connection, *which: sa.ColumnElement[bool], gone: bool = False) -> tuple[Offer, ...]:
    removed = tables.motor.c.removed
    rows = parts.joined(connection, tables.motor, "motor", *which, removed if gone else sa.not_(removed))
    return tuple(Offer(read(Motor, row.document), row.revision, row.reserved, row.at, row.by) for row in rows)


def _offer(connection: sa.Connection, day_id: str, motor_id: str) -> Offer:
    found = _offers(connection, tables.motor.c.day_id == day_id, tables.motor.c.id == motor_id)
    if not found:
        parts.day_row(connection, day_id)
        raise NotFound(f'found no motor "{motor_id}" on launch day "{day_id}"')
    return found[0]
