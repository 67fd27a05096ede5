"""The service itself: whether it is well, which versions and codes it has; how far assessing a day is."""

from __future__ import annotations

from flask import Blueprint, Response

from service.codes.load import all_codes, editions
from service.store.sweeps import SWEEPS_KEPT
from service.version import VERSION, engine
from service.web.access import access
from service.web.api.field_shapes import ChangeTold, MovedTold, ProgressTold
from service.web.api.reading import answer, known_query, page_of
from service.web.api.shapes import Page
from service.web.api.staff_shapes import CodeTold, HealthTold
from service.web.background import reassessor
from service.web.callers import the_store
from service.web.openapi import PAGE, PREFIX, described

bp = Blueprint("api_service", __name__, url_prefix=PREFIX)


@bp.get("/health")
@access("anyone")
@described("Whether the service is well", answers={200: HealthTold})
def health() -> Response:
    """Version, flight model, database, length of the audit trail."""
    known_query()
    kept = the_store().health()
    told = HealthTold(
        version=VERSION,
        engine=engine(),
        database=kept.backend,
        tables=kept.tables,
        audit_records=kept.audit_number,
    )
    return answer(told)


@bp.get("/codes")
@access("anyone")
@described("The codes that days may hold to", answers={200: Page[CodeTold]}, query=PAGE)
def codes() -> Response:
    """Each with its edition."""
    known_query(*PAGE)
    items, where = page_of(editions(list(all_codes())))
    lines = [CodeTold(id=each.id, title=each.title, edition=each.edition) for each in items]
    return answer(Page[CodeTold](items=lines, **where))


@bp.get("/days/<day_id>/progress")
@access("anyone")
@described("How far assessing is", answers={200: ProgressTold})
def progress(day_id: str) -> Response:
    """How many entries have a current assessment."""
    known_query()
    found = reassessor().progress(day_id)
    return answer(ProgressTold(total=found.total, done=found.done, pending=found.pending, failed=list(found.failed)))


@bp.get("/days/<day_id>/changes")
@access("rso", "organiser")
@described("What the last passes over the day changed", answers={200: Page[ChangeTold]}, query=PAGE)
def changes(day_id: str) -> Response:
    """The latest first: each entry's assessment before and after, and rulings that lapsed by it."""
    known_query(*PAGE)
    the_store().days.header(day_id)
    items, where = page_of(the_store().sweeps.latest(day_id, SWEEPS_KEPT))
    lines = [
        ChangeTold(
            number=each.number,
            started_at=each.started_at.isoformat(),
            finished_at=each.finished_at.isoformat() if each.finished_at else None,
            lapsed=sorted(each.lapsed),
            moved=[
                MovedTold(
                    entry=one.entry_id,
                    before=one.before.assessment_id if one.before else None,
                    before_standing=one.before.standing if one.before else None,
                    after=one.after_id,
                    after_standing=one.after_standing,
                )
                for one in each.moved.values()
            ],
        )
        for each in items
    ]
    return answer(Page[ChangeTold](items=lines, **where))
