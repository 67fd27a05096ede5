"""Size a field: winds and fleet in, what they ask of it out."""

from __future__ import annotations

from typing import Annotated, Any

from flask import Blueprint, Response, request
from pydantic import Field as Described
from pydantic import StrictBool, StrictStr

from service.models.base import Model
from service.models.day import LaunchDay
from service.models.sizing import Sizing
from service.planning.errors import DocumentRefused, Fault
from service.planning.sizing.errors import TableRefused
from service.planning.sizing.picture import WIDE_SCENES, sizing_svg
from service.planning.sizing.report import sizing_pdf
from service.planning.sizing.season_csv import read_winds_csv
from service.web.access import access
from service.web.api.files import PAPER_QUERY, PDF, SVG, UNITS_QUERY, picture, read_paper, read_units
from service.web.api.jobs import JobTold, result_of, started
from service.web.api.reading import answer, body, file, known_query
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

SITE = "site"
WHICH: dict[str, dict[str, Any]] = {"which": {"type": "string", "enum": list(WIDE_SCENES), "default": SITE}}
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
    return answer(_found(day_id)[1])


@bp.get("/report")
@access("organiser")
@described("The report of the sizing", answers={200: None}, query=QUERY | PAPER_QUERY | UNITS_QUERY, gives=PDF)
def get_sizing_report(day_id: str) -> Response:
    """With the data sheet for the notice; `units` are those of the account unless said."""
    known_query(*QUERY, *PAPER_QUERY, *UNITS_QUERY)
    return file(sizing_pdf(*_found(day_id), read_paper(), read_units()), PDF, f"field-report-{day_id}.pdf")


@bp.get("/picture")
@access("organiser")
@described("The field sized, drawn", answers={200: None}, query=QUERY | WHICH | UNITS_QUERY, gives=SVG)
def get_sizing_picture(day_id: str) -> Response:
    """The site, the map for the notice, the rose of the winds, shares inside by class and wind, or flyable hours."""
    known_query(*QUERY, *WHICH, *UNITS_QUERY)
    which = request.args.get("which", SITE)
    return picture(sizing_svg(*_found(day_id), which, read_units()), f"field-{which}-{day_id}")


def _found(day_id: str) -> tuple[LaunchDay, Sizing]:
    """The day, and the sizing that the address asks for."""
    day = the_store().day_document(day_id)
    return day, result_of(sizing_task(asked_of(day_id, day, read_wanted(request.args))), Sizing)
