"""Rulings: the range safety officer's word on one assessment.

A ruling is never altered; the next one replaces it. Whether it is in force is worked out, not written: it has
lapsed as soon as the assessment it rests on is not the entry's current one.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import sqlalchemy as sa
from pydantic import Field as Described

from service.models.assessment import Assessment
from service.models.base import Model, Problem
from service.models.types import Id, Note, Text
from service.store import parts, tables
from service.store.audit import Change
from service.store.canonical import dump
from service.store.contents import insert_sealed
from service.store.database import Database
from service.store.errors import Conflict, Refused, Revised
from service.store.reading import read
from service.store.standing import Current, current
from service.store.versions import named, subject

RULING_LIMIT = 100_000

Word = Literal["approved", "held", "refused"]
State = Literal["approved", "held", "refused", "lapsed"]
Initials = Annotated[str, Text(8)]


class Verdict(Model):
    """What the officer says."""

    word: Word
    """approved, held or refused."""
    reason: Note | None = None
    """Why; needed to hold or refuse, and to approve over a finding that stands at stop or unknown."""
    initials: Annotated[dict[Id, Initials], Described(max_length=200)] = {}
    """The officer's initials on each finding that stands at caution, by its rule's id."""

    def problems(self) -> Iterable[Problem]:
        if self.word != "approved" and self.reason is None:
            yield Problem(("reason",), f"none for an entry that is {self.word}", "a reason the flyer can act on")


@dataclass(frozen=True)
class Ruling:
    """A ruling on an entry. `state` is its word, or lapsed; `number` counts the entry's rulings from 1."""

    entry_id: str
    number: int
    assessment_id: str
    verdict: Verdict
    state: State
    role: str
    at: str
    by: str


class Rulings:
    """Rulings."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def latest(self, day_id: str) -> dict[str, Ruling]:
        """The last ruling on each entry that has one, by entry."""
        with self._database.read() as connection:
            parts.day_row(connection, day_id)
            return latest(connection, day_id)

    def history(self, day_id: str, entry_id: str) -> tuple[Ruling, ...]:
        """Every ruling on an entry, oldest first. All but the last are told as lapsed."""
        table = tables.ruling
        with self._database.read() as connection:
            parts.entry_row(connection, day_id, entry_id)
            last = latest(connection, day_id, entry_id).get(entry_id)
            asked = sa.select(table).where(table.c.day_id == day_id, table.c.entry_id == entry_id)
            rows = connection.execute(asked.order_by(table.c.number))
            return tuple(last if last and last.number == row.number else _ruling(row, "lapsed") for row in rows)

    def rule(
        self,
        day_id: str,
        entry_id: str,
        verdict: Verdict,
        by: str,
        *,
        assessment_id: str,
        based_on: int,
        role: str = "rso",
    ) -> Ruling:
        """Rule on an entry's current assessment. `based_on` is the number of its last ruling, 0 for none.

        Refused when the assessment is not the current one, or when an approval lacks initials on a caution, a
        tick of the checklist, a reason for a stop or an unknown, or goes over a stop that is law.
        """
        verdict = parts.checked(verdict, Verdict, "ruling")
        called = subject(day_id, "ruling", entry_id)
        with self._database.write(named(by)) as change:
            connection = change.connection
            if parts.entry_row(connection, day_id, entry_id).withdrawn:
                raise Refused(called, [Problem((), "a withdrawn entry", "one that takes part")])
            last = latest(connection, day_id, entry_id).get(entry_id)
            if (last.number if last else 0) != based_on:
                raise _overruled(called, based_on, last)
            _refuse_outdated(called, assessment_id, current(connection, day_id).get(entry_id))
            text = connection.execute(
                sa.select(tables.assessment.c.document).where(tables.assessment.c.id == assessment_id)
            ).scalar_one()
            if verdict.word == "approved":
                ticked = parts.ticks(connection, day_id)
                done = {*ticked.get("", {}), *ticked.get(entry_id, {})}
                lacking = list(_lacking(verdict, Assessment.model_validate_json(text), done))
                if lacking:
                    raise Refused(called, lacking)
            _insert(change, day_id, entry_id, based_on + 1, verdict, assessment_id, named(role))
            return latest(connection, day_id, entry_id)[entry_id]


def latest(
    connection: sa.Connection, day_id: str, entry_id: str | None = None, stands: Mapping[str, Current] | None = None
) -> dict[str, Ruling]:
    """The last ruling on each entry, or on one; `stands` is what `current` tells, where that is known already."""
    table = tables.ruling
    which = [table.c.day_id == day_id] + ([table.c.entry_id == entry_id] if entry_id is not None else [])
    stands = current(connection, day_id) if stands is None else stands
    found: dict[str, Ruling] = {}
    for row in connection.execute(sa.select(table).where(*which).order_by(table.c.number)):
        now = stands.get(row.entry_id)
        in_force = now is not None and now.fresh and now.assessment_id == row.assessment_id
        found[row.entry_id] = _ruling(row, row.word if in_force else "lapsed")
    return found


def _lacking(verdict: Verdict, assessment: Assessment, done: set[str]) -> Iterable[Problem]:
    """What an approval still needs."""
    for finding in assessment.findings:
        if finding.standing == "stop" and finding.weight == "law":
            yield Problem(("word",), f'approval over "{finding.rule}", which is law', "held or refused")
        elif finding.standing in ("stop", "unknown") and verdict.reason is None:
            yield Problem(("reason",), f'none, while "{finding.rule}" stands at {finding.standing}', "a reason")
        elif finding.standing == "caution" and finding.rule not in verdict.initials:
            yield Problem(("initials", finding.rule), "no initials on this caution", "the officer's initials")
    for item in assessment.checklist:
        if not item.answered and item.rule not in done:
            yield Problem((), f'"{item.rule}" not attested', f"a name and time for: {item.text}")


def _refuse_outdated(called: str, assessment_id: str, now: Current | None) -> None:
    if now is None or not now.fresh:
        problem = Problem(("assessment",), "no current assessment of this entry", "one in the conditions in force")
        raise Refused(called, [problem])
    if now.assessment_id != assessment_id:
        problem = Problem(("assessment",), f'"{assessment_id[:40]}"', f"the current one, {now.assessment_id}")
        raise Refused(called, [problem])


def _overruled(called: str, based_on: int, last: Ruling | None) -> Conflict:
    if last is None:
        return Conflict(called, based_on, 0)
    why = last.verdict.reason or ""
    told = Revised(last.number, last.by, last.at, why, (f"the ruling to {last.verdict.word}",))
    return Conflict(called, based_on, last.number, [told])


def _insert(
    change: Change, day_id: str, entry_id: str, number: int, verdict: Verdict, assessment_id: str, role: str
) -> None:
    text = dump(verdict, subject(day_id, "ruling", entry_id), RULING_LIMIT)
    values = {"day_id": day_id, "entry_id": entry_id, "number": number, "assessment_id": assessment_id}
    values |= {"word": verdict.word, "document": text, "role": role, "at": change.at, "by": change.who}
    sealed = insert_sealed(change.connection, tables.ruling, values)
    payload = {"assessment": assessment_id, "word": verdict.word, "role": role, "documents": sealed}
    change.record(verdict.word, subject(day_id, "entry", entry_id), payload)


def _ruling(row: Any, state: State) -> Ruling:
    verdict = read(Verdict, row.document)
    return Ruling(row.entry_id, row.number, row.assessment_id, verdict, state, row.role, row.at, row.by)
