"""A fresh database for each test, of each kind that can be had here."""

from __future__ import annotations

import itertools
import os
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import sqlalchemy as sa

from service.models.day import LaunchDay
from service.store import Store, open_store, tables, upgrade
from service.store.audit import FIRST_PREVIOUS
from service.store.database import database_url
from tests.store.server import throw_away_server, why_not

ROOT = Path(__file__).resolve().parents[2]
NEEDED = "RANGEHAND_TESTS_NEED_POSTGRESQL"  # set where a missing server is a failure, not a skip

_numbers = itertools.count(1)


class Clock:
    """A clock that goes on by one second each time it is read."""

    def __init__(self) -> None:
        self.now = datetime(2027, 5, 15, 14, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


@pytest.fixture(scope="session")
def postgresql() -> Iterator[sa.Engine]:
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


@pytest.fixture(params=["sqlite", "postgresql"])
def empty_place(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where a database may be made: no tables yet."""
    if request.param == "sqlite":
        return str(tmp_path / "day.db")
    server: sa.Engine = request.getfixturevalue("postgresql")
    name = f"empty_{next(_numbers)}"
    with server.connect() as connection:
        connection.execute(sa.text(f"CREATE DATABASE {name} TEMPLATE template0"))
    return _url_of(server, name)


@pytest.fixture(params=["sqlite", "postgresql"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """A database with its tables, empty otherwise."""
    if request.param == "sqlite":
        upgrade(tmp_path / "day.db")
        return str(tmp_path / "day.db")
    url = _url_of(request.getfixturevalue("postgresql"), "fresh")
    engine = sa.create_engine(database_url(url))
    with engine.begin() as connection:  # emptying one database is some ten times faster than making another
        connection.execute(sa.text("SET session_replication_role = replica"))
        for table in tables.metadata.tables.values():
            if table is not tables.audit_head:
                connection.execute(table.delete())
        connection.execute(tables.audit_head.update().values(number=0, hash=FIRST_PREVIOUS))
    engine.dispose()
    return url


def _url_of(server: sa.Engine, name: str) -> str:
    return server.url.set(database=name).render_as_string(hide_password=False)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def store(place: str, clock: Clock) -> Iterator[Store]:
    with open_store(place, clock) as opened:
        yield opened


@pytest.fixture
def demo() -> LaunchDay:
    return _document("fixtures/heron_meadow.json")


@pytest.fixture
def small(demo: LaunchDay) -> LaunchDay:
    """The demo day with three of its entries and the motors they fly, and one more."""
    entries = tuple(demo.entry_by_id(each) for each in ("e-01", "e-02", "e-07"))
    flown = {each.motor for each in entries}
    other = next(each for each in demo.motors if each.id not in flown)
    motors = tuple(each for each in demo.motors if each.id in flown or each == other)
    return demo.model_copy(update={"entries": entries, "motors": motors})


@pytest.fixture
def station() -> LaunchDay:
    return _document("tests/fixtures/emberwell_station.json")


def _document(name: str) -> LaunchDay:
    return LaunchDay.model_validate_json((ROOT / name).read_text(encoding="utf-8"))


@pytest.fixture
def tamper(store: Store) -> Callable[..., None]:
    """Change rows behind the store's back, as someone with the file in hand could."""

    def run(*statements: str, **values: object) -> None:
        with store._database.engine.connect() as connection, connection.begin():
            if connection.dialect.name == "postgresql":
                connection.execute(sa.text("SET session_replication_role = replica"))
            else:
                triggers = sa.text("SELECT name FROM sqlite_master WHERE type = 'trigger'")
                for name in connection.execute(triggers).scalars().all():
                    connection.execute(sa.text(f"DROP TRIGGER {name}"))
                connection.execute(sa.text("PRAGMA defer_foreign_keys = ON"))
            for statement in statements:
                connection.execute(sa.text(statement), values)
            if connection.dialect.name == "postgresql":
                connection.execute(sa.text("SET session_replication_role = DEFAULT"))

    return run
