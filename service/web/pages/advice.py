"""What would help one entry: which change clears a finding, which motor serves what its flyer wants."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, redirect, render_template, request, session, url_for

from service.models.advice import Ladder
from service.store import Conflict, Refused
from service.web.access import access
from service.web.advice.apply import apply_fix, apply_motor
from service.web.advice.options import AIM_QUERY, Offered, read_offered
from service.web.advice.shown import AIM_WORDS, effects, fixes_shown, ladder_shown
from service.web.advice.state import Advised, advised
from service.web.advice.tasks import Fixes, fixes_task, ladder_task
from service.web.callers import caller, the_store
from service.web.errors import Superseded
from service.web.forms import Form, FormField
from service.web.jobs import Task, asker, jobs
from service.web.pages.entries import may_mend
from service.web.reader import units
from service.web.seen import seen_revision

bp = Blueprint("advice", __name__)

LEAST_M, MOST_M = AIM_QUERY["altitude_m"]["minimum"], AIM_QUERY["altitude_m"]["maximum"]


@bp.get("/days/<day_id>/entries/<entry_id>/advice")
@access("flyer", "rso", "organiser")
def show(day_id: str, entry_id: str):
    """What has been worked out for the entry as it stands, or what that would take."""
    return _page(day_id, entry_id, read_offered(request.args))


def _page(day_id: str, entry_id: str, offered: Offered, notice: str = "") -> str:
    asked = advised(the_store(), day_id, entry_id)
    ladder, fixes = (jobs().find(task(asked, offered)) for task in (ladder_task, fixes_task))
    form = Form.read(_fields(asked), request.args, units(), asked.day.timezone)
    wanted = form.document()
    altitude_m = wanted.get("altitude_m")
    if altitude_m is not None and not LEAST_M <= altitude_m <= MOST_M:
        form.add("/altitude_m", f'found "{form.typed["/altitude_m"]}"; expected a height above the field')
        altitude_m = None
    shown = None
    if ladder is not None and isinstance(ladder.result, Ladder):
        shown = ladder_shown(ladder.result, asked, units(), wanted.get("effect") or None, altitude_m)
    mended = None
    if fixes is not None and isinstance(fixes.result, Fixes):
        mended = fixes_shown(fixes.result, asked)
    return render_template(
        "advice.html", day_id=day_id, day=asked.day, asked=asked, entry=asked.entry, ladder=ladder, fixes=fixes,
        offered=offered, choices=OFFERS,
        notice=notice, shown=shown, mended=mended, form=form, effects=effects(asked), aim_words=AIM_WORDS,
        may_mend=may_mend(day_id, entry_id), may_change=_may_change(day_id, entry_id),
        may_set_pad=bool(caller().roles(day_id) & {"rso", "organiser"}),
    )  # fmt: skip


OFFERS = {
    "adapters": ("Motors thinner than the mount, in an adapter", (("yes", "may be used"), ("no", "are left out"))),
    "reloads": (
        "Reloads",
        (("by_experience", "by the flyer's experience"), ("yes", "may be used"), ("no", "are left out")),
    ),
}


def _fields(asked: Advised) -> tuple[FormField, ...]:
    choices = (("", "any"), *((each, each) for each in effects(asked)))
    return (
        FormField("/effect", "Effect", "choice", choices=choices),
        FormField("/altitude_m", "Altitude to reach, above the field", "number", quantity="length", optional=True),
    )


def _may_change(day_id: str, entry_id: str) -> bool:
    """Whether who looks may make a change of the entry here: its flyer until it is ruled on, and who runs the day."""
    return bool(caller().roles(day_id) & {"rso", "organiser"}) or may_mend(day_id, entry_id)


@bp.post("/days/<day_id>/entries/<entry_id>/advice")
@access("flyer", "rso", "organiser")
def start(day_id: str, entry_id: str):
    """Work it out: the motors first, which takes seconds, then what would clear the findings."""
    asked, offered = advised(the_store(), day_id, entry_id), read_offered(request.form)
    for task in (ladder_task(asked, offered), fixes_task(asked, offered)):
        jobs().start(task, asker(day_id, entry_id))
    where: dict[str, Any] = {"day_id": day_id, "entry_id": entry_id, **offered.query}
    return redirect(url_for("advice.show", **where), 303)


@bp.post("/days/<day_id>/entries/<entry_id>/fixes/<int:number>/apply")
@access("flyer", "rso", "organiser")
def apply(day_id: str, entry_id: str, number: int):
    """Make the change that clears a finding. It is assessed anew by itself."""
    store = the_store()
    asked, offered = advised(store, day_id, entry_id), read_offered(request.form)
    try:
        fixes = same_job(fixes_task(asked, offered), entry_id).fixes
        if not 1 <= number <= len(fixes):
            raise Superseded("There is no such change any more; nothing was changed.")
        apply_fix(store, asked, fixes[number - 1], caller(), seen_revision())
    except NOT_MADE as error:
        return _page(day_id, entry_id, offered, why_not(error)), status_of(error)
    fix = fixes[number - 1]
    return applied(day_id, entry_id, " ".join((fix.words, *fix.notes)))


@bp.post("/days/<day_id>/entries/<entry_id>/fixes/together/apply")
@access("flyer", "rso", "organiser")
def apply_together(day_id: str, entry_id: str):
    """Make all the changes that were flown together. It is assessed anew by itself."""
    store = the_store()
    asked, offered = advised(store, day_id, entry_id), read_offered(request.form)
    try:
        together = same_job(fixes_task(asked, offered), entry_id).together
        if together is None:
            raise Superseded("Nothing was flown together; nothing was changed.")
        apply_fix(store, asked, together, caller(), seen_revision())
    except NOT_MADE as error:
        return _page(day_id, entry_id, offered, why_not(error)), status_of(error)
    return applied(day_id, entry_id, " ".join((together.words, *together.notes)))


@bp.post("/days/<day_id>/entries/<entry_id>/advice/motor")
@access("flyer", "rso", "organiser")
def take_motor(day_id: str, entry_id: str):
    """Fly the entry on a motor of the ladder, with the delay that was chosen for it."""
    store = the_store()
    asked, offered = advised(store, day_id, entry_id), read_offered(request.form)
    try:
        ladder: Ladder = same_job(ladder_task(asked, offered), entry_id)
        rung = next((each for each in ladder.rungs if each.motor == request.form.get("motor")), None)
        if rung is None:
            raise Superseded("That motor is not on the ladder any more; nothing was changed.")
        apply_motor(store, asked, rung, caller(), seen_revision())
    except NOT_MADE as error:
        return _page(day_id, entry_id, offered, why_not(error)), status_of(error)
    return applied(day_id, entry_id, f"It flies on {rung.name} now.")


def same_job(task: Task, entry_id: str) -> Any:
    """The result, if it is the one that whoever asks has seen, and what it rests on stands as it was.

    Raises
    ------
    Superseded
        If not.
    """
    job = jobs().find(task)
    if job is None or job.state != "done" or job.id != request.form.get("job"):
        raise Superseded(
            f"{entry_id}, its pad, the field, the motors or the conditions have changed since this was worked out; "
            "nothing was changed. Work it out again."
        )
    return job.result


NOT_MADE = (Superseded, Conflict, Refused)


def why_not(error: Exception) -> str:
    """Why a change was not made, for the page that offered it."""
    if isinstance(error, Conflict):
        since = "; ".join(f"{each.by} at {each.at[11:16]} UTC" for each in error.since)
        return f"It has been changed since{f' by {since}' if since else ''}; nothing was changed. Work it out again."
    if isinstance(error, Refused):
        return "Not changed: " + "; ".join(f"found {each.found}, expected {each.expected}" for each in error.problems)
    return str(error)


def status_of(error: Exception) -> int:
    """The status that goes with it."""
    return 422 if isinstance(error, Refused) else 409


def applied(day_id: str, entry_id: str, words: str):
    """To the entry, which says what was just changed and is assessed anew."""
    session["applied"] = [entry_id, words[:500]]
    return redirect(url_for("entries.show", day_id=day_id, entry_id=entry_id), 303)
