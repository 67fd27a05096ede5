"""Assessments by id, and which one is current for each entry.

An assessment never changes: its id is a hash of all it rests on. Which one is current is kept with the revisions
it was made from; as soon as one of those moves on, the entry has no current assessment until the next is kept.
The flyer's name is left out: it stands in the entry, where it can be erased.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import sqlalchemy as sa

from service.models.assessment import Assessment
from service.models.day import LaunchDay
from service.store import parts, rulings, sweeps, tables
from service.store.audit import Change
from service.store.canonical import dump
from service.store.contents import insert_sealed
from service.store.database import Database
from service.store.errors import NotFound
from service.store.places import Place, places
from service.store.standing import Basis, Current, bases, current
from service.store.versions import named, subject

ASSESSMENT_LIMIT = 8_000_000


@dataclass(frozen=True)
class Snapshot:
    """One moment of a day: what to assess, and the basis to hand back with each assessment."""

    document: LaunchDay
    bases: dict[str, Basis]


@dataclass(frozen=True)
class Kept:
    """What keeping assessments did: now current, made from what has since changed, rulings that lapsed by it."""

    current: tuple[str, ...]
    outdated: tuple[str, ...]
    lapsed: tuple[str, ...]


class Assessments:
    """Assessments."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def get(self, assessment_id: str) -> Assessment:
        """The assessment with that id."""
        found = self.find([assessment_id]).get(assessment_id)
        if found is None:
            raise NotFound(f'found no assessment "{assessment_id[:40]}"')
        return found

    def find(self, assessment_ids: Iterable[str]) -> dict[str, Assessment]:
        """Those that are kept, by id: what need not be computed again."""
        table = tables.assessment
        wanted = list(dict.fromkeys(assessment_ids))
        found: dict[str, Assessment] = {}
        with self._database.read() as connection:
            for start in range(0, len(wanted), 500):
                asked = sa.select(table.c.id, table.c.document).where(table.c.id.in_(wanted[start : start + 500]))
                found |= {row.id: Assessment.model_validate_json(row.document) for row in connection.execute(asked)}
        return found

    def places(self, assessment_id: str) -> tuple[Place, ...]:
        """The entries that it is or was the assessment of, as far as that is known."""
        with self._database.read() as connection:
            return places(connection, assessment_id)

    def snapshot(self, day_id: str) -> Snapshot:
        """The document and every entry's basis, of one moment."""
        with self._database.read() as connection:
            return Snapshot(parts.document(connection, day_id), bases(connection, day_id))

    def bases(self, day_id: str) -> dict[str, Basis]:
        """Every entry's basis as it stands now, without the documents; empty where there is no such day."""
        with self._database.read() as connection:
            return bases(connection, day_id)

    def keep(
        self, day_id: str, assessed: Iterable[tuple[Assessment, Basis]], by: str, *, sweep: int | None = None
    ) -> Kept:
        """Keep assessments of entries, each with the basis it was made from; `sweep` is the pass that made them.

        One whose basis is no longer what stands is kept too, but does not become current.
        """
        made = [(_checked(assessment), basis) for assessment, basis in assessed]
        with self._database.write(named(by)) as change:
            parts.day_row(change.connection, day_id)
            standing_bases = bases(change.connection, day_id)
            before = current(change.connection, day_id)
            ruled = rulings.latest(change.connection, day_id)
            documents: dict[str, str] = {}
            now: list[str] = []
            outdated: list[str] = []
            lapsed: list[str] = []
            moved: dict[str, str] = {}
            for (assessment, text), basis in made:
                entry_id = assessment.entry
                if entry_id not in standing_bases:
                    parts.entry_row(change.connection, day_id, entry_id)  # refuses an entry never heard of
                documents |= _insert(change, assessment, text)
                if standing_bases.get(entry_id) != basis:
                    outdated.append(entry_id)
                    continue
                now.append(entry_id)
                earlier = before.get(entry_id)
                if earlier is not None and earlier.fresh and earlier.assessment_id == assessment.id:
                    continue
                _point(change, day_id, entry_id, assessment.id, basis, earlier is not None)
                moved[entry_id] = assessment.id
                if earlier is not None and entry_id in ruled and assessment.id != earlier.assessment_id:
                    if ruled[entry_id].assessment_id == earlier.assessment_id:
                        lapsed.append(entry_id)
            if documents or moved:
                payload = {"documents": documents, "current": moved, "lapsed": lapsed}
                change.record("assessed", subject(day_id, "day"), payload)
            if sweep is not None and now:
                standings = {assessment.entry: assessment for (assessment, _), _ in made}
                told = {each: (before.get(each), standings[each].id, standings[each].standing) for each in now}
                sweeps.note(change, day_id, sweep, told, lapsed)
            return Kept(tuple(now), tuple(outdated), tuple(lapsed))

    def current(self, day_id: str) -> dict[str, Current]:
        """For each entry that was ever assessed, its last assessment, and whether that is current."""
        with self._database.read() as connection:
            parts.day_row(connection, day_id)
            return current(connection, day_id)


def _checked(assessment: Assessment) -> tuple[Assessment, str]:
    """An assessment without the flyer's name, which stands in the entry alone; and its JSON, once read back."""
    if not isinstance(assessment, Assessment):
        raise TypeError(f"found {type(assessment).__name__}, expected Assessment")
    assessment = assessment.model_copy(update={"flyer": ""})
    return assessment, dump(assessment, f"assessment {assessment.id}", ASSESSMENT_LIMIT)


def _insert(change: Change, assessment: Assessment, text: str) -> dict[str, str]:
    """Keep an assessment unless its id is kept already: the first one stands, whoever computes it again."""
    table = tables.assessment
    asked = sa.select(table.c.id).where(table.c.id == assessment.id)
    if change.connection.execute(asked).one_or_none() is not None:
        return {}
    values = {"id": assessment.id, "standing": assessment.standing, "engine": assessment.engine[:120]}
    return insert_sealed(change.connection, table, {**values, "document": text, "kept_at": change.at})


def _point(change: Change, day_id: str, entry_id: str, assessment_id: str, basis: Basis, known: bool) -> None:
    table = tables.current_assessment
    values = {
        "assessment_id": assessment_id,
        "day_revision": basis.day,
        "conditions_revision": basis.conditions,
        "motor_revision": basis.motor,
        "entry_revision": basis.entry,
        "at": change.at,
    }
    if known:
        of_entry = (table.c.day_id == day_id, table.c.entry_id == entry_id)
        change.connection.execute(table.update().where(*of_entry).values(**values))
    else:
        change.connection.execute(table.insert().values(day_id=day_id, entry_id=entry_id, **values))
