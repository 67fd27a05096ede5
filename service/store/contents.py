"""Whether what is kept is still what the audit trail says was kept."""

from __future__ import annotations

import json
from collections.abc import Iterator

import sqlalchemy as sa

from service.store import tables
from service.store.audit import Break
from service.store.canonical import digest

_KEPT: tuple[tuple[sa.Table, str], ...] = (
    (tables.revision, "document"),
    (tables.assessment, "document"),
    (tables.ruling, "document"),
    (tables.sheet, "pdf"),
)


def document_label(table: sa.Table, *key: str | int) -> str:
    """What a record calls a kept document: its table and key.

    >>> document_label(tables.ruling, "heron", "e-07", 2)
    'ruling/heron/e-07/2'
    """
    return "/".join([table.name, *map(str, key)])


def first_altered(connection: sa.Connection) -> Break | None:
    """The first record whose document was altered or is gone; else a document that no record names."""
    told = dict(_told(connection))
    breaks: list[Break] = []
    unnamed: list[str] = []
    for table, column in _KEPT:
        for label, found in _found(connection, table, column):
            expected = told.pop(label, None)
            if expected is None:
                unnamed.append(label)
            elif expected[1] != found:
                breaks.append(Break(expected[0], f"{label} was altered afterwards"))
    breaks += [Break(number, f"{label} is gone") for label, (number, _) in told.items()]
    if breaks:
        return min(breaks, key=lambda each: each.number)
    if unnamed:
        last = connection.execute(sa.select(tables.audit_head.c.number)).scalar_one()
        return Break(last + 1, f"missing; {min(unnamed)} is kept, yet no record names it")
    return None


def _told(connection: sa.Connection) -> Iterator[tuple[str, tuple[int, str]]]:
    audit = tables.audit
    asked = sa.select(audit.c.number, audit.c.payload).where(audit.c.payload.contains('"documents"'))
    for number, payload in connection.execution_options(yield_per=1000).execute(asked.order_by(audit.c.number)):
        try:
            documents = json.loads(payload).get("documents", {}).items()
        except (ValueError, AttributeError):
            continue  # altered; its hash says so
        for label, sha256 in documents:
            yield label, (number, sha256)


def _found(connection: sa.Connection, table: sa.Table, column: str) -> Iterator[tuple[str, str]]:
    asked = sa.select(*table.primary_key.columns, table.c[column])
    for *key, kept in connection.execution_options(yield_per=100).execute(asked):
        yield document_label(table, *key), digest(kept)
