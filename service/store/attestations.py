"""Ticks: that a person has seen to something, for the day or at an entry's check-in."""

from __future__ import annotations

import sqlalchemy as sa

from service.models.entry import Attestation
from service.store import parts, tables
from service.store.audit import Change
from service.store.canonical import digest, dump
from service.store.database import Database
from service.store.errors import AlreadyTicked, NotFound
from service.store.reading import read
from service.store.versions import identified, named, subject

TICK_LIMIT = 5_000


class Attestations:
    """Ticks by entry and rule. `entry_id` "" stands for the day itself."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def all(self, day_id: str) -> dict[str, dict[str, Attestation]]:
        """What was attested: by entry ("" for the day), by rule."""
        with self._database.read() as connection:
            parts.day_row(connection, day_id)
            return parts.ticks(connection, day_id)

    def add(self, day_id: str, entry_id: str, rule: str, stated: Attestation, by: str) -> None:
        """Tick a rule. One that is ticked stays as it is, and the later one is told."""
        stated = parts.checked(stated, Attestation, "attestation")
        with self._database.write(named(by)) as change:
            parts.day_row(change.connection, day_id)
            if entry_id:
                parts.entry_row(change.connection, day_id, entry_id)
            tick(change, day_id, entry_id, rule, stated)

    def take_back(self, day_id: str, entry_id: str, rule: str, by: str) -> None:
        """Untick a rule; the audit trail keeps that it was ticked."""
        with self._database.write(named(by)) as change:
            untick(change, day_id, entry_id, rule)


def tick(change: Change, day_id: str, entry_id: str, rule: str, stated: Attestation) -> None:
    """Tick a rule inside a transaction."""
    table = tables.attestation
    identified(rule, "rule")
    found = change.connection.execute(sa.select(table).where(_of(day_id, entry_id, rule))).one_or_none()
    if found is not None:
        earlier = read(Attestation, found.document)
        raise AlreadyTicked(rule, earlier.by, earlier.at)
    last = change.connection.execute(
        sa.select(sa.func.coalesce(sa.func.max(table.c.position), 0)).where(table.c.day_id == day_id)
    ).scalar_one()
    text = dump(stated, "attestation", TICK_LIMIT)
    change.connection.execute(
        table.insert().values(day_id=day_id, entry_id=entry_id, rule=rule, position=last + 1, document=text)
    )
    change.record("attested", _called(day_id, entry_id), {"rule": rule, "sha256": digest(text)})


def untick(change: Change, day_id: str, entry_id: str, rule: str) -> None:
    """Untick a rule inside a transaction."""
    if change.connection.execute(tables.attestation.delete().where(_of(day_id, entry_id, rule))).rowcount != 1:
        raise NotFound(f'found no attestation of "{rule}" for {_called(day_id, entry_id)}')
    change.record("attestation taken back", _called(day_id, entry_id), {"rule": rule})


def _of(day_id: str, entry_id: str, rule: str) -> sa.ColumnElement[bool]:
    table = tables.attestation
    return sa.and_(table.c.day_id == day_id, table.c.entry_id == entry_id, table.c.rule == rule)


def _called(day_id: str, entry_id: str) -> str:
    return subject(day_id, "entry", entry_id) if entry_id else subject(day_id, "day")
