"""A whole launch day in the place of another; its boundary from a file; another date for it."""

from __future__ import annotations

import json

from flask import Blueprint, Response

from service.models.conditions import Conditions
from service.models.day import LaunchDay
from service.planning.check import read_day
from service.planning.errors import Fault
from service.planning.new_day import planned_conditions
from service.planning.outline_text import BadOutline, outlines_of
from service.planning.part import read_part
from service.store.header import DayHeader
from service.web.access import DOCUMENT_LIMIT, access
from service.web.api.days import hold_against_day
from service.web.api.days import told as header_told
from service.web.api.field_shapes import BoundaryAsked, MoveAsked, ReplacedTold
from service.web.api.reading import answer, based_on, based_on_mark, body, document_bytes, known_query
from service.web.api.shapes import HeaderTold
from service.web.callers import caller, the_store
from service.web.errors import Misfit
from service.web.openapi import MARK, PREFIX, described

bp = Blueprint("api_documents", __name__, url_prefix=f"{PREFIX}/days/<day_id>")
DAYS_APART = 2  # a day that moves further needs other weather


@bp.get("/document")
@access("organiser", "rso")
@described("Export a launch day", answers={200: LaunchDay}, etag=True)
def export_day(day_id: str) -> Response:
    """The whole launch-day document as it stands: what `rangehand assess` reads."""
    known_query()
    document, mark = the_store().days.marked(day_id)
    return answer(document, revision=mark)


@bp.put("/document")
@access("organiser", body_limit=DOCUMENT_LIMIT)
@described("Replace a launch day", body=LaunchDay, answers={200: ReplacedTold}, etag=True, matched=True, tag=MARK)
def replace_day(day_id: str) -> Response:
    """Entries that the document does not have are withdrawn and their links end; every version before is kept."""
    known_query()
    the_store().days.header(day_id)
    document = read_day(document_bytes(), "the body")
    done = the_store().days.replace(day_id, document, caller().name(), based_on=based_on_mark())
    told = ReplacedTold(
        added=list(done.added),
        changed=list(done.changed),
        withdrawn=list(done.withdrawn),
        links=done.links,
        motors_added=list(done.motors_added),
        motors_changed=list(done.motors_changed),
        motors_removed=list(done.motors_removed),
        lapsed=list(done.lapsed),
        without_stock=list(done.without_stock),
    )
    return answer(told, revision=done.mark)


@bp.put("/boundary")
@access("organiser", body_limit=DOCUMENT_LIMIT)
@described("Import the boundary", body=BoundaryAsked, answers={200: HeaderTold}, etag=True, matched=True)
def put_boundary(day_id: str) -> Response:
    """From GeoJSON, KML or coordinates that hold one area. If-Match is the header's revision."""
    known_query()
    store, kept = the_store(), the_store().days.header(day_id)
    revision = based_on(kept.revision)
    try:
        shapes = outlines_of(body(BoundaryAsked).text.encode(), lines=False)
        if len(shapes) != 1:
            raise BadOutline(f"found {len(shapes)} areas; expected one")
    except BadOutline as error:
        found, _, expected = str(error).removeprefix("found ").partition("; expected ")
        raise Misfit(f"The boundary: {error}.", [Fault("/text", found, expected or "one area")]) from None
    plain = json.loads(kept.document.model_dump_json(by_alias=True))
    plain["field"]["boundary"] = shapes[0][1]
    header = read_part(DayHeader, plain, name="the boundary")
    hold_against_day(day_id, header)
    return header_told(day_id, store.days.update(day_id, header, caller().name(), based_on=revision, why="a boundary"))


@bp.put("/date")
@access("organiser")
@described("Move a launch day", body=MoveAsked, answers={200: HeaderTold}, etag=True, matched=True)
def put_date(day_id: str) -> Response:
    """To another date. Weather of a date more than two days away does not go along: standard air until a reading."""
    known_query()
    store, kept = the_store(), the_store().days.header(day_id)
    revision, on = based_on(kept.revision), body(MoveAsked).date
    plain = json.loads(kept.document.model_dump_json(by_alias=True)) | {"date": on.isoformat()}
    header = read_part(DayHeader, plain, name="the date")
    weather = None
    if abs((on - kept.document.date).days) > DAYS_APART:
        planned = planned_conditions(on, header.timezone, header.field.elevation_m)
        weather = read_part(Conditions, planned, name="the date")
    return header_told(day_id, store.days.move(day_id, header, weather, caller().name(), based_on=revision))
