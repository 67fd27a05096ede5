"""The audit trail: a record of every change, each carrying the hash of the one before.

A record is written in the transaction of its change. It names documents by their digest and does not repeat
them: personal data stands in one place only, and a document altered behind the service's back no longer fits
its record. The last number and hash are kept apart, in `audit_head`, so that records missing from the end
are noticed; who alters both must also alter every sheet on which a head was printed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from service.store.canonical import canonical, digest
from service.store.errors import TooLarge
from service.store.tables import audit, audit_head

FIRST_PREVIOUS = "0" * 64
SEALED_ANEW = "sealed anew"  # what a record does that gives rows another seal, for another version of the tables
PAYLOAD_LIMIT = 1_000_000  # bytes; a day of 1000 entries, assessed at once, takes 120 000


@dataclass(frozen=True)
class AuditRecord:
    """One record. `payload` is JSON in canonical form."""

    number: int
    at: str
    who: str
    what: str
    subject: str
    payload: str
    previous: str
    hash: str


@dataclass(frozen=True)
class Break:
    """The first record that does not fit, and why."""

    number: int
    reason: str

    def __str__(self) -> str:
        return f"audit record {self.number}: {self.reason}"


@dataclass(frozen=True)
class ChainReport:
    """What checking the whole trail found. `more` is what else does not agree, by the number of its record."""

    count: int
    head: str
    broken: Break | None
    more: tuple[Break, ...] = ()

    @property
    def whole(self) -> bool:
        """Whether nothing is broken."""
        return self.broken is None


def record_hash(number: int, at: str, who: str, what: str, subject: str, payload: str, previous: str) -> str:
    """SHA-256 over the canonical JSON of all that a record says, its payload as a text."""
    told = {"number": number, "at": at, "who": who, "what": what, "subject": subject}
    return digest(canonical({**told, "payload": payload, "previous": previous}))


class Change:
    """A transaction that writes: its connection, who makes it, when, and its records in the trail."""

    def __init__(self, connection: sa.Connection, who: str, at: str, number: int, last_hash: str) -> None:
        self.connection = connection
        self.who = who
        self.at = at
        self._number = number
        self._hash = last_hash

    def record(self, what: str, subject: str, payload: dict[str, Any] | None = None) -> int:
        """Append a record; returns its number."""
        text = canonical(payload or {})
        if len(text.encode()) > PAYLOAD_LIMIT:
            raise TooLarge(f"audit record of {subject}", len(text.encode()), PAYLOAD_LIMIT)
        number, previous = self._number + 1, self._hash
        own_hash = record_hash(number, self.at, self.who, what, subject, text, previous)
        record = AuditRecord(number, self.at, self.who, what, subject, text, previous, own_hash)
        self.connection.execute(audit.insert().values(**vars(record)))
        self.connection.execute(audit_head.update().values(number=number, hash=own_hash))
        self._number, self._hash = number, own_hash
        return number
