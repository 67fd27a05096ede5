"""Signed sheets, kept as the bytes that were signed."""

from __future__ import annotations

from dataclasses import dataclass

import sqlalchemy as sa

from service.models.base import Problem
from service.store import parts, tables
from service.store.canonical import digest
from service.store.contents import insert_sealed
from service.store.database import Database
from service.store.errors import NotFound, Refused, TooLarge
from service.store.tokens import new_id
from service.store.versions import named, subject

SHEET_LIMIT = 32_000_000


@dataclass(frozen=True)
class SheetLine:
    """A signed sheet, without its bytes. `entry_id` is None for the sheet of a whole day."""

    id: str
    day_id: str
    entry_id: str | None
    pdf_sha256: str
    at: str
    by: str


class Sheets:
    """Signed sheets."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def add(
        self, day_id: str, pdf: bytes, by: str, *, entry_id: str | None = None, sheet_id: str | None = None
    ) -> SheetLine:
        """Keep a signed sheet, under an id of its own or the one that is given."""
        if not pdf.startswith(b"%PDF-"):
            raise Refused("sheet", [Problem((), "something else", "a PDF")])
        if len(pdf) > SHEET_LIMIT:
            raise TooLarge("sheet", len(pdf), SHEET_LIMIT)
        line = {"id": sheet_id or new_id(), "day_id": day_id, "entry_id": entry_id, "pdf_sha256": digest(pdf)}
        with self._database.write(named(by)) as change:
            parts.day_row(change.connection, day_id)
            if entry_id is not None:
                parts.entry_row(change.connection, day_id, entry_id)
            sealed = insert_sealed(
                change.connection, tables.sheet, {**line, "pdf": pdf, "at": change.at, "by": change.who}
            )
            called = subject(day_id, "entry", entry_id) if entry_id else subject(day_id, "day")
            change.record("signed", called, {"documents": sealed})
            return SheetLine(**line, at=change.at, by=change.who)  # type: ignore[arg-type]

    def all(self, day_id: str) -> tuple[SheetLine, ...]:
        """Every signed sheet of a day, oldest first."""
        table = tables.sheet
        columns = (table.c.id, table.c.day_id, table.c.entry_id, table.c.pdf_sha256, table.c.at, table.c.by)
        with self._database.read() as connection:
            parts.day_row(connection, day_id)
            rows = connection.execute(sa.select(*columns).where(table.c.day_id == day_id).order_by(table.c.at))
            return tuple(SheetLine(**row._mapping) for row in rows)

    def pdf(self, day_id: str, sheet_id: str) -> bytes:
        """The bytes of a sheet."""
        table = tables.sheet
        asked = sa.select(table.c.pdf).where(table.c.id == sheet_id, table.c.day_id == day_id)
        with self._database.read() as connection:
            found = connection.execute(asked).scalar_one_or_none()
        if found is None:
            raise NotFound(f'found no sheet "{sheet_id[:40]}" on launch day "{day_id}"')
        return bytes(found)
