"""The store as the rest of the service sees it."""

from __future__ import annotations

import os
import sqlite3
from dataclasses import dataclass
from types import TracebackType
from typing import Self

from service.models.day import LaunchDay
from service.store.assessments import Assessments
from service.store.attestations import Attestations
from service.store.audit import ChainReport
from service.store.database import MEMORY, Clock, Database, database_url, utc_now
from service.store.days import Days
from service.store.desk import Desk, desk
from service.store.entries import Entries
from service.store.errors import Unavailable
from service.store.flights import Flights
from service.store.keys import Keys
from service.store.migrate import upgrade_database, version_of_tables
from service.store.motors import Motors
from service.store.people import People
from service.store.recognise import require_ours
from service.store.rulings import Rulings
from service.store.settings import Settings
from service.store.sheets import Sheets
from service.store.sweeps import Sweeps
from service.store.tokens import Links
from service.store.trail import AuditTrail
from service.store.weather import Weather


@dataclass(frozen=True)
class Health:
    """What the health page says of the store."""

    backend: str
    tables: str
    audit_number: int
    audit_hash: str


class Store:
    """Everything that is kept. May be used from many threads at once; each process opens its own."""

    def __init__(self, database: Database) -> None:
        self._database = database
        self.days = Days(database)
        self.weather = Weather(database)
        self.motors = Motors(database)
        self.entries = Entries(database)
        self.attestations = Attestations(database)
        self.assessments = Assessments(database)
        self.rulings = Rulings(database)
        self.links = Links(database)
        self.people = People(database)
        self.flights = Flights(database)
        self.sheets = Sheets(database)
        self.sweeps = Sweeps(database)
        self.keys = Keys(database)
        self.settings = Settings(database)
        self.audit = AuditTrail(database)

    @classmethod
    def in_memory(cls, clock: Clock = utc_now) -> Store:
        """A store that lives as long as this object: for tests and demonstrations."""
        database = Database(database_url(MEMORY), clock)
        _fill(database)
        return cls(database)

    def day_document(self, day_id: str) -> LaunchDay:
        """The whole launch-day document as it stands now."""
        return self.days.document(day_id)

    def import_day(self, document: LaunchDay, by: str, *, day_id: str | None = None, reserve: bool = True) -> str:
        """Keep a whole document as a new launch day; returns its id."""
        return self.days.import_day(document, by, day_id=day_id, reserve=reserve)

    def desk(self, day_id: str) -> Desk:
        """Every entry with its last assessment and ruling, and the conditions in force, as of one moment."""
        return desk(self._database, day_id)

    def verify_chain(self, printed_head: tuple[int, str] | None = None) -> ChainReport:
        """Check the whole audit trail; the report names the first broken link."""
        return self.audit.verify_chain(printed_head)

    def health(self) -> Health:
        """Which database, which tables, how long the trail; `Unavailable` when it cannot be read."""
        number, last_hash = self.audit.head()
        with self._database.read() as connection:
            found = version_of_tables(connection) or ""
        return Health(self._database.url.get_backend_name(), found, number, last_hash)

    def close(self) -> None:
        """Close every connection."""
        self._database.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def open_store(where: str | os.PathLike[str], clock: Clock = utc_now, *, existing: bool = False) -> Store:
    """Open a database by path or URL, and make or renew its tables. `existing`: only renew; any other is refused."""
    url = database_url(where)
    database = Database(url, clock)
    try:
        if existing and not database.in_memory:
            require_ours(url, database.engine)
        upgrade_database(database)
    except BaseException:
        database.close()
        raise
    return Store(database)


_empty: bytes | None = None


def _fill(database: Database) -> None:
    """Give an in-memory database its tables: migrated once, copied from then on."""
    global _empty
    raw = database.engine.raw_connection()
    try:
        connection = raw.driver_connection
        if not isinstance(connection, sqlite3.Connection):
            raise Unavailable("found another driver, expected sqlite3")
        if _empty is None:
            raw.close()
            upgrade_database(database)
            raw = database.engine.raw_connection()
            _empty = raw.driver_connection.serialize()  # type: ignore[union-attr]
        else:
            connection.deserialize(_empty)
    finally:
        raw.close()
