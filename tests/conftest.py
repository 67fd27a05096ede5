"""The databases that tests run on: SQLite everywhere, and a throw-away PostgreSQL where its server is installed."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from datetime import datetime

import pytest
import sqlalchemy as sa
from flask import Flask
from jinja2 import FileSystemBytecodeCache

from service.store import Store, tables, upgrade
from service.store.audit import FIRST_PREVIOUS
from service.store.database import Database, database_url
from tests.store.server import throw_away_server, why_not

NEEDED = "RANGEHAND_TESTS_NEED_POSTGRESQL"  # set where a missing server is a failure, not a skip


@pytest.fixture(scope="session", autouse=True)
def templates(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Compiled once a run, not once a test: each test's service is a new one, and theirs took a third of the time."""
    folder = tmp_path_factory.mktemp("templates")
    Flask.jinja_options = {**Flask.jinja_options, "bytecode_cache": FileSystemBytecodeCache(str(folder))}


@pytest.fixture(scope="session")
def postgresql() -> Iterator[sa.Engine]:
    """A server of this run's own, with the database `fresh`, which has its tables."""
    reason = why_not()
    if reason:
        (pytest.fail if os.environ.get(NEEDED) else pytest.skip)(f"only SQLite was tried: {reason}")
    with throw_away_server() as url:
        engine = sa.create_engine(database_url(url), isolation_level="AUTOCOMMIT")
        with engine.connect() as connection:
            connection.execute(sa.text("CREATE DATABASE fresh"))
        upgrade(url.rsplit("/", 1)[0] + "/fresh")
        yield engine
        engine.dispose()


@pytest.fixture(scope="session")
def emptied(postgresql: sa.Engine) -> Iterator[Callable[[], str]]:
    """Empties the database `fresh` and tells its URL: some ten times faster than making another."""
    url = postgresql.url.set(database="fresh")
    engine = sa.create_engine(url)
    names = [each.name for each in tables.metadata.tables.values() if each is not tables.audit_head]
    statements = "; ".join(f'DELETE FROM "{name}"' for name in names)

    def run() -> str:
        with engine.begin() as connection:
            connection.exec_driver_sql("SET session_replication_role = replica")
            connection.exec_driver_sql(statements)
            connection.execute(tables.audit_head.update().values(number=0, hash=FIRST_PREVIOUS))
        return url.render_as_string(hide_password=False)

    yield run
    engine.dispose()


def empty_store(database: str, clock: Callable[[], datetime], request: pytest.FixtureRequest) -> Store:
    """An empty store in memory, or on the server's emptied database: for tests that fill one again and again."""
    if database == "sqlite":
        return Store.in_memory(clock)
    return Store(Database(database_url(request.getfixturevalue("emptied")()), clock))
