"""Connections and transactions, the same promises on both databases.

One writer at a time: on SQLite by BEGIN IMMEDIATE, on PostgreSQL by locking the head of the audit trail first.
So what a change reads is still true when it writes, and the trail cannot fork. Readers never wait and see one
moment. SQLite runs in WAL mode with synchronous FULL: NORMAL would lose the last rulings when the laptop's
battery falls out, and a field has few enough writes to afford a sync each.
"""

from __future__ import annotations

import os
import sqlite3
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy import event
from sqlalchemy.exc import DBAPIError, InterfaceError, OperationalError
from sqlalchemy.exc import TimeoutError as PoolTimeout
from sqlalchemy.pool import StaticPool

from service.store import tables
from service.store.audit import Change
from service.store.errors import Busy, StoreError, Unavailable

BUSY_TIMEOUT_S = 20.0
MEMORY = "sqlite://"
_URLS = "sqlite:///FILE, or postgresql://USER@HOST:5432/NAME with a number for the port"
_BUSY_WORDS = ("database is locked", "database table is locked", "lock timeout", "deadlock detected")

Clock = Callable[[], datetime]


def utc_now() -> datetime:
    """The time, in UTC."""
    return datetime.now(UTC)


def written(when: datetime) -> str:
    """A moment as it is kept: UTC, to the microsecond.

    >>> written(datetime.fromisoformat("2027-05-15T09:00:00-05:00"))
    '2027-05-15T14:00:00.000000Z'
    """
    return when.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def database_url(where: str | os.PathLike[str]) -> sa.URL:
    """Read a path or a database URL.

    >>> database_url("day.db").render_as_string()
    'sqlite:///day.db'
    >>> database_url("postgresql://club@localhost/range").drivername
    'postgresql+psycopg'
    """
    text = os.fspath(where)
    if "://" not in text:
        return sa.URL.create("sqlite", database=text)
    try:
        url = sa.make_url(text)
    except (sa.exc.ArgumentError, ValueError):  # told without the address: it may hold a password
        raise Unavailable(f"the database URL: found one that cannot be read; expected {_URLS}") from None
    if url.get_backend_name() == "postgresql":
        return url.set(drivername="postgresql+psycopg")
    if url.get_backend_name() != "sqlite":
        kind = url.get_backend_name()
        raise Unavailable(f'the database URL: found a database of kind "{kind}"; expected {_URLS}')
    if url.host or url.username:
        raise Unavailable(f"the database URL: found a host or user before a file; expected {_URLS}")
    return url.set(drivername="sqlite")


class Database:
    """An engine with `read` and `write` transactions."""

    def __init__(self, url: sa.URL, clock: Clock = utc_now) -> None:
        self.url = url
        self.clock = clock
        self.is_sqlite = url.get_backend_name() == "sqlite"
        self.in_memory = self.is_sqlite and url.database in (None, "", ":memory:")
        self._turn: Any = threading.RLock() if self.in_memory else nullcontext()
        self.engine = _sqlite_engine(url, self.in_memory) if self.is_sqlite else _postgresql_engine(url)

    def close(self) -> None:
        """Close every connection."""
        self.engine.dispose()

    @contextmanager
    def read(self) -> Iterator[sa.Connection]:
        """One moment of the database, to be read only."""
        options = {} if self.is_sqlite else {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}
        with self._turn, _in_our_words(), self.engine.connect() as connection:
            with connection.execution_options(**options).begin():
                yield connection

    @contextmanager
    def write(self, who: str) -> Iterator[Change]:
        """One change, whole or not at all, with its records in the audit trail."""
        with self._turn, _in_our_words(), self.engine.connect() as connection:
            with connection.execution_options(writes=True).begin():
                head = sa.select(tables.audit_head.c.number, tables.audit_head.c.hash).with_for_update()
                number, last_hash = connection.execute(head).one()
                yield Change(connection, who, written(self.clock()), number, last_hash)

    def checkpoint(self) -> None:
        """Write SQLite's log back into the file and empty it, where nobody reads just now: it holds what was before."""
        if self.is_sqlite and not self.in_memory:
            with _in_our_words(), self.engine.connect() as connection:
                raw = connection.connection.driver_connection
                assert isinstance(raw, sqlite3.Connection)
                raw.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()

    @contextmanager
    def migrating(self) -> Iterator[sa.Connection]:
        """A transaction that changes the tables themselves; a second one waits."""
        with self._turn, _in_our_words(), self.engine.connect() as connection:
            with connection.execution_options(writes=True).begin():
                if not self.is_sqlite:
                    connection.execute(sa.text("SELECT pg_advisory_xact_lock(7214401)"))  # any number of our own
                yield connection


def _sqlite_engine(url: sa.URL, in_memory: bool) -> sa.Engine:
    arguments: dict[str, Any] = {"connect_args": {"timeout": BUSY_TIMEOUT_S, "check_same_thread": False}}
    if in_memory:
        arguments["poolclass"] = StaticPool
    else:
        arguments |= {"pool_size": 16, "max_overflow": 16, "pool_timeout": BUSY_TIMEOUT_S}
        _make_private(Path(str(url.database)))
    engine = sa.create_engine(url, **arguments)

    @event.listens_for(engine, "connect")
    def _connected(connection: sqlite3.Connection, _record: Any) -> None:
        connection.isolation_level = None  # the driver's own BEGIN comes too late: two readers, then two writers
        connection.execute(f"PRAGMA busy_timeout = {int(BUSY_TIMEOUT_S * 1000)}")
        if not in_memory:
            _into_wal(connection)
        connection.execute("PRAGMA synchronous = FULL")
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA secure_delete = ON")  # what is erased is overwritten, not just unlinked

    @event.listens_for(engine, "begin")
    def _begun(connection: sa.Connection) -> None:
        writes = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def _make_private(path: Path) -> None:
    """Create the file readable by its owner only: it holds names and password hashes."""
    try:
        os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
    except OSError as error:
        raise Unavailable(f"{path}: {error.strerror}; expected a file in an existing folder, writable") from None


def _into_wal(connection: sqlite3.Connection) -> None:
    """Switch to write-ahead logging; that one step does not wait its turn by itself."""
    until = time.monotonic() + BUSY_TIMEOUT_S
    while connection.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
        if time.monotonic() > until:
            raise sqlite3.OperationalError("write-ahead logging cannot be had there; expected a disk of this machine")
        try:
            connection.execute("PRAGMA journal_mode = WAL")
        except sqlite3.OperationalError as error:
            if "locked" not in str(error):
                raise
        time.sleep(0.01)


def _postgresql_engine(url: sa.URL) -> sa.Engine:
    try:
        return sa.create_engine(
            url,
            pool_size=16,
            max_overflow=16,
            pool_timeout=BUSY_TIMEOUT_S,
            pool_pre_ping=True,
            isolation_level="READ COMMITTED",  # after the lock on the head, each statement sees all that went before
            connect_args={"options": f"-c lock_timeout={int(BUSY_TIMEOUT_S * 1000)} -c timezone=UTC"},
        )
    except ModuleNotFoundError:
        raise Unavailable("PostgreSQL needs psycopg; install rangehand[postgresql]") from None


@contextmanager
def _in_our_words() -> Iterator[None]:
    """Turn the library's errors into the store's, without the statement and its values."""
    try:
        yield
    except StoreError:
        raise
    except PoolTimeout:
        raise Busy("all connections to the database are in use; try again") from None
    except (DBAPIError, sqlite3.Error) as error:
        original = getattr(error, "orig", error)
        text = str(original).strip().splitlines()[0] if str(original).strip() else type(original).__name__
        if any(word in text for word in _BUSY_WORDS):
            raise Busy("others kept the database for too long; try again") from error
        if isinstance(error, OperationalError | InterfaceError | sqlite3.OperationalError) or "not a database" in text:
            raise Unavailable(f"the database cannot be used: {text}") from error
        raise StoreError(f"the database refused the change: {text}") from error
