"""Reading the parts of a launch day inside a transaction, and holding a new part against the others."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import sqlalchemy as sa
from pydantic import ValidationError

from service.models.base import PROBLEMS, Model, Problem
from service.models.conditions import Conditions
from service.models.crosscheck import DayParts, day_problems
from service.models.day import LaunchDay
from service.models.entry import Attestation, Entry
from service.models.motor import Motor
from service.store import tables
from service.store.errors import NotFound, Refused
from service.store.header import DayHeader, Forecast
from service.store.reading import days_read, read
from service.store.tables import revision as revisions
from service.store.versions import text_of


def day_row(connection: sa.Connection, day_id: str) -> Any:
    """The row of a launch day."""
    found = connection.execute(sa.select(tables.launch_day).where(tables.launch_day.c.id == day_id)).one_or_none()
    if found is None:
        raise NotFound(f'found no launch day "{day_id}"')
    return found


def entry_row(connection: sa.Connection, day_id: str, entry_id: str) -> Any:
    """The row of an entry, withdrawn or not."""
    asked = sa.select(tables.entry).where(tables.entry.c.day_id == day_id, tables.entry.c.id == entry_id)
    found = connection.execute(asked).one_or_none()
    if found is None:
        day_row(connection, day_id)
        raise NotFound(f'found no entry "{entry_id}" on launch day "{day_id}"')
    return found


def motor_row(connection: sa.Connection, day_id: str, motor_id: str) -> Any:
    """The row of a motor, removed or not; None where there is none."""
    asked = sa.select(tables.motor).where(tables.motor.c.day_id == day_id, tables.motor.c.id == motor_id)
    return connection.execute(asked).one_or_none()


def header(connection: sa.Connection, row: Any) -> DayHeader:
    """The current header of a launch day's row."""
    return read(DayHeader, text_of(connection, row.id, "day", "", row.revision))


def joined(connection: sa.Connection, table: sa.Table, kind: str, *which: sa.ColumnElement[bool]) -> Sequence[Any]:
    """Rows of entries, motors or flights, each with the document, time, person and reason of its revision."""
    ident = table.c.id if "id" in table.c else sa.cast(table.c.number, sa.String)
    with_document = sa.and_(
        revisions.c.day_id == table.c.day_id,
        revisions.c.kind == kind,
        revisions.c.id == ident,
        revisions.c.revision == table.c.revision,
    )
    asked = sa.select(table, revisions.c.document, revisions.c.at, revisions.c.by, revisions.c.why)
    order = table.c.position if "position" in table.c else table.c.number
    return connection.execute(asked.join(revisions, with_document).where(*which).order_by(order)).all()


def motors(connection: sa.Connection, day_id: str) -> tuple[Motor, ...]:
    """The motors on offer."""
    table = tables.motor
    rows = joined(connection, table, "motor", table.c.day_id == day_id, sa.not_(table.c.removed))
    return tuple(read(Motor, row.document) for row in rows)


def ticks(connection: sa.Connection, day_id: str) -> dict[str, dict[str, Attestation]]:
    """What was attested: by entry ("" for the day), by rule."""
    table = tables.attestation
    found: dict[str, dict[str, Attestation]] = {}
    for row in connection.execute(sa.select(table).where(table.c.day_id == day_id).order_by(table.c.position)):
        found.setdefault(row.entry_id, {})[row.rule] = read(Attestation, row.document)
    return found


def with_ticks(entry: Entry, attestations: Mapping[str, Attestation]) -> Entry:
    """The entry with what was attested for it."""
    return entry.model_copy(update={"attestations": dict(attestations)}) if attestations else entry


def document(connection: sa.Connection, day_id: str) -> LaunchDay:
    """The whole document as it stands, put together anew only where any text of it is another one."""
    row = day_row(connection, day_id)
    motor, entry = tables.motor, tables.entry
    tops = tuple(
        text_of(connection, day_id, kind, "", revision)
        for kind, revision in (
            ("day", row.revision), ("forecast", row.forecast_revision), ("conditions", row.conditions_revision)
        )
    )  # fmt: skip
    offered = joined(connection, motor, "motor", motor.c.day_id == day_id, sa.not_(motor.c.removed))
    entered = joined(connection, entry, "entry", entry.c.day_id == day_id, sa.not_(entry.c.withdrawn))
    asked = sa.select(tables.attestation).where(tables.attestation.c.day_id == day_id)
    ticked = connection.execute(asked.order_by(tables.attestation.c.position)).all()
    texts = (
        tops,
        tuple(each.document for each in offered),
        tuple((each.id, each.document) for each in entered),
        tuple((each.entry_id, each.rule, each.document) for each in ticked),
    )
    length = sum(map(len, (*tops, *texts[1], *(text for _, text in texts[2]), *(text for *_, text in texts[3]))))
    return days_read.get(texts, length, lambda: _put_together(*texts))


def _put_together(
    tops: tuple[str, ...],
    offered: tuple[str, ...],
    entered: tuple[tuple[str, str], ...],
    ticked: tuple[tuple[str, str, str], ...],
) -> LaunchDay:
    top = read(DayHeader, tops[0])
    ticks_by: dict[str, dict[str, Attestation]] = {}
    for entry_id, rule, text in ticked:
        ticks_by.setdefault(entry_id, {})[rule] = read(Attestation, text)
    return LaunchDay(
        **{name: getattr(top, name) for name in DayHeader.model_fields},
        attestations=ticks_by.get("", {}),
        forecast=read(Forecast, tops[1]).forecast,
        conditions=read(Conditions, tops[2]),
        motors=tuple(read(Motor, text) for text in offered),
        entries=tuple(with_ticks(read(Entry, text), ticks_by.get(entry_id, {})) for entry_id, text in entered),
    )


def refuse_problems(subject: str, parts: DayParts, below: tuple[str | int, ...] = ()) -> None:
    """Refuse a part that contradicts the others; places are told from `below` on."""
    found = [
        Problem(each.at[len(below) :] if each.at[: len(below)] == below else each.at, each.found, each.expected)
        for each in day_problems(parts)
    ]
    if found:
        raise Refused(subject, found)


def refuse_day(connection: sa.Connection, subject: str, day_id: str) -> None:
    """Refuse what makes the whole document contradict itself."""
    try:
        document(connection, day_id)
    except ValidationError as error:
        raise Refused(subject, list(problems_in(error))) from None


def problems_in(error: ValidationError) -> Iterable[Problem]:
    """What a refused model says, as problems."""
    for each in error.errors():
        context = each.get("ctx", {})
        if each["type"] == PROBLEMS:
            for problem in context["problems"]:
                yield Problem((*each["loc"], *problem.at), problem.found, problem.expected)
        else:
            found, expected = context.get("found", str(each["input"])[:60]), context.get("expected", each["msg"])
            yield Problem(each["loc"], found, expected)


def checked(model: Any, kind: type[Model], subject: str) -> Any:
    """The value itself, once it is of its kind and passes its own checks again (a copy may have skipped them)."""
    if not isinstance(model, kind):
        raise TypeError(f"{subject}: found {type(model).__name__}, expected {kind.__name__}")
    try:
        return kind.model_validate_json(model.model_dump_json())
    except ValidationError as error:
        raise Refused(subject, list(problems_in(error))) from None
