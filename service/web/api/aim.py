"""Where to aim one entry's guide, and setting its pad so."""

from __future__ import annotations

from flask import Blueprint, Response, request

from service.models.aiming import Aiming
from service.planning.aim.files import aim_svg
from service.planning.errors import Fault
from service.web.access import access
from service.web.advice.apply import apply_aim
from service.web.advice.options import TARGET_QUERY, read_target
from service.web.advice.state import advised
from service.web.advice.tasks import aim_task
from service.web.api.days import told as header_told
from service.web.api.files import SVG, UNITS_QUERY, picture, read_units
from service.web.api.jobs import JobTold, result_of, started
from service.web.api.reading import answer, based_on, known_query
from service.web.api.shapes import HeaderTold
from service.web.api.verified import VERIFIED, as_read, verified
from service.web.callers import caller, the_store
from service.web.errors import Misfit
from service.web.openapi import PREFIX, described

bp = Blueprint("api_aim", __name__, url_prefix=f"{PREFIX}/days/<day_id>/entries/<entry_id>/aim")
WHICH = ("found", "milder")


@bp.post("")
@access("flyer", "rso", "organiser")
@described("Ask where to aim", answers={200: JobTold, 202: JobTold}, query=TARGET_QUERY)
def ask_aim(day_id: str, entry_id: str) -> Response:
    """The target is the pad, the middle of the open ground, or with `to=place` what `lon` and `lat` say."""
    known_query(*TARGET_QUERY)
    target = read_target(request.args)
    return started(aim_task(advised(the_store(), day_id, entry_id), target))


@bp.get("")
@access("flyer", "rso", "organiser")
@described("Where to aim", answers={200: Aiming}, query=TARGET_QUERY)
def get_aim(day_id: str, entry_id: str) -> Response:
    """The setting, what it gains, and the one not to be used."""
    known_query(*TARGET_QUERY)
    target = read_target(request.args)
    asked = advised(the_store(), day_id, entry_id)
    found = result_of(aim_task(asked, target), Aiming)
    return answer(found.model_copy(update={"pad_shared_with": asked.shared}))


@bp.get("/picture")
@access("flyer", "rso", "organiser")
@described("Where to aim, drawn", answers={200: None}, query=TARGET_QUERY | UNITS_QUERY, gives=SVG)
def get_aim_picture(day_id: str, entry_id: str) -> Response:
    """Landing against setting, on the field; `units` are those of the account unless said."""
    known_query(*TARGET_QUERY, *UNITS_QUERY)
    asked = advised(the_store(), day_id, entry_id)
    found = result_of(aim_task(asked, read_target(request.args)), Aiming)
    return picture(aim_svg(asked.day, found, read_units()), f"aim-{entry_id}")


@bp.post("/apply")
@access("rso", "organiser")
@described(
    "Set the pad as aimed", answers={200: HeaderTold}, etag=True, matched=True, problems=(409,),
    query={**TARGET_QUERY, "which": {"type": "string", "enum": list(WHICH), "default": "found"}, **VERIFIED},
    needed=tuple(VERIFIED),
)  # fmt: skip
def make_aim(day_id: str, entry_id: str) -> Response:
    """`which=milder` takes the setting that makes no finding worse; `assessment` is the one that the setting names.
    Refused once anything that it rests on has changed since. If-Match names the revision of the day's header."""
    known_query(*TARGET_QUERY, "which", *VERIFIED)
    sent = verified()
    which, target = request.args.get("which", "found"), read_target(request.args)
    if which not in WHICH:
        raise Misfit(f'which: found "{which[:60]}".', [Fault("/which", f'"{which[:60]}"', "found or milder")])
    store = the_store()
    asked = advised(store, day_id, entry_id)
    revision = based_on(asked.header_revision)
    aiming = result_of(aim_task(asked, target), Aiming)
    chosen = aiming.milder if which == "milder" else aiming
    as_read(sent, chosen.assessment if chosen else None)
    apply_aim(store, asked, aiming, which == "milder", caller(), revision)
    return header_told(day_id, store.days.header(day_id))
