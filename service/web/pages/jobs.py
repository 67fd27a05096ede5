"""Watching long work, and calling it off: the same for every kind. Guarded as the day or entry in the address is."""

from __future__ import annotations

from flask import Blueprint, jsonify, redirect
from werkzeug.wrappers import Response

from service.planning.weather.told import clock
from service.store import NotFound
from service.web.access import access
from service.web.answers import for_programs
from service.web.callers import the_store
from service.web.jobs import Job, jobs
from service.web.reader import now

bp = Blueprint("jobs", __name__)


@bp.get("/days/<day_id>/jobs/<job_id>")
@access("rso", "organiser")
def of_day(day_id: str, job_id: str):
    """How far a day's job is: JSON for the page that waits, the page itself for people."""
    return _told(job_at(job_id, day_id))


@bp.post("/days/<day_id>/jobs/<job_id>/cancel")
@access("rso", "organiser")
def cancel_of_day(day_id: str, job_id: str):
    """Call a day's job off."""
    return _cancelled(job_at(job_id, day_id))


@bp.get("/days/<day_id>/entries/<entry_id>/jobs/<job_id>")
@access("flyer", "rso", "organiser")
def of_entry(day_id: str, entry_id: str, job_id: str):
    """How far an entry's job is: JSON for the page that waits, the page itself for people."""
    return _told(job_at(job_id, day_id, entry_id))


@bp.post("/days/<day_id>/entries/<entry_id>/jobs/<job_id>/cancel")
@access("flyer", "rso", "organiser")
def cancel_of_entry(day_id: str, entry_id: str, job_id: str):
    """Call an entry's job off."""
    return _cancelled(job_at(job_id, day_id, entry_id))


def job_at(job_id: str, day_id: str, entry_id: str = "") -> Job:
    """The job, if it belongs to the day and entry in the address.

    Raises
    ------
    NotFound
        If it does not, was called off, or is no longer kept.
    """
    job = jobs().get(job_id)
    if job is None or (job.place.day_id, job.place.entry_id) != (day_id, entry_id):
        raise NotFound("found no such piece of work; what it rested on may have changed, or it was called off")
    return job


def _told(job: Job) -> Response:
    if not for_programs():
        return redirect(job.place.page, 303)
    watch, zone = job.watch, the_store().days.header(job.place.day_id).document.timezone
    at = clock(now(), zone, now())
    return jsonify(at=at, state=job.state, done=watch.done, total=watch.total, words=watch.words, ahead=job.ahead)


def _cancelled(job: Job) -> Response:
    jobs().cancel(job.id)
    return redirect(job.place.page, 303)
