"""The little that lists need of an assessment. Assessments never change, so each is read from the store once."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Iterable
from dataclasses import dataclass

from flask import current_app

from service.models.assessment import Assessment, Spread
from service.models.finding import ChecklistItem, Finding
from service.web.callers import the_store

MOST_KEPT = 2000


@dataclass(frozen=True)
class Brief:
    """One assessment in short."""

    assessment_id: str
    standing: str
    decides: str
    open: tuple[Finding, ...]
    """Findings that are not clear, worst first."""
    checklist: tuple[ChecklistItem, ...]
    apogee_m: Spread | None

    def at(self, standing: str) -> tuple[Finding, ...]:
        """Findings at one standing."""
        return tuple(each for each in self.open if each.standing == standing)


_lock = threading.Lock()


def brief_of(assessment: Assessment) -> Brief:
    """An assessment in short."""
    return Brief(
        assessment.id,
        assessment.standing,
        assessment.decides,
        tuple(each for each in assessment.findings if each.standing != "clear"),
        assessment.checklist,
        assessment.estimate.apogee_m if assessment.estimate else None,
    )


def briefs(assessment_ids: Iterable[str]) -> dict[str, Brief]:
    """Those that are kept, by id."""
    wanted = list(dict.fromkeys(assessment_ids))
    with _lock:
        kept: OrderedDict[str, Brief] = current_app.extensions.setdefault("briefs", OrderedDict())
        found = {each: kept[each] for each in wanted if each in kept}
    missing = [each for each in wanted if each not in found]
    read = {key: brief_of(value) for key, value in the_store().assessments.find(missing).items()} if missing else {}
    with _lock:
        kept.update(read)
        while len(kept) > MOST_KEPT:
            kept.popitem(last=False)
    return {**found, **read}
