"""A fresh database for each test, of each kind that can be had here."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import sqlalchemy as sa

from service.models.day import LaunchDay
from service.store import Store, open_store, upgrade

ROOT = Path(__file__).resolve().parents[2]
_numbers = itertools.count(1)


class Clock:
    """A clock that goes on by one second each time it is read."""

    def __init__(self) -> None:
        self.now = datetime(2027, 5, 15, 14, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


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
    return request.getfixturevalue("emptied")()


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
