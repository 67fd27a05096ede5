"""What the flight logs teach: the evidence, the pictures, and corrections that the organiser may accept."""

from __future__ import annotations

from collections.abc import Sequence

from flask import Blueprint, redirect, render_template, request, url_for
from markupsafe import Markup

from service.models.learning import Learning, Proposal
from service.planning.errors import DocumentRefused, Fault
from service.planning.learning import wording
from service.planning.learning.learn import left_out
from service.planning.learning.picture import apogee_match, landing_offsets, rocket_bias
from service.planning.learning.proposals import by_id
from service.planning.pictures import NARROW as ON_A_PHONE
from service.planning.pictures import svg_text
from service.store import TooLarge
from service.web.access import DOCUMENT_LIMIT, access
from service.web.callers import caller, the_store
from service.web.errors import Superseded
from service.web.jobs import Job, asker, jobs
from service.web.learning.state import Asked, add_log, asked_of, learning_task
from service.web.learning.taking import accept, correction_words, learnt, take_back
from service.web.organise import PARTS
from service.web.reader import now, units
from service.web.seen import seen_revision

bp = Blueprint("learning", __name__)

WIDE, NARROW = 520.0, ON_A_PHONE[0]


@bp.get("/days/<day_id>/learning")
@access("organiser")
def show(day_id: str):
    """What has been learnt from the flights as they stand, or what that would take; what was accepted before."""
    return _page(asked_of(the_store(), day_id, caller()))


@bp.post("/days/<day_id>/learning")
@access("organiser")
def start(day_id: str):
    """Fly the logs again and compare."""
    job = jobs().start(learning_task(asked_of(the_store(), day_id, caller())), asker(day_id))
    return redirect(job.place.page, 303)


@bp.post("/days/<day_id>/learning/accept")
@access("organiser")
def accept_one(day_id: str):
    """Put one proposal in force."""
    store = the_store()
    asked = asked_of(store, day_id, caller())
    based_on = seen_revision()
    proposal = proposed(jobs().find(learning_task(asked)), request.form.get("job", ""), request.form.get("id", ""))
    accept(store, asked, proposal, caller(), now(), based_on)
    _again(day_id)
    return redirect(url_for("learning.show", day_id=day_id, accepted=proposal.id), 303)


@bp.post("/days/<day_id>/learning/take-back")
@access("organiser")
def take_one_back(day_id: str):
    """Take back what was accepted."""
    store = the_store()
    asked = asked_of(store, day_id, caller())
    take_back(store, asked, request.form.get("what", ""), caller().name(), seen_revision())
    _again(day_id)
    return redirect(url_for("learning.show", day_id=day_id, back=1), 303)


@bp.post("/days/<day_id>/learning/log")
@access("organiser", body_limit=DOCUMENT_LIMIT)
def keep_log(day_id: str):
    """Add flights of before as a file, or take them away; every fault with its line and column."""
    store = the_store()
    asked = asked_of(store, day_id, caller())
    upload = request.files.get("file")
    data = upload.read() if upload is not None and "remove" not in request.form else b""
    name = (upload.filename if upload is not None else "") or "the file"
    try:
        if not data and "remove" not in request.form:
            raise DocumentRefused([Fault("", "no file", "a flight log as CSV or JSON")], name)
        add_log(store, asked, data, name, caller().name(), seen_revision())
    except DocumentRefused as refused:
        return _page(asked, faults=refused.faults), 422
    except TooLarge as error:
        return _page(asked, faults=[Fault("", str(error), "a shorter log")]), 413
    return redirect(url_for("learning.show", day_id=day_id), 303)


def _again(day_id: str) -> None:
    """Compare anew with what is in force now: whoever accepts one proposal may want to see the others."""
    jobs().start(learning_task(asked_of(the_store(), day_id, caller())), asker(day_id))


def proposed(job: Job | None, seen: str, wanted: str) -> Proposal:
    """The proposal, if it comes from what whoever asks has seen, and that still stands.

    Raises
    ------
    Superseded
        If not.
    """
    result = job.result if job is not None and job.id == seen else None
    if not isinstance(result, Learning):
        raise Superseded(
            "The flights, or what is in force, have changed since this was worked out; nothing was changed. "
            "Work it out again."
        )
    try:
        return by_id(result.proposals, wanted)
    except KeyError:
        raise Superseded("That is not put forward any more; nothing was changed.") from None


def _page(asked: Asked, faults: Sequence[Fault] = ()) -> str:
    store = the_store()
    job = jobs().find(learning_task(asked))
    found = job.result if job is not None and isinstance(job.result, Learning) else None
    taken = learnt(store.days.history(asked.day_id))
    return render_template(
        "learning.html", day_id=asked.day_id, day=asked.day, asked=asked, job=job, found=found, parts=PARTS,
        pictures=_pictures(found) if found else None, out=left_out(found) if found else (),
        corrections=[(each, correction_words(each)) for each in asked.day.corrections], taken=taken,
        just_accepted="accepted" in request.args, taken_back="back" in request.args,
        faults=faults, wording=wording,
    )  # fmt: skip


def _pictures(found: Learning) -> dict[str, tuple[Markup, Markup]]:
    made = {
        "apogees": lambda width: apogee_match(found, units(), width, 0.72 * width if width > NARROW else width + 20.0),
        "rockets": lambda width: rocket_bias(found, width),
        "landings": lambda width: landing_offsets(found, width, 400.0 if width > NARROW else width + 40.0),
    }
    return {
        name: (
            Markup(svg_text(draw(WIDE), f"{name}-wide")),
            Markup(svg_text(draw(NARROW), f"{name}-narrow")),
        )
        for name, draw in made.items()
    }
