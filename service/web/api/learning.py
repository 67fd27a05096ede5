"""What the flight logs teach, accepting a proposal, taking one back."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, Response, request

from service.models.flight_log import FlightLog
from service.models.learning import Learning
from service.planning.learning.log_files import write_log
from service.planning.learning.picture import PICTURES, learning_svg
from service.planning.learning.proposals import by_id
from service.store import NotFound
from service.web.access import DOCUMENT_LIMIT, access
from service.web.api.days import told as header_told
from service.web.api.files import SVG, UNITS_QUERY, picture, read_units
from service.web.api.jobs import JobTold, result_of, started
from service.web.api.reading import answer, based_on, body, known_query
from service.web.api.shapes import HeaderTold
from service.web.callers import caller, the_store
from service.web.learning.state import add_log, added_log, asked_of, learning_task
from service.web.learning.taking import accept, take_back
from service.web.openapi import PREFIX, described
from service.web.reader import now

bp = Blueprint("api_learning", __name__, url_prefix=f"{PREFIX}/days/<day_id>/learning")
APOGEES = "apogees"
WHICH: dict[str, dict[str, Any]] = {"which": {"type": "string", "enum": list(PICTURES), "default": APOGEES}}
TEXT = {"type": "string", "maxLength": 160}


@bp.post("")
@access("organiser")
@described("Ask what the flight logs teach", answers={200: JobTold, 202: JobTold})
def ask_learning(day_id: str) -> Response:
    """The flights of every launch day that the caller runs are flown again and compared."""
    known_query()
    return started(learning_task(asked_of(the_store(), day_id, caller())))


@bp.get("")
@access("organiser")
@described("What the flight logs teach", answers={200: Learning}, problems=(422,))
def get_learning(day_id: str) -> Response:
    """Bias and spread with their intervals, flights left out and why, and what is put forward."""
    known_query()
    return answer(result_of(learning_task(asked_of(the_store(), day_id, caller())), Learning))


@bp.get("/picture")
@access("organiser")
@described(
    "What the flight logs teach, drawn", answers={200: None}, problems=(422,), query=WHICH | UNITS_QUERY, gives=SVG
)  # fmt: skip
def get_learning_picture(day_id: str) -> Response:
    """Apogees against estimates, their ratio by rocket, or landing points; `units` are the account's unless said."""
    known_query(*WHICH, *UNITS_QUERY)
    found = result_of(learning_task(asked_of(the_store(), day_id, caller())), Learning)
    which = request.args.get("which", APOGEES)
    return picture(learning_svg(found, which, read_units()), f"learning-{which}-{day_id}")


@bp.get("/log")
@access("organiser")
@described("The added log", answers={200: FlightLog}, etag=True)
def get_log(day_id: str) -> Response:
    """Flights of before that were added to the day's own log as a file; none where nothing was added."""
    known_query()
    log, revision = added_log(the_store(), day_id)
    return answer(log, revision=revision)


@bp.put("/log")
@access("organiser", body_limit=DOCUMENT_LIMIT)
@described("Replace the added log", body=FlightLog, answers={200: FlightLog}, etag=True, matched=True)
def put_log(day_id: str) -> Response:
    """Of entries of this day. No flights take the added log away. If-Match names the ETag of the log."""
    known_query()
    store = the_store()
    sent = body(FlightLog, name="the log")
    asked = asked_of(store, day_id, caller())
    data = write_log(sent).encode() if sent.flights else b""
    add_log(store, asked, data, "the log", caller().name(), based_on(asked.log_revision))
    log, revision = added_log(store, day_id)
    return answer(log, revision=revision)


@bp.post("/accept")
@access("organiser")
@described(
    "Accept a proposal", answers={200: HeaderTold}, etag=True, matched=True, problems=(409,),
    query={"id": {**TEXT, "default": ""}},
)  # fmt: skip
def accept_proposal(day_id: str) -> Response:
    """`id` names it. If-Match names the revision of the day's header. Recorded with its evidence."""
    known_query("id")
    store = the_store()
    asked = asked_of(store, day_id, caller())
    revision = based_on(asked.header.revision)
    found = result_of(learning_task(asked), Learning)
    wanted = request.args.get("id", "")
    try:
        proposal = by_id(found.proposals, wanted)
    except KeyError:
        known = ", ".join(each.id for each in found.proposals) or "none"
        raise NotFound(f'found no proposal "{wanted[:80]}", expected one of: {known}') from None
    accept(store, asked, proposal, caller(), now(), revision)
    return header_told(day_id, store.days.header(day_id))


@bp.post("/take-back")
@access("organiser")
@described(
    "Take back what was accepted", answers={200: HeaderTold}, etag=True, matched=True, problems=(409,),
    query={"what": {**TEXT, "default": ""}},
)  # fmt: skip
def take_proposal_back(day_id: str) -> Response:
    """`what` is "drag" for the correction of all rockets, "drag NAME" for that of one, or the id of a proposal."""
    known_query("what")
    store = the_store()
    asked = asked_of(store, day_id, caller())
    take_back(store, asked, request.args.get("what", ""), caller().name(), based_on(asked.header.revision))
    return header_told(day_id, store.days.header(day_id))
