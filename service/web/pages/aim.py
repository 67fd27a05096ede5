"""Where to aim one entry's guide: the setting found, what it gains, the one not to be used; set by those who may."""

from __future__ import annotations

from flask import Blueprint, redirect, render_template, request
from markupsafe import Markup

from service.models.aiming import Aiming
from service.planning.aim.picture import aim_picture
from service.planning.aim.wording import setting_words
from service.planning.pictures import NARROW, WIDE, svg_text
from service.web.access import access
from service.web.advice.apply import apply_aim
from service.web.advice.options import Target, read_target
from service.web.advice.state import advised
from service.web.advice.tasks import aim_task
from service.web.callers import caller, the_store
from service.web.jobs import asker, jobs
from service.web.pages.advice import NOT_MADE, applied, same_job, status_of, why_not
from service.web.reader import units
from service.web.seen import seen_revision

bp = Blueprint("aim", __name__)


@bp.get("/days/<day_id>/entries/<entry_id>/aim")
@access("flyer", "rso", "organiser")
def show(day_id: str, entry_id: str):
    """The setting for the target in the address, or what it would take to find it."""
    return _page(day_id, entry_id, read_target(request.args))


def _page(day_id: str, entry_id: str, target: Target, notice: str = "") -> str:
    asked = advised(the_store(), day_id, entry_id)
    task = aim_task(asked, target)
    job = jobs().find(task)
    aiming = job.result if job is not None and isinstance(job.result, Aiming) else None
    pictures = None
    if aiming is not None:
        pictures = [
            Markup(svg_text(aim_picture(asked.day, aiming, units(), *size), f"aim-{name}"))
            for size, name in ((WIDE, "wide"), (NARROW, "narrow"))
        ]
    return render_template(
        "aim.html", day_id=day_id, day=asked.day, asked=asked, entry=asked.entry, target=target, notice=notice, job=job,
        aiming=aiming, pictures=pictures, setting_words=setting_words,
        pad=asked.day.pad_by_name(asked.entry.pad),
        may_set_pad=bool(caller().roles(day_id) & {"rso", "organiser"}),
    )  # fmt: skip


@bp.post("/days/<day_id>/entries/<entry_id>/aim")
@access("flyer", "rso", "organiser")
def start(day_id: str, entry_id: str):
    """Find the setting for the target in the form."""
    asked, target = advised(the_store(), day_id, entry_id), read_target(request.form)
    job = jobs().start(aim_task(asked, target), asker(day_id, entry_id))
    return redirect(job.place.page, 303)


@bp.post("/days/<day_id>/entries/<entry_id>/aim/apply")
@access("rso", "organiser")
def apply(day_id: str, entry_id: str):
    """Set the pad as found. Every entry on it is assessed anew."""
    store = the_store()
    asked, target = advised(store, day_id, entry_id), read_target(request.form)
    milder = request.form.get("which") == "milder"
    try:
        aiming: Aiming = same_job(aim_task(asked, target), entry_id)
        apply_aim(store, asked, aiming, milder, caller(), seen_revision())
    except NOT_MADE as error:
        return _page(day_id, entry_id, target, why_not(error)), status_of(error)
    return applied(day_id, entry_id, aiming.milder.words if milder and aiming.milder else aiming.words)
