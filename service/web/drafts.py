"""The draft of a day's sheet: laid out in the background, UNSIGNED on every page, found again while nothing moves.

One page takes a tenth of a second; a whole day keeps a thread busy for seconds. The draft of one entry is made at once.
"""

from __future__ import annotations

from typing import Any

from flask import url_for
from pydantic import AwareDatetime

from service.models.base import Model
from service.planning.quantities import Units
from service.web.callers import the_store
from service.web.confirmed import checked_on
from service.web.jobs import CannotBeDone, Place, Task, Watch
from service.web.jobs.job import Work
from service.web.printing import basis_of, printable, printed, qr_start
from service.web.reader import age_of, now


class Draft(Model):
    """A sheet without a signature, and when what it tells stood so."""

    pdf: bytes
    at: AwareDatetime


def draft_of(day_id: str, chosen: Units) -> Task:
    """The work that the day's draft comes of as things stand now, to be looked up."""

    def work(_watch: Watch) -> Draft:
        raise CannotBeDone("It is not known any more what was to be laid out.")

    return _task(day_id, chosen, _key(day_id), work)


def drafting(day_id: str, chosen: Units) -> Task:
    """The work of laying out what stands now.

    Raises
    ------
    Misfit
        When entries are still being assessed.
    """
    key = _key(day_id)  # before what is printed is read: a draft that was overtaken is not found again
    what = printable(day_id, "")

    def work(watch: Watch) -> Draft:
        return Draft(pdf=printed(what, chosen, progress=watch), at=what.at)

    return _task(day_id, chosen, key, work)


def _key(day_id: str) -> list[Any]:
    """All that a draft tells, as it stands now."""
    store = the_store()
    day, mark = store.days.marked(day_id)
    compared = {code: on.isoformat() for code, on in checked_on(store, day_id).items()}
    stale = age_of(day.conditions, day.policy, now()).stale  # printed in so many words; the age itself is as of `at`
    return [mark, basis_of(store.desk(day_id), ""), compared, stale, qr_start()]


def _task(day_id: str, chosen: Units, key: list[Any], work: Work) -> Task:
    page = url_for("sheets.show", day_id=day_id, draft=chosen)
    place = Place(day_id, page, url_for("api_sheets.draft", day_id=day_id))
    return Task("draft", key, place, work, prompt=True, latest_only=True)


__all__ = ["Draft", "draft_of", "drafting"]
