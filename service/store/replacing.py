"""Putting a whole document in the place of a launch day, in one change.

What is in it already keeps its revision; what differs gets the next; what is missing is withdrawn or taken off the
offer. Every version stays in the history. Nothing is half written: a document that cannot be kept leaves all as it was.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import sqlalchemy as sa

from service.models.day import LaunchDay
from service.models.entry import Attestation, Entry
from service.store import attestations, entries, motors, parts, rulings, tables, tokens
from service.store.audit import Change
from service.store.canonical import canonical, digest, dump
from service.store.database import Database
from service.store.errors import DayMoved
from service.store.header import DayHeader, Forecast
from service.store.personal import ERASED
from service.store.versions import named, save, subject, text_of

WHY = "the whole day was replaced by a document"


@dataclass(frozen=True)
class Replaced:
    """What replacing did, by the ids of entries and motors. `links` counts the private links that ended, by entry;
    `lapsed` are entries whose ruling no longer stands, unless assessing them again finds the same. `without_stock` are
    entries that were to hold motors, and none were left.
    """

    mark: str = ""
    added: tuple[str, ...] = ()
    changed: tuple[str, ...] = ()
    withdrawn: tuple[str, ...] = ()
    links: dict[str, int] = field(default_factory=dict)
    motors_added: tuple[str, ...] = ()
    motors_changed: tuple[str, ...] = ()
    motors_removed: tuple[str, ...] = ()
    lapsed: tuple[str, ...] = ()
    without_stock: tuple[str, ...] = ()


def mark_of(connection: sa.Connection, day_id: str) -> str:
    """A short text that is another one as soon as anything of the day's document is. 32 hex digits"""
    row, tick = parts.day_row(connection, day_id), tables.attestation
    told: list[list[object]] = [[row.revision, row.conditions_revision, row.forecast_revision]]
    for table, gone in ((tables.motor, tables.motor.c.removed), (tables.entry, tables.entry.c.withdrawn)):
        asked = sa.select(table.c.id, table.c.revision, table.c.position).where(table.c.day_id == day_id, sa.not_(gone))
        told.append([[*each] for each in connection.execute(asked.order_by(table.c.position, table.c.id))])
    asked = sa.select(tick.c.entry_id, tick.c.rule, tick.c.document).where(tick.c.day_id == day_id)
    told.append([[*each] for each in connection.execute(asked.order_by(tick.c.entry_id, tick.c.rule))])
    return digest(canonical(told))[:32]


def replace_day(
    database: Database, day_id: str, document: LaunchDay, by: str, *, based_on: str | None, reserve: bool = True
) -> Replaced:
    """Replace a day. `based_on` is the mark that was seen; None for whatever stands.

    Entries go on holding motors if they did; new ones take theirs from what is left with `reserve`. A name that was
    erased is not brought back.
    """
    document = parts.checked(document, LaunchDay, "document")
    with database.write(named(by)) as change:
        before = mark_of(change.connection, day_id)
        if based_on is not None and based_on != before:
            raise DayMoved(subject(day_id, "document"), based_on, before)
        ruled = _ruled(change.connection, day_id)
        held = {
            entry_id: let_go
            for entry_id in motors.held_by(change.connection, day_id)
            if (let_go := motors.let_go(change, day_id, entry_id)) is not None
        }
        _save_tops(change, day_id, document)
        motors_added, motors_changed, motors_removed = _save_motors(change, day_id, document)
        added, changed, withdrawn, links = _save_entries(change, day_id, document)
        _save_ticks(change, day_id, document)
        without = _reserve(change, day_id, document, held, set(added) if reserve else set())
        parts.refuse_day(change.connection, subject(day_id, "document"), day_id)
        made = Replaced(
            mark_of(change.connection, day_id),
            tuple(added),
            tuple(changed),
            tuple(withdrawn),
            links,
            tuple(motors_added),
            tuple(motors_changed),
            tuple(motors_removed),
            tuple(sorted(ruled - _ruled(change.connection, day_id))),
            without,
        )
        told = {"before": before, "after": made.mark, "added": added, "changed": changed, "withdrawn": withdrawn}
        change.record("replaced", subject(day_id, "day"), told)
        return made


def _reserve(
    change: Change, day_id: str, document: LaunchDay, held: Mapping[str, tuple[str, int]], new: set[str]
) -> tuple[str, ...]:
    """Let entries hold motors, those that did before the new ones; returns those for which none were left.

    The trail is told of those that hold others than before.
    """
    wanting = [each for each in document.entries if each.id in held and each.id not in new]
    wanting += [each for each in document.entries if each.id in new and not motors.is_brought(each.motor)]
    now = {
        each.id: (each.motor, each.motor_count)
        for each in wanting
        if motors.take_if_left(change, day_id, each.id, each.motor, each.motor_count)
    }
    for entry_id in sorted(held.keys() | now.keys()):
        if now.get(entry_id) != held.get(entry_id):
            motor_id, count = now.get(entry_id, (held.get(entry_id, ("", 0))[0], 0))
            motors.record_held(change, day_id, entry_id, motor_id, count)
    return tuple(each.id for each in wanting if each.id not in now)


def _ruled(connection: sa.Connection, day_id: str) -> set[str]:
    """Entries with a ruling in force."""
    return {entry for entry, ruling in rulings.latest(connection, day_id).items() if ruling.state != "lapsed"}


def _save_tops(change: Change, day_id: str, document: LaunchDay) -> None:
    row = parts.day_row(change.connection, day_id)
    values: dict[str, object] = {"name": document.name, "date": document.date.isoformat()}
    for kind, column, part in (
        ("day", "revision", DayHeader.of(document)),
        ("conditions", "conditions_revision", document.conditions),
        ("forecast", "forecast_revision", Forecast(forecast=document.forecast)),
    ):
        seen = getattr(row, column)
        values[column] = save(change, day_id, kind, "", part, based_on=seen, current=seen, why=WHY)
    table = tables.launch_day
    change.connection.execute(table.update().where(table.c.id == day_id).values(**values))


def _save_motors(change: Change, day_id: str, document: LaunchDay) -> tuple[list[str], list[str], list[str]]:
    table, added, changed, removed = tables.motor, [], [], []
    rows = {row.id: row for row in change.connection.execute(sa.select(table).where(table.c.day_id == day_id))}
    for position, motor in enumerate(document.motors, start=1):
        row = rows.pop(motor.id, None)
        seen = row.revision if row is not None else 0
        what = "returned" if row is not None and row.removed else ""
        new = save(change, day_id, "motor", motor.id, motor, based_on=seen, current=seen, why=WHY, what=what)
        values = {"position": position, "revision": new, "stock": motor.stock, "removed": False}
        if row is None:
            change.connection.execute(table.insert().values(day_id=day_id, id=motor.id, **values))
        else:
            _set(change, table, day_id, motor.id, **values)
        if row is None or row.removed:
            added.append(motor.id)
        elif new != seen:
            changed.append(motor.id)
    for position, row in enumerate(rows.values(), start=len(document.motors) + 1):
        new = row.revision
        if not row.removed:
            new = _save_same(change, day_id, "motor", row.id, row.revision, "removed")
            removed.append(row.id)
        _set(change, table, day_id, row.id, position=position, revision=new, removed=True)
    return added, changed, sorted(removed)


def _save_entries(
    change: Change, day_id: str, document: LaunchDay
) -> tuple[list[str], list[str], list[str], dict[str, int]]:
    table, added, changed, withdrawn = tables.entry, [], [], []
    links: dict[str, int] = {}
    rows = {row.id: row for row in change.connection.execute(sa.select(table).where(table.c.day_id == day_id))}
    for position, given in enumerate(document.entries, start=1):
        entry = given.model_copy(update={"attestations": {}})
        row = rows.pop(entry.id, None)
        if row is None:
            entries.insert(change, day_id, entry, reserve=False, fits=True, why=WHY)
            _set(change, table, day_id, entry.id, position=position)
            added.append(entry.id)
            continue
        entry = _still_erased(change, day_id, entry, row.revision)
        what = "returned" if row.withdrawn else ""
        seen = row.revision
        new = save(change, day_id, "entry", entry.id, entry, based_on=seen, current=seen, why=WHY, what=what)
        values = {"position": position, "revision": new, "motor_id": entry.motor, "withdrawn": False}
        _set(change, table, day_id, entry.id, **values)
        if row.withdrawn:
            added.append(entry.id)
        elif new != seen:
            changed.append(entry.id)
    for position, row in enumerate(rows.values(), start=len(document.entries) + 1):
        new = row.revision
        if not row.withdrawn:
            new = _save_same(change, day_id, "entry", row.id, row.revision, "withdrawn")
            withdrawn.append(row.id)
            ended = tokens.end_links(change, day_id, row.id)
            if ended:
                links[row.id] = ended
        _set(change, table, day_id, row.id, position=position, revision=new, withdrawn=True)
    return added, changed, sorted(withdrawn), links


def _save_ticks(change: Change, day_id: str, document: LaunchDay) -> None:
    table = tables.attestation
    wanted: dict[str, dict[str, Attestation]] = {"": document.attestations}
    wanted |= {entry.id: entry.attestations for entry in document.entries}
    for row in change.connection.execute(sa.select(table).where(table.c.day_id == day_id)).all():
        if row.entry_id not in wanted:
            continue  # of an entry that is off the day: part of its history
        stated = wanted[row.entry_id].get(row.rule)
        if stated is not None and dump(stated, "attestation", attestations.TICK_LIMIT) == row.document:
            continue
        attestations.untick(change, day_id, row.entry_id, row.rule)
    kept = parts.ticks(change.connection, day_id)
    for entry_id, stated_by in wanted.items():
        for rule, stated in stated_by.items():
            if rule not in kept.get(entry_id, {}):
                attestations.tick(change, day_id, entry_id, rule, stated)


def _still_erased(change: Change, day_id: str, entry: Entry, revision: int) -> Entry:
    before = Entry.model_validate_json(text_of(change.connection, day_id, "entry", entry.id, revision)).flyer
    if before.name != ERASED:
        return entry
    names = {"name": ERASED, "responsible_adult": entry.flyer.responsible_adult and ERASED}
    return entry.model_copy(update={"flyer": entry.flyer.model_copy(update=names)})


def _save_same(change: Change, day_id: str, kind: str, of: str, revision: int, what: str) -> int:
    """A revision that says only what was done to it."""
    model = Entry if kind == "entry" else motors.Motor
    same = model.model_validate_json(text_of(change.connection, day_id, kind, of, revision))
    return save(change, day_id, kind, of, same, based_on=revision, current=revision, why=WHY, what=what)


def _set(change: Change, table: sa.Table, day_id: str, of: str, **values: object) -> None:
    change.connection.execute(table.update().where(table.c.day_id == day_id, table.c.id == of).values(**values))
