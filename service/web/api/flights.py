"""The flight log."""

from __future__ import annotations

from flask import Blueprint, Response, request, url_for

from service.store.flights import Flight, FlightRow
from service.web.access import access
from service.web.api.field_shapes import FlightTold, FlightVersion
from service.web.api.reading import answer, based_on, body, known_query, page_of
from service.web.api.shapes import Page
from service.web.callers import caller, the_store
from service.web.flight_log import amend, find_row, write_down
from service.web.openapi import PAGE, PREFIX, described
from service.web.reader import now

bp = Blueprint("api_flights", __name__, url_prefix=f"{PREFIX}/days/<day_id>/flights")
ANOTHER = {"another": {"type": "boolean", "default": False}}


@bp.get("")
@access("rso", "organiser")
@described("The flight log", answers={200: Page[FlightTold]}, query=PAGE)
def list_flights(day_id: str) -> Response:
    """In the order of writing, those written by mistake among them."""
    known_query(*PAGE)
    items, where = page_of(the_store().flights.all(day_id, mistakes=True))
    return answer(Page[FlightTold](items=[_told(each) for each in items], **where))


@bp.post("")
@access("rso", "organiser")
@described(
    "Write a flight into the log", body=Flight, answers={201: FlightTold}, query=ANOTHER, problems=(409,), etag=True
)
def add_flight(day_id: str) -> Response:
    """It keeps the entry's revision and the assessment that stood. One that the log seems to tell of already is
    refused, unless `another` says that it is another one. After a misfire or a hang-up just now it stands on its pad.
    """
    known_query(*ANOTHER)
    another = request.args.get("another") == "true"
    the_store().days.header(day_id)
    made = write_down(the_store(), day_id, body(Flight), caller().name(), now(), another=another)
    where = url_for("api_flights.get_flight", day_id=day_id, number=made.number)
    return answer(_told(made), 201, made.revision, Location=where)


@bp.get("/<int:number>")
@access("rso", "organiser")
@described("One flight of the log", answers={200: FlightTold}, etag=True)
def get_flight(day_id: str, number: int) -> Response:
    """By its number in the log."""
    known_query()
    row = find_row(the_store(), day_id, number)
    return answer(_told(row), revision=row.revision)


@bp.put("/<int:number>")
@access("rso", "organiser")
@described("Amend a flight", body=Flight, answers={200: FlightTold}, etag=True, matched=True)
def put_flight(day_id: str, number: int) -> Response:
    """An apogee read later, a rocket found; "mistake" where nothing of it happened. What was written before stays in
    its history. What is said now not to have left just before stands on its pad again.
    """
    known_query()
    before = find_row(the_store(), day_id, number)
    flight = body(Flight)
    row = amend(the_store(), day_id, before, flight, caller().name(), now(), based_on=based_on(before.revision))
    return answer(_told(row), revision=row.revision)


@bp.get("/<int:number>/history")
@access("rso", "organiser")
@described("What a flight read before", answers={200: Page[FlightVersion]}, query=PAGE)
def flight_history(day_id: str, number: int) -> Response:
    """Every revision, the latest first."""
    known_query(*PAGE)
    find_row(the_store(), day_id, number)
    items, where = page_of(the_store().flights.history(day_id, number)[::-1])
    lines = [FlightVersion(revision=e.revision, at=e.at, by=e.by, why=e.why, flight=e.document) for e in items]
    return answer(Page[FlightVersion](items=lines, **where))


def _told(row: FlightRow) -> FlightTold:
    return FlightTold(
        number=row.number,
        revision=row.revision,
        at=row.at,
        by=row.by,
        entry_revision=row.entry_revision,
        assessment=row.assessment_id,
        flight=row.flight,
    )
