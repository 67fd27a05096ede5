"""Size a field: winds and fleet in, what they ask of it out."""

from __future__ import annotations

from typing import Annotated

from flask import Blueprint, Response, request
from pydantic import Field as Described
from pydantic import StrictBool, StrictStr

from service.models.base import Model
from service.models.sizing import Sizing
from service.planning.errors import DocumentRefused, Fault
from service.planning.sizing.errors import TableRefused
from service.planning.sizing.season_csv import read_winds_csv
from service.web.access import access
from service.web.api.jobs import JobTold, result_of, started
from service.web.api.reading import answer, body, known_query
from service.web.callers import the_store
from service.web.openapi import PREFIX, described
from service.web.sizing.state import (
    DEMO,
    FILE_LIMIT,
    QUERY,
    Wanted,
    asked_of,
    check_fleet,
    read_wanted,
    sizing_task,
)
from service.web.sizing.uploads import uploads

bp = Blueprint("api_sizing", __name__, url_prefix=f"{PREFIX}/days/<day_id>/sizing")

Table = Annotated[StrictStr, Described(min_length=1, max_length=FILE_LIMIT)]


class SizingAsked(Model):
    """What a field is to be held against."""

    winds: Table | None = None
    """A season's winds as CSV, hour by hour; null for the invented season of the demo."""
    fleet: Table | None = None
    """Classes and counts as CSV; null for the day's own entries."""
    altitudes: StrictBool = True
    """Whether to search for the greatest altitude of each class and wind."""


@bp.post("")
@access("organiser", body_limit=2 * FILE_LIMIT)
@described("Ask for the field to be sized", body=SizingAsked, answers={200: JobTold, 202: JobTold})
def ask_sizing(day_id: str) -> Response:
    """Takes about a minute; the files sent are kept in memory until others push them out."""
    known_query()
    sent, day = body(SizingAsked), the_store().day_document(day_id)
    faults: list[Fault] = []
    for what, text in (("winds", sent.winds), ("fleet", sent.fleet)):
        if text is not None:
            try:
                if what == "winds":
                    read_winds_csv(text.encode(), what)
                else:
                    check_fleet(day, text.encode(), what)
            except TableRefused as refused:
                faults += [Fault(f"/{what}", f"{each.pointer}: {each.found}", each.expected)
                           for each in refused.faults]  # fmt: skip
    if faults:
        raise DocumentRefused(faults, "the body")
    wanted = Wanted(
        winds=uploads().put(day_id, "winds sent", sent.winds.encode()).id if sent.winds else DEMO,
        fleet=uploads().put(day_id, "fleet sent", sent.fleet.encode()).id if sent.fleet else "",
        altitudes="yes" if sent.altitudes else "no",
    )
    return started(sizing_task(asked_of(day_id, day, wanted)))


@bp.get("")
@access("organiser")
@described("The field, sized", answers={200: Sizing}, query=QUERY)
def get_sizing(day_id: str) -> Response:
    """What a fleet and a season ask of the field; the address is told when it is asked for."""
    known_query(*QUERY)
    asked = asked_of(day_id, the_store().day_document(day_id), read_wanted(request.args))
    return answer(result_of(sizing_task(asked), Sizing))
