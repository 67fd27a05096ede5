"""Launch days: the list, the header with its history, the whole document in and out."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

import sqlalchemy as sa

from service.models.conditions import Conditions
from service.models.day import LaunchDay
from service.models.entry import Entry
from service.store import attestations, entries, motors, parts, tables
from service.store.audit import Change
from service.store.database import Database
from service.store.errors import AlreadyThere
from service.store.header import DayHeader, Forecast
from service.store.reading import reader
from service.store.replacing import Replaced, mark_of, replace_day
from service.store.versions import Version, history_of, identified, named, save, subject, version_of


@dataclass(frozen=True)
class DayLine:
    """One launch day in the list."""

    id: str
    name: str
    date: str
    revision: int
    entries: int


class Days:
    """Launch days."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def all(self) -> tuple[DayLine, ...]:
        """Every launch day, the latest first, with the number of its entries."""
        day, entry = tables.launch_day, tables.entry
        count = (
            sa.select(sa.func.count()).where(entry.c.day_id == day.c.id, sa.not_(entry.c.withdrawn)).scalar_subquery()
        )
        asked = sa.select(day.c.id, day.c.name, day.c.date, day.c.revision, count.label("entries"))
        with self._database.read() as connection:
            rows = connection.execute(asked.order_by(day.c.date.desc(), day.c.id))
            return tuple(DayLine(**row._mapping) for row in rows)

    def document(self, day_id: str) -> LaunchDay:
        """The whole launch-day document as it stands now."""
        with self._database.read() as connection:
            return parts.document(connection, day_id)

    def header(self, day_id: str) -> Version[DayHeader]:
        """The header and its revision."""
        with self._database.read() as connection:
            row = parts.day_row(connection, day_id)
            return version_of(connection, day_id, "day", "", row.revision, reader(DayHeader))

    def history(self, day_id: str) -> tuple[Version[DayHeader], ...]:
        """Every revision of the header, oldest first."""
        with self._database.read() as connection:
            return history_of(connection, day_id, "day", "", reader(DayHeader))

    def update(self, day_id: str, header: DayHeader, by: str, *, based_on: int, why: str = "") -> Version[DayHeader]:
        """Save a header; refused where it contradicts the rest of the day (a pad that an entry stands on)."""
        header = parts.checked(header, DayHeader, "header")
        with self._database.write(named(by)) as change:
            new = _save_header(change, day_id, header, based_on, why)
            parts.refuse_day(change.connection, subject(day_id, "day"), day_id)
            return version_of(change.connection, day_id, "day", "", new, reader(DayHeader))

    def update_with_entry(
        self, day_id: str, header: DayHeader, entry: Entry, by: str, *, based_on: tuple[int, int],
        until_ruled: bool = False, why: str = "", entry_why: str = "",
    ) -> None:  # fmt: skip
        """Save a header and an entry, both or neither. `based_on` are their revisions; `until_ruled` as for entries."""
        header, entry = parts.checked(header, DayHeader, "header"), parts.checked(entry, Entry, "entry")
        with self._database.write(named(by)) as change:
            # the entry first: another header makes its ruling lapse, and a flyer could then change what is ruled on
            entries.mend(
                change, day_id, entry, based_on=based_on[1], reserve=None, until_ruled=until_ruled, why=entry_why
            )
            _save_header(change, day_id, header, based_on[0], why)
            parts.refuse_day(change.connection, subject(day_id, "day"), day_id)

    def move(
        self, day_id: str, header: DayHeader, conditions: Conditions | None, by: str, *, based_on: int, why: str = ""
    ) -> Version[DayHeader]:
        """Save a header with another date. With `conditions` these come into force and the forecast is emptied, both
        in the same breath: weather of the old date would contradict the new one.
        """
        header = parts.checked(header, DayHeader, "header")
        with self._database.write(named(by)) as change:
            row = parts.day_row(change.connection, day_id)
            new = save(change, day_id, "day", "", header, based_on=based_on, current=row.revision, why=why)
            values = {"revision": new, "name": header.name, "date": header.date.isoformat()}
            if conditions is not None:
                weather = (("conditions", row.conditions_revision, parts.checked(conditions, Conditions, "conditions")),
                           ("forecast", row.forecast_revision, Forecast()))  # fmt: skip
                for kind, seen, part in weather:
                    values[f"{kind}_revision"] = save(
                        change, day_id, kind, "", part, based_on=seen, current=seen, why=why or "the day has moved"
                    )
            change.connection.execute(
                tables.launch_day.update().where(tables.launch_day.c.id == day_id).values(**values)
            )
            parts.refuse_day(change.connection, subject(day_id, "day"), day_id)
            return version_of(change.connection, day_id, "day", "", new, reader(DayHeader))

    def import_day(self, document: LaunchDay, by: str, *, day_id: str | None = None, reserve: bool = True) -> str:
        """Keep a whole document as a new launch day; returns its id, made from name and date unless given.

        With `reserve` each entry takes its motors from the stock, in the document's order; those for which none are
        left take part without (`entries.without_stock` names them).
        """
        document = parts.checked(document, LaunchDay, "document")
        day_id = identified(_id_from(document) if day_id is None else day_id, "day_id")
        with self._database.write(named(by)) as change:
            _add_day(change, day_id, document)
            motors.save_all(change, day_id, document.motors, {})
            for entry in document.entries:
                bare = entry.model_copy(update={"attestations": {}})
                holds = reserve and not motors.is_brought(entry.motor)
                entries.insert(change, day_id, bare, reserve=False, fits=True)
                if holds:
                    motors.reserve_if_left(change, day_id, entry.id, entry.motor, entry.motor_count)
                for rule, stated in entry.attestations.items():
                    attestations.tick(change, day_id, entry.id, rule, stated)
            for rule, stated in document.attestations.items():
                attestations.tick(change, day_id, "", rule, stated)
            return day_id

    def marked(self, day_id: str) -> tuple[LaunchDay, str]:
        """The whole document, and the mark that replacing it rests on."""
        with self._database.read() as connection:
            return parts.document(connection, day_id), mark_of(connection, day_id)

    def replace(
        self, day_id: str, document: LaunchDay, by: str, *, based_on: str | None, reserve: bool = True
    ) -> Replaced:
        """Put a whole document in the place of a day; says what was added, changed and withdrawn by it."""
        return replace_day(self._database, day_id, document, by, based_on=based_on, reserve=reserve)


def _save_header(change: Change, day_id: str, header: DayHeader, based_on: int, why: str) -> int:
    row = parts.day_row(change.connection, day_id)
    new = save(change, day_id, "day", "", header, based_on=based_on, current=row.revision, why=why)
    values = {"revision": new, "name": header.name, "date": header.date.isoformat()}
    change.connection.execute(tables.launch_day.update().where(tables.launch_day.c.id == day_id).values(**values))
    return new


def _add_day(change: Change, day_id: str, document: LaunchDay) -> None:
    day = tables.launch_day
    if change.connection.execute(sa.select(day.c.id).where(day.c.id == day_id)).one_or_none():
        raise AlreadyThere(f'found a launch day "{day_id}" already, expected an id of its own')
    change.connection.execute(
        day.insert().values(
            id=day_id,
            name=document.name,
            date=document.date.isoformat(),
            created_at=change.at,
            revision=1,
            conditions_revision=1,
            forecast_revision=1,
        )
    )
    for kind, part in (
        ("day", DayHeader.of(document)),
        ("conditions", document.conditions),
        ("forecast", Forecast(forecast=document.forecast)),
    ):
        save(change, day_id, kind, "", part, based_on=0, current=0)


def _id_from(document: LaunchDay) -> str:
    plain = unicodedata.normalize("NFKD", document.name).encode("ascii", "ignore").decode().lower()
    words = "-".join(re.findall(r"[a-z0-9]+", plain))[:50].strip("-") or "day"
    return f"{words}-{document.date.isoformat()}"
