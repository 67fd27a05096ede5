"""Secrets that open something: private links of entries, tokens for programs.

Each is 256 random bits. Only their SHA-256 is kept: it cannot be turned back, and needs no slow password hash,
since nobody can guess through 256 bits.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from service.store import parts, tables
from service.store.audit import Change
from service.store.canonical import digest
from service.store.database import Database
from service.store.errors import NotFound
from service.store.told import row_seal
from service.store.versions import named, subject

TOKEN_BYTES = 32


@dataclass(frozen=True)
class Link:
    """A private link to an entry, without its token."""

    id: str
    day_id: str
    entry_id: str
    created_at: str
    revoked_at: str | None


class Links:
    """Private links: who holds one may see and mend its entry."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def new(self, day_id: str, entry_id: str, by: str) -> str:
        """Make another link; returns its token, which is told this once."""
        with self._database.write(named(by)) as change:
            parts.entry_row(change.connection, day_id, entry_id)
            return new_link(change, day_id, entry_id)

    def open(self, token: str) -> Link:
        """The link that a token belongs to; `NotFound` for a wrong or revoked one."""
        asked = sa.select(tables.link).where(
            tables.link.c.token_sha256 == token_digest(token), tables.link.c.revoked_at.is_(None)
        )
        with self._database.read() as connection:
            return _link(connection.execute(asked).one_or_none())

    def all(self, day_id: str, entry_id: str) -> tuple[Link, ...]:
        """Every link of an entry, oldest first."""
        table = tables.link
        asked = sa.select(table).where(table.c.day_id == day_id, table.c.entry_id == entry_id)
        with self._database.read() as connection:
            parts.entry_row(connection, day_id, entry_id)
            return tuple(_link(row) for row in connection.execute(asked.order_by(table.c.created_at, table.c.id)))

    def revoke(self, day_id: str, entry_id: str, link_id: str, by: str) -> None:
        """End a link; it stays ended."""
        with self._database.write(named(by)) as change:
            if end_links(change, day_id, entry_id, tables.link.c.id == link_id) != 1:
                raise NotFound(f'found no link "{link_id}" in force for entry "{entry_id}"')


def new_token() -> str:
    """A token that cannot be guessed."""
    return secrets.token_urlsafe(TOKEN_BYTES)


def token_digest(token: str) -> str:
    """What is kept of a token."""
    return digest(token.encode("utf-8", "replace"))


def new_link(change: Change, day_id: str, entry_id: str) -> str:
    """Make a link inside a transaction; returns its token."""
    token, link_id = new_token(), new_id()
    row = {"id": link_id, "day_id": day_id, "entry_id": entry_id, "token_sha256": token_digest(token)}
    row["created_at"] = change.at
    change.connection.execute(tables.link.insert().values(**row))
    told = {"link": link_id, "sha256": row_seal("link", row)}
    change.record("link made", subject(day_id, "entry", entry_id), told)
    return token


def end_links(change: Change, day_id: str, entry_id: str, *which: sa.ColumnElement[bool]) -> int:
    """End links of an entry inside a transaction; returns how many were in force. [count]"""
    table = tables.link
    of_entry = (table.c.day_id == day_id, table.c.entry_id == entry_id, table.c.revoked_at.is_(None), *which)
    ended = list(change.connection.execute(sa.select(table.c.id).where(*of_entry).order_by(table.c.id)).scalars())
    if ended:
        change.connection.execute(table.update().where(*of_entry).values(revoked_at=change.at))
        change.record("link revoked", subject(day_id, "entry", entry_id), {"links": ended})
    return len(ended)


def new_id() -> str:
    """An id of our own making."""
    return secrets.token_hex(8)


def _link(row: Any) -> Link:
    if row is None:
        raise NotFound("found no link in force with this token")
    return Link(row.id, row.day_id, row.entry_id, row.created_at, row.revoked_at)
