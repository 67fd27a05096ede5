"""Settings of the whole service, each a small JSON value with a revision."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from service.store import tables
from service.store.audit import Change
from service.store.canonical import canonical, digest
from service.store.database import Database
from service.store.errors import Conflict, NotFound, Revised, TooLarge
from service.store.versions import identified, named

SETTING_LIMIT = 64_000


@dataclass(frozen=True)
class Setting:
    """A setting as it stands. `value` is a text, a whole number, yes or no, null, or lists and objects of these."""

    name: str
    value: Any
    revision: int
    at: str
    by: str


@dataclass(frozen=True)
class Put:
    """A setting that is to be set together with something else. `based_on` is the revision seen, 0 for none."""

    name: str
    value: Any
    based_on: int


class Settings:
    """Settings by name."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def get(self, name: str) -> Setting:
        """The setting with that name."""
        with self._database.read() as connection:
            found = _find(connection, name)
        if found is None:
            raise NotFound(f'found no setting "{name[:64]}"')
        return found

    def find(self, name: str) -> Setting | None:
        """The setting with that name; None where it was never set."""
        with self._database.read() as connection:
            return _find(connection, name)

    def all(self) -> tuple[Setting, ...]:
        """Every setting."""
        with self._database.read() as connection:
            rows = connection.execute(sa.select(tables.setting).order_by(tables.setting.c.name))
            return tuple(_setting(row) for row in rows)

    def set(self, name: str, value: Any, by: str, *, based_on: int) -> Setting:
        """Set a value. `based_on` is the revision seen, 0 where it was never set. Secrets do not belong here."""
        with self._database.write(named(by)) as change:
            return put(change, Put(name, value, based_on))


def put(change: Change, asked: Put) -> Setting:
    """Set a value inside a transaction."""
    name, value, based_on = asked.name, asked.value, asked.based_on
    identified(name, "name")
    text = canonical(value)
    if len(text.encode()) > SETTING_LIMIT:
        raise TooLarge(f"setting {name}", len(text.encode()), SETTING_LIMIT)
    table = tables.setting
    found = _find(change.connection, name)
    current = found.revision if found else 0
    if current != based_on:
        told = [Revised(found.revision, found.by, found.at, "", ())] if found else []
        raise Conflict(f"setting/{name}", based_on, current, told)
    values = {"value": text, "revision": current + 1, "at": change.at, "by": change.who}
    if found:
        change.connection.execute(table.update().where(table.c.name == name).values(**values))
    else:
        change.connection.execute(table.insert().values(name=name, **values))
    change.record("set", f"setting/{name}", {"revision": current + 1, "sha256": digest(text)})
    return Setting(name, json.loads(text), current + 1, change.at, change.who)


def _find(connection: sa.Connection, name: str) -> Setting | None:
    row = connection.execute(sa.select(tables.setting).where(tables.setting.c.name == name)).one_or_none()
    return _setting(row) if row is not None else None


def _setting(row: Any) -> Setting:
    return Setting(row.name, json.loads(row.value), row.revision, row.at, row.by)
