"""Filling an empty store in the same way again and again: done once for each database, copied from then on."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from typing import Any

import sqlalchemy as sa

from service.store import Store, tables

_kept: dict[tuple[str, str, tuple[int, str]], tuple[Any, Any]] = {}


def filled(store: Store, name: str, clock: Any, fill: Callable[[], object]) -> None:
    """Do what `fill` does to the store and the clock. What was done once to a store that stood at the same record is
    copied: some ten times faster, and the same to the last row. The record's hash vouches for what stood before.
    """
    database = store._database
    before = store.audit.head()
    key = (database.url.get_backend_name(), name, before)
    if key in _kept:
        clock.now, rows = _kept[key]
        _put(database, rows)
        return
    fill()
    _kept[key] = (clock.now, _taken(database))


def _taken(database: Any) -> Any:
    if database.is_sqlite:
        raw = database.engine.raw_connection()
        try:
            return raw.driver_connection.serialize()
        finally:
            raw.close()
    with database.read() as connection:
        found = {each: connection.execute(sa.select(each)).all() for each in tables.metadata.sorted_tables}
    return {each: [dict(row._mapping) for row in rows] for each, rows in found.items() if rows}


def _put(database: Any, taken: Any) -> None:
    if database.is_sqlite:
        raw = database.engine.raw_connection()
        try:
            assert isinstance(raw.driver_connection, sqlite3.Connection)
            raw.driver_connection.deserialize(taken)
        finally:
            raw.close()
        return
    with database.engine.begin() as connection:
        connection.exec_driver_sql("SET session_replication_role = replica")
        for table, rows in taken.items():
            connection.execute(table.delete())
            connection.execute(table.insert(), rows)
        connection.exec_driver_sql("SET session_replication_role = DEFAULT")
