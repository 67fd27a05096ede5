"""Whether what is kept for good is still what the audit trail says was kept."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any

import sqlalchemy as sa

from service.store import tables
from service.store.audit import SEALED_ANEW, Break
from service.store.canonical import canonical, digest
from service.store.personal import PERSONAL, is_erased, new_salt, parted, salted
from service.store.place_words import called_label

# What a seal covers. A column that is added later is left out here, or old seals no longer fit.
_SEALED: dict[str, tuple[str, ...]] = {
    "revision": ("day_id", "kind", "id", "revision", "document", "at", "by", "why"),  # personal.py adds to it
    "assessment": ("id", "standing", "engine", "document", "kept_at"),
    "ruling": ("day_id", "entry_id", "number", "assessment_id", "word", "document", "role", "at", "by"),
    "sheet": ("id", "day_id", "entry_id", "pdf_sha256", "pdf", "at", "by"),
}


def insert_sealed(connection: sa.Connection, table: sa.Table, values: Mapping[str, Any]) -> dict[str, str]:
    """Insert a row that is kept for good; returns its seal, for the record of the change."""
    if values.get("kind") in PERSONAL:
        salt = new_salt()
        _, personal = parted(values["kind"], values["document"])
        values = {**values, "salt": salt, "personal": salted(salt, personal)}
    connection.execute(table.insert().values(**values))
    return {label_of(table, values): _seal(table, values)}


def _seal(table: sa.Table, values: Mapping[str, Any]) -> str:
    """SHA-256 over the canonical JSON of a row; bytes stand in it by their own SHA-256."""
    sealed = {name: values[name] for name in _SEALED[table.name]}
    if values.get("personal"):
        sealed["document"], personal = parted(values["kind"], values["document"])
        sealed["personal"] = salted(values["salt"], personal) if values["salt"] else values["personal"]
    return digest(
        canonical({k: digest(bytes(v)) if isinstance(v, bytes | memoryview) else v for k, v in sealed.items()})
    )


def alterations(connection: sa.Connection) -> list[Break]:
    """Every record whose row was altered or is gone, and rows that no record names, by the records' numbers."""
    told: dict[str, tuple[int, str]] = {}
    wiped: dict[str, int] = {}
    for number, what, payload in _payloads(connection):
        for label, sha256 in payload.get("documents", {}).items():
            if label not in told or what == SEALED_ANEW:
                told[label] = (number, sha256)
        wiped |= {label: number for label in payload.get("erased", ())}
    left = dict(told)
    breaks: list[Break] = []
    unnamed: list[str] = []
    for name in _SEALED:
        for label, found, opened, blank in _found(connection, tables.metadata.tables[name]):
            expected = left.pop(label, None)
            if expected is None:
                unnamed.append(label)
            elif expected[1] != found:
                breaks.append(Break(expected[0], f"{called_label(label)} was altered afterwards"))
            elif opened and label not in wiped:
                lost = "lost its personal data, and no record tells of erasing it"
                breaks.append(Break(expected[0], f"{called_label(label)} {lost}"))
            elif label in wiped and not (opened and blank):
                breaks.append(Break(wiped[label], f"{called_label(label)} was erased, yet holds personal data"))
    breaks += [Break(number, f"{called_label(label)} is gone") for label, (number, _) in left.items()]
    last = connection.execute(sa.select(tables.audit_head.c.number)).scalar_one()
    breaks += [
        Break(last + 1, f"missing; {called_label(label)} is kept, yet no record names it") for label in sorted(unnamed)
    ]
    return sorted(breaks, key=lambda each: each.number)


def label_of(table: sa.Table, values: Mapping[str, Any]) -> str:
    """What records call a row."""
    return "/".join([table.name, *(str(values[column.name]) for column in table.primary_key.columns)])


def _payloads(connection: sa.Connection) -> Iterator[tuple[int, str, dict[str, Any]]]:
    audit = tables.audit
    tells = sa.or_(audit.c.payload.contains('"documents"'), audit.c.payload.contains('"erased"'))
    asked = sa.select(audit.c.number, audit.c.what, audit.c.payload).where(tells).order_by(audit.c.number)
    for number, what, text in connection.execution_options(yield_per=1000).execute(asked):
        try:
            payload = json.loads(text)
        except ValueError:
            continue  # altered; its hash says so
        if isinstance(payload, dict) and isinstance(payload.get("documents", {}), dict):
            yield number, what, payload


def _found(connection: sa.Connection, table: sa.Table) -> Iterator[tuple[str, str, bool, bool]]:
    """Each row: its label, its seal as it stands, whether its salt is gone, whether its personal data is too."""
    more = ("salt", "personal") if table is tables.revision else ()
    asked = sa.select(*(table.c[name] for name in (*_SEALED[table.name], *more)))
    for row in connection.execution_options(yield_per=100).execute(asked):
        values = dict(row._mapping)
        try:
            opened = bool(values.get("personal")) and not values["salt"]
            blank = opened and is_erased(parted(values["kind"], values["document"])[1])
            yield label_of(table, values), _seal(table, values), opened, blank
        except (ValueError, KeyError, TypeError, AttributeError):  # it is not even of its kind any more
            yield label_of(table, values), "", False, False
