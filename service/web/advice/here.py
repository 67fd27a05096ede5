"""Advice as an entry's own page offers it: what was worked out for the entry as it stands, ready to be applied."""

from __future__ import annotations

from dataclasses import dataclass

from service.store import Store
from service.web.advice.options import USUAL
from service.web.advice.shown import FixesShown, fixes_shown
from service.web.advice.state import advised
from service.web.advice.tasks import Fixes, fixes_task
from service.web.jobs import jobs


@dataclass(frozen=True)
class FixesHere:
    """The finished search for fixes of an entry, and the job that whoever applies one has to name."""

    job: str
    found: FixesShown


def fixes_here(store: Store, day_id: str, entry_id: str) -> FixesHere | None:
    """None where nothing has been worked out for the entry, its pad and the conditions as they stand now.

    Raises
    ------
    NotFound
        If there is no such entry, or it was withdrawn.
    """
    asked = advised(store, day_id, entry_id)
    job = jobs().find(fixes_task(asked, USUAL))
    if job is None or not isinstance(job.result, Fixes):
        return None
    return FixesHere(job.id, fixes_shown(job.result, asked)) if job.result.fixes else None
