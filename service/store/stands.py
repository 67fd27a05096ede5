"""What stands: every row that may change, as facts of the same names as the audit trail's (told.py)."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import sqlalchemy as sa

from service.store import tables
from service.store.canonical import digest
from service.store.told import Place, row_seal

_TABLES = (
    tables.launch_day, tables.motor, tables.entry, tables.flight, tables.attestation, tables.current_assessment,
    tables.person, tables.role, tables.api_token, tables.link, tables.setting, tables.signing_key,
)  # fmt: skip
_TOLD_OF = {"day": ("name", "date"), "motor": ("stock",), "entry": ("motor",), "flight": ("entry",)}
_COLUMNS = {"motor": "motor_id", "entry": "entry_id"}  # what the columns of these fields are called


def standing(connection: sa.Connection) -> dict[Place, dict[str, Any]]:
    """Every row that may change, by its place."""
    found: dict[Place, dict[str, Any]] = {}
    for table in _TABLES:
        for row in connection.execution_options(yield_per=500).execute(sa.select(table)):
            values = dict(row._mapping)
            place = (table.name, *(str(values[column.name]) for column in table.primary_key.columns))
            found[place] = _facts(table.name, values)
    held = tables.reservation
    for day_id, entry_id, motor_id, count in connection.execute(
        sa.select(held.c.day_id, held.c.entry_id, held.c.motor_id, held.c.count)
    ):
        entry = found.get(("entry", day_id, entry_id))
        if entry is not None:
            entry |= {"holds": count, "held_motor": motor_id}
    return found


def documented(connection: sa.Connection) -> dict[tuple[str, str, str, int], dict[str, Any]]:
    """What columns repeat from documents: by day, kind, id and revision."""
    kept = tables.revision
    asked = sa.select(kept.c.day_id, kept.c.kind, kept.c.id, kept.c.revision, kept.c.document)
    return {
        (row.day_id, row.kind, row.id, row.revision): values
        for row in connection.execution_options(yield_per=100).execute(asked.where(kept.c.kind.in_(_TOLD_OF)))
        for values in _repeated(row.kind, row.document)
    }


def _repeated(kind: str, text: str) -> Iterator[dict[str, Any]]:
    try:
        document = json.loads(text)
        yield {_COLUMNS.get(name, name): document.get(name) for name in _TOLD_OF[kind]}
    except (ValueError, AttributeError):
        return  # it was altered; its seal says so


def _facts(table: str, row: dict[str, Any]) -> dict[str, Any]:
    facts = dict(row)
    if table == "entry":
        facts |= {"holds": 0, "held_motor": None}
    elif table == "attestation":
        facts["sha256"] = digest(row["document"])
    elif table == "setting":
        facts["sha256"] = digest(row["value"])
    elif table == "signing_key":
        facts["certificate_sha256"] = digest(row["certificate_pem"])
        facts["key_sha256"] = digest(row["encrypted_pem"])
    elif table in ("person", "api_token", "link"):
        facts["sha256"] = row_seal(table, row)
    if "revoked_at" in row:
        facts["ended"] = row["revoked_at"] is not None
    return facts
