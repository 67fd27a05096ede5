"""Reading and checking the audit trail."""

from __future__ import annotations

from collections.abc import Iterator

import sqlalchemy as sa

from service.store.agreement import disagreements
from service.store.audit import FIRST_PREVIOUS, AuditRecord, Break, ChainReport, record_hash
from service.store.contents import alterations
from service.store.database import Database
from service.store.tables import audit, audit_head
from service.store.told import Told


class AuditTrail:
    """Reads and checks the trail."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def head(self) -> tuple[int, str]:
        """Number and hash of the last record: what to print, so that the trail can be held against it later."""
        with self._database.read() as connection:
            number, last_hash = connection.execute(sa.select(audit_head.c.number, audit_head.c.hash)).one()
            return number, last_hash

    def records(self, *, after: int = 0, limit: int = 100, subject: str | None = None) -> list[AuditRecord]:
        """Records with a number above `after`, oldest first; of one subject and what lies below it, if named."""
        asked = sa.select(audit).where(audit.c.number > after).order_by(audit.c.number).limit(min(limit, 1000))
        if subject is not None:
            asked = asked.where(
                sa.or_(audit.c.subject == subject, audit.c.subject.startswith(subject + "/", autoescape=True))
            )
        with self._database.read() as connection:
            return [AuditRecord(**row._mapping) for row in connection.execute(asked)]

    def newest(self, limit: int = 100) -> list[AuditRecord]:
        """The last records, newest first."""
        with self._database.read() as connection:
            rows = connection.execute(sa.select(audit).order_by(audit.c.number.desc()).limit(min(limit, 1000)))
            return [AuditRecord(**row._mapping) for row in rows]

    def verify_chain(self, printed_head: tuple[int, str] | None = None) -> ChainReport:
        """Check every record, the kept head, the documents that records name by digest, and what stands beside them:
        revisions in force, attestations, current assessments, motors set aside, accounts, roles, tokens, links, keys,
        settings (agreement.py says what is left out).

        `printed_head` is a number and hash noted earlier, outside the database, to hold the trail against.
        """
        with self._database.read() as connection:
            number, last_hash = connection.execute(sa.select(audit_head.c.number, audit_head.c.hash)).one()
            count, broken, told = 0, None, Told()
            previous = FIRST_PREVIOUS
            for record in _all_records(connection):
                broken = _misfit(record, count + 1, previous)
                if broken is None and printed_head is not None and record.number == printed_head[0]:
                    if record.hash != printed_head[1]:
                        broken = Break(record.number, "its hash is not the one noted earlier")
                if broken is not None:
                    break
                count, previous = record.number, record.hash
                told.take(record)
            if broken is None:
                broken = _misfit_end(count, previous, number, last_hash, printed_head)
            found = alterations(connection)
            if broken is None:  # a trail that is whole can be held against what stands
                found += disagreements(connection, told)
            else:
                found.append(broken)
        found.sort(key=lambda each: each.number)
        return ChainReport(count, previous, found[0] if found else None, tuple(found[1:]))


def _all_records(connection: sa.Connection) -> Iterator[AuditRecord]:
    rows = connection.execution_options(yield_per=1000).execute(sa.select(audit).order_by(audit.c.number))
    return (AuditRecord(**row._mapping) for row in rows)


def _misfit(record: AuditRecord, expected: int, previous: str) -> Break | None:
    if record.number != expected:
        return Break(expected, f"missing; the next one found is {record.number}")
    if record.previous != previous:
        return Break(record.number, "it does not carry the hash of the record before it")
    told = (record.number, record.at, record.who, record.what, record.subject, record.payload, record.previous)
    if record.hash != record_hash(*told):
        return Break(record.number, "its hash does not fit what it says: it was altered")
    return None


def _misfit_end(
    count: int, last: str, number: int, last_hash: str, printed_head: tuple[int, str] | None
) -> Break | None:
    if count < number:
        return Break(count + 1, f"missing; the trail should end with record {number}")
    if count > number:
        return Break(number + 1, f"not known to the head, which ends with record {number}")
    if last != last_hash:
        return Break(count, "its hash is not the one kept as the head")
    if printed_head is not None and count < printed_head[0]:
        return Break(count + 1, f"missing; record {printed_head[0]} was noted earlier")
    return None
