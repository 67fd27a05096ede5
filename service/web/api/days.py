"""Launch days: list, header, whole document in and out."""

from __future__ import annotations

import json

from flask import Blueprint, Response, url_for

from service.models.day import LaunchDay
from service.planning.check import read_day
from service.store.header import DayHeader
from service.store.versions import Version
from service.web.access import DOCUMENT_LIMIT, access
from service.web.api.reading import answer, based_on, body, document_bytes, known_query, page_of
from service.web.api.shapes import DayMade, DayTold, HeaderTold, Page
from service.web.background import reassessor
from service.web.callers import caller, the_store
from service.web.openapi import PAGE, PREFIX, described

bp = Blueprint("api_days", __name__, url_prefix=PREFIX)


@bp.get("/days")
@access("anyone")
@described("Launch days", answers={200: Page[DayTold]}, query=PAGE)
def list_days() -> Response:
    """Every launch day, the latest first."""
    known_query(*PAGE)
    items, where = page_of(the_store().days.all())
    lines = [DayTold(id=day.id, name=day.name, date=day.date, entries=day.entries) for day in items]
    return answer(Page[DayTold](items=lines, **where))


@bp.post("/days")
@access("organiser", body_limit=DOCUMENT_LIMIT)
@described("Import a launch day", body=LaunchDay, answers={201: DayMade}, problems=(409,))
def import_day() -> Response:
    """Keep a whole launch-day document as a new launch day. Entries take their motors from the stock while it lasts."""
    known_query()
    day_id = the_store().import_day(read_day(document_bytes(), "the body"), caller().name())
    reassessor().kick(day_id)
    made = DayMade(id=day_id, without_stock=list(the_store().entries.without_stock(day_id)))
    return answer(made, 201, Location=url_for("api_days.get_day", day_id=day_id))


@bp.get("/days/<day_id>")
@access("anyone")
@described("One launch day's header", answers={200: HeaderTold}, etag=True)
def get_day(day_id: str) -> Response:
    """Field, ceiling, codes, local rules and policy."""
    known_query()
    return told(day_id, the_store().days.header(day_id))


@bp.put("/days/<day_id>")
@access("organiser", body_limit=DOCUMENT_LIMIT)
@described("Change a launch day's header", body=DayHeader, answers={200: HeaderTold}, etag=True, matched=True)
def put_day(day_id: str) -> Response:
    """Replace the header. Refused where it contradicts conditions, motors or entries."""
    known_query()
    store = the_store()
    header = body(DayHeader)
    revision = based_on(store.days.header(day_id).revision)
    hold_against_day(day_id, header)
    return told(day_id, store.days.update(day_id, header, caller().name(), based_on=revision))


def hold_against_day(day_id: str, header: DayHeader) -> None:
    """Read the whole document with a new header as if it came from outside: its shapes and rules are checked too."""
    whole = json.loads(the_store().day_document(day_id).model_dump_json(by_alias=True))
    read_day(json.dumps(whole | json.loads(header.model_dump_json(by_alias=True))).encode(), "the header")


def told(day_id: str, version: Version[DayHeader]) -> Response:
    """A header as the API tells it."""
    made = HeaderTold(id=day_id, revision=version.revision, at=version.at, by=version.by, header=version.document)
    return answer(made, revision=version.revision)
