"""Advice on one entry: the motor ladder, what clears the findings, and making such a change."""

from __future__ import annotations

from flask import Blueprint, Response, request

from service.models.advice import Fix, Ladder, Pick
from service.models.together import Together
from service.planning.advise.aims import picks
from service.planning.advise.files import ladder_svg
from service.store import Store
from service.web.access import access
from service.web.advice.apply import apply_fix
from service.web.advice.options import AIM_QUERY, OFFER_QUERY, number, read_offered
from service.web.advice.shown import with_left, with_shared
from service.web.advice.state import Advised, advised
from service.web.advice.tasks import Fixes, fixes_task, ladder_task
from service.web.api.entries import told as entry_told
from service.web.api.files import SVG, UNITS_QUERY, picture, read_units
from service.web.api.jobs import JobTold, result_of, started
from service.web.api.reading import answer, based_on, known_query
from service.web.api.shapes import EntryTold, Told
from service.web.api.verified import VERIFIED, as_read, verified
from service.web.callers import caller, the_store
from service.web.errors import Superseded
from service.web.openapi import PREFIX, described

bp = Blueprint("api_advice", __name__, url_prefix=f"{PREFIX}/days/<day_id>/entries/<entry_id>")


class AdviceTold(Told):
    """The motor ladder, and which motor serves which aim."""

    ladder: Ladder
    picks: list[Pick]


@bp.post("/advice")
@access("flyer", "rso", "organiser")
@described("Ask for the motor ladder", answers={200: JobTold, 202: JobTold}, query=OFFER_QUERY)
def ask_advice(day_id: str, entry_id: str) -> Response:
    """Flies every motor on offer that fits. 200 where that has been done for the entry as it stands.

    `adapters=no` leaves out motors thinner than the mount; `reloads` is by the flyer's experience unless said.
    """
    known_query(*OFFER_QUERY)
    return started(ladder_task(advised(the_store(), day_id, entry_id), read_offered(request.args)))


@bp.get("/advice")
@access("flyer", "rso", "organiser")
@described("The motor ladder", answers={200: AdviceTold}, query=AIM_QUERY | OFFER_QUERY)
def get_advice(day_id: str, entry_id: str) -> Response:
    """With `effect` and `altitude_m` these aims are served too. Pointers of changes start at the entry."""
    known_query(*AIM_QUERY, *OFFER_QUERY)
    asked, found, chosen = _found(day_id, entry_id)
    return answer(AdviceTold(ladder=with_left(found, asked), picks=chosen))


@bp.get("/advice/picture")
@access("flyer", "rso", "organiser")
@described("The motors, drawn", answers={200: None}, query=AIM_QUERY | OFFER_QUERY | UNITS_QUERY, gives=SVG)
def get_motors_picture(day_id: str, entry_id: str) -> Response:
    """In order of apogee, against the ceiling; `units` are those of the account unless said."""
    known_query(*AIM_QUERY, *OFFER_QUERY, *UNITS_QUERY)
    _asked, found, chosen = _found(day_id, entry_id)
    return picture(ladder_svg(found, chosen, read_units()), f"motors-{entry_id}")


def _found(day_id: str, entry_id: str) -> tuple[Advised, Ladder, list[Pick]]:
    """The ladder that the address asks for, and which motor serves which aim."""
    wanted = AIM_QUERY["altitude_m"]
    altitude_m = number(request.args, "altitude_m", wanted["minimum"], wanted["maximum"], "m above the field")
    effect = request.args.get("effect", "").strip()[: AIM_QUERY["effect"]["maxLength"]] or None
    asked = advised(the_store(), day_id, entry_id)
    found = result_of(ladder_task(asked, read_offered(request.args)), Ladder)
    return asked, found, list(picks(found, asked.day, effect=effect, altitude_m=altitude_m))


@bp.post("/fixes")
@access("flyer", "rso", "organiser")
@described("Ask what would clear the findings", answers={200: JobTold, 202: JobTold}, query=OFFER_QUERY)
def ask_fixes(day_id: str, entry_id: str) -> Response:
    """Seeks the smallest change for each. 200 where that has been done for the entry as it stands."""
    known_query(*OFFER_QUERY)
    return started(fixes_task(advised(the_store(), day_id, entry_id), read_offered(request.args)))


@bp.get("/fixes")
@access("flyer", "rso", "organiser")
@described("What would clear the findings", answers={200: Fixes}, query=OFFER_QUERY)
def get_fixes(day_id: str, entry_id: str) -> Response:
    """One fix a finding, in their order, and what they come to together; each was verified by a full assessment."""
    known_query(*OFFER_QUERY)
    asked = advised(the_store(), day_id, entry_id)
    return answer(with_shared(result_of(fixes_task(asked, read_offered(request.args)), Fixes), asked))


@bp.post("/fixes/<int:number>/apply")
@access("flyer", "rso", "organiser")
@described(
    "Make the change of a fix", answers={200: EntryTold}, etag=True, matched=True, problems=(409,),
    query=OFFER_QUERY | VERIFIED, needed=tuple(VERIFIED),
)  # fmt: skip
def make_fix(day_id: str, entry_id: str, number: int) -> Response:
    """Fixes are counted from 1; `assessment` is the one that the fix names. Refused once anything that it rests on has
    changed since it was read. A flyer cannot set a pad."""
    known_query(*OFFER_QUERY, *VERIFIED)
    sent = verified()
    store = the_store()
    asked = advised(store, day_id, entry_id)
    revision = based_on(asked.record.revision)
    fixes = result_of(fixes_task(asked, read_offered(request.args)), Fixes).fixes
    if not 1 <= number <= len(fixes):
        raise Superseded(f"Found {len(fixes)} fixes as things stand now; nothing was changed.")
    return _made(store, asked, fixes[number - 1], sent, revision)


@bp.post("/fixes/together/apply")
@access("flyer", "rso", "organiser")
@described(
    "Make the changes of the fixes together", answers={200: EntryTold}, etag=True, matched=True, problems=(409,),
    query=OFFER_QUERY | VERIFIED, needed=tuple(VERIFIED),
)  # fmt: skip
def make_together(day_id: str, entry_id: str) -> Response:
    """All that `together` names, or nothing; `assessment` is the one that it names. Refused once anything that it rests
    on has changed since it was read. A flyer sets no pad."""
    known_query(*OFFER_QUERY, *VERIFIED)
    sent = verified()
    store = the_store()
    asked = advised(store, day_id, entry_id)
    revision = based_on(asked.record.revision)
    together = result_of(fixes_task(asked, read_offered(request.args)), Fixes).together
    if together is None:
        raise Superseded("Nothing was flown together as things stand now; nothing was changed.")
    return _made(store, asked, together, sent, revision)


def _made(store: Store, asked: Advised, change: Fix | Together, sent: str, revision: int) -> Response:
    """The entry after a change that was read as it is now; `sent` is the assessment that the program read with it."""
    as_read(sent, change.assessment)
    apply_fix(store, asked, change, caller(), revision)
    kept = store.entries.get(asked.day_id, asked.entry.id)
    return answer(entry_told(kept), revision=kept.revision)
