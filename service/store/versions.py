"""Documents with their history: each time one is saved, a revision of its own, with who, when and why."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Generic, TypeVar

import sqlalchemy as sa
from pydantic import BaseModel, TypeAdapter, ValidationError

from service.models.base import Problem
from service.models.types import Id, Name, Note
from service.store.audit import Change
from service.store.canonical import changed_places, dump
from service.store.contents import insert_sealed
from service.store.errors import Conflict, NotFound, Refused, Revised
from service.store.tables import revision as revisions

LIMITS = {  # bytes of JSON; far above what the models let through in practice
    "day": 16_000_000,
    "conditions": 100_000,
    "forecast": 8_000_000,
    "motor": 200_000,
    "entry": 500_000,
    "flight": 10_000,
}
TOLD = 20  # revisions that a conflict tells of
NOTHING = "null"

M = TypeVar("M", bound=BaseModel)
_NAME = TypeAdapter(Name)
_ID = TypeAdapter(Id)
_NOTE = TypeAdapter(Note)


@dataclass(frozen=True)
class Version(Generic[M]):
    """One revision of a document, read back as its model."""

    revision: int
    document: M
    at: str
    by: str
    why: str


def subject(day_id: str, kind: str, of: str = "") -> str:
    """What conflicts and audit records call a document.

    >>> subject("heron", "entry", "e-07"), subject("heron", "day")
    ('day/heron/entry/e-07', 'day/heron')
    """
    return f"day/{day_id}" if kind == "day" else f"day/{day_id}/{kind}" + (f"/{of}" if of else "")


def named(by: str) -> str:
    """Who does it; refused when it is not a name."""
    return _checked(_NAME, by, "by")


def identified(value: str, where: str) -> str:
    """An id; refused when it is not one."""
    return _checked(_ID, value, where)


def reasoned(why: str) -> str:
    """Why; empty for no reason given."""
    return _checked(_NOTE, why, "why") if why else ""


def _checked(adapter: TypeAdapter[str], value: str, where: str) -> str:
    try:
        return adapter.validate_python(value)
    except ValidationError as error:
        context = error.errors()[0].get("ctx", {})
        found, expected = str(context.get("found", value)), str(context.get("expected", "a text"))
        raise Refused(where, [Problem((), found, expected)]) from None


def save(
    change: Change,
    day_id: str,
    kind: str,
    of: str,
    document: BaseModel,
    *,
    based_on: int,
    current: int,
    why: str = "",
    what: str = "",
    told: Mapping[str, Any] | None = None,
) -> int:
    """Keep a new revision if `based_on` is still the current one (0 for none yet); returns its number.

    A document equal to the current one makes no revision. `told` is what its record tells besides.
    """
    called = subject(day_id, kind, of)
    if based_on != current:
        raise conflict(change.connection, day_id, kind, of, based_on, current)
    text = dump(document, called, LIMITS[kind])
    before = text_of(change.connection, day_id, kind, of, current) if current else NOTHING
    if before == text and not what:
        return current
    values = {"day_id": day_id, "kind": kind, "id": of, "revision": current + 1, "document": text}
    values |= {"at": change.at, "by": change.who, "why": reasoned(why)}
    payload: dict[str, Any] = {"revision": current + 1, **(told or {})}
    payload["documents"] = insert_sealed(change.connection, revisions, values)
    if current:
        payload["changed"] = list(changed_places(before, text))
    change.record(what or ("changed" if current else "added"), called, payload)
    return current + 1


def text_of(connection: sa.Connection, day_id: str, kind: str, of: str, revision: int) -> str:
    """The JSON of one revision."""
    asked = sa.select(revisions.c.document).where(_of(day_id, kind, of), revisions.c.revision == revision)
    found = connection.execute(asked).scalar_one_or_none()
    if found is None:
        raise NotFound(f"{subject(day_id, kind, of)}: found no revision {revision}")
    return found


def version_of(
    connection: sa.Connection, day_id: str, kind: str, of: str, revision: int, read: Callable[[str], M]
) -> Version[M]:
    """One revision, read by `read`."""
    asked = sa.select(revisions).where(_of(day_id, kind, of), revisions.c.revision == revision)
    row = connection.execute(asked).one_or_none()
    if row is None:
        raise NotFound(f"{subject(day_id, kind, of)}: found no revision {revision}")
    return _version(row, read)


def history_of(
    connection: sa.Connection, day_id: str, kind: str, of: str, read: Callable[[str], M]
) -> tuple[Version[M], ...]:
    """Every revision, oldest first."""
    asked = sa.select(revisions).where(_of(day_id, kind, of)).order_by(revisions.c.revision)
    found = tuple(_version(row, read) for row in connection.execute(asked))
    if not found:
        raise NotFound(f"found no {subject(day_id, kind, of)}")
    return found


def conflict(connection: sa.Connection, day_id: str, kind: str, of: str, based_on: int, current: int) -> Conflict:
    """The refusal of a change that rests on an older revision: it names what changed since, and by whom."""
    asked = sa.select(revisions).where(_of(day_id, kind, of), revisions.c.revision >= based_on)
    rows = list(connection.execute(asked.order_by(revisions.c.revision).limit(TOLD + 1)))
    since = [
        Revised(after.revision, after.by, after.at, after.why, changed_places(before.document, after.document))
        for before, after in pairwise(rows)
    ]
    if rows and rows[0].revision > based_on:
        since.insert(0, Revised(rows[0].revision, rows[0].by, rows[0].at, rows[0].why, ()))
    return Conflict(subject(day_id, kind, of), based_on, current, since)


def _of(day_id: str, kind: str, of: str) -> sa.ColumnElement[bool]:
    return sa.and_(revisions.c.day_id == day_id, revisions.c.kind == kind, revisions.c.id == of)


def _version(row: Any, read: Callable[[str], M]) -> Version[M]:
    return Version(row.revision, read(row.document), row.at, row.by, row.why)
