"""Long work as the API tells it: what every kind shares."""

from __future__ import annotations

from typing import Literal, TypeVar

from flask import Blueprint, Response, url_for
from pydantic import BaseModel

from service.store import NotFound
from service.web.access import access
from service.web.api.reading import answer, known_query
from service.web.api.shapes import Told
from service.web.jobs import Job, Task, asker, jobs
from service.web.openapi import PREFIX, described
from service.web.pages.jobs import job_at

M = TypeVar("M", bound=BaseModel)
bp = Blueprint("api_jobs", __name__, url_prefix=f"{PREFIX}/days/<day_id>")


class JobTold(Told):
    """A piece of long work and how far it is."""

    id: str
    """The same for the same question."""
    kind: str
    state: Literal["waiting", "running", "done", "refused", "failed"]
    done: int
    total: int
    """0 until it is known."""
    words: str
    """What is at hand; why, where it is refused."""
    ahead: int
    """Pieces of work that come before it."""
    address: str
    """Where to ask how far it is; DELETE there calls it off."""
    result: str
    """Where its result is, once it is done."""


@bp.get("/jobs/<job_id>")
@access("rso", "organiser")
@described("How far a day's work is", answers={200: JobTold})
def get_job(day_id: str, job_id: str) -> Response:
    """Kept in memory only: a restart forgets it, and asking again brings it back."""
    known_query()
    return answer(told(job_at(job_id, day_id)))


@bp.delete("/jobs/<job_id>")
@access("rso", "organiser")
@described("Call a day's work off", answers={204: None})
def delete_job(day_id: str, job_id: str) -> Response:
    """Stops it, and forgets what has come of it."""
    known_query()
    jobs().cancel(job_at(job_id, day_id).id)
    return Response(status=204)


@bp.get("/entries/<entry_id>/jobs/<job_id>")
@access("flyer", "rso", "organiser")
@described("How far an entry's work is", answers={200: JobTold})
def get_entry_job(day_id: str, entry_id: str, job_id: str) -> Response:
    """Kept in memory only: a restart forgets it, and asking again brings it back."""
    known_query()
    return answer(told(job_at(job_id, day_id, entry_id)))


@bp.delete("/entries/<entry_id>/jobs/<job_id>")
@access("flyer", "rso", "organiser")
@described("Call an entry's work off", answers={204: None})
def delete_entry_job(day_id: str, entry_id: str, job_id: str) -> Response:
    """Stops it, and forgets what has come of it."""
    known_query()
    jobs().cancel(job_at(job_id, day_id, entry_id).id)
    return Response(status=204)


def started(task: Task) -> Response:
    """The answer to a POST that asks for work: 202 and where to look, or 200 where it is done already."""
    job = jobs().start(task, asker(task.place.day_id, task.place.entry_id))
    found = told(job)
    return answer(found, 200 if job.state == "done" else 202, Location=found.address)


def result_of(task: Task, kind: type[M]) -> M:
    """What came of a task as things stand now.

    Raises
    ------
    NotFound
        If there is none: it was not asked for, is not done yet, was refused, or what it rested on has changed.
    """
    job = jobs().find(task)
    if job is not None and job.state == "refused":
        raise NotFound(f"found no result as things stand now: {job.why}")
    if job is None or not isinstance(job.result, kind):
        raise NotFound("found no result as things stand now; POST here asks for it")
    return job.result


def told(job: Job) -> JobTold:
    """The job as the API tells it."""
    place = job.place
    if place.entry_id:
        address = url_for("api_jobs.get_entry_job", day_id=place.day_id, entry_id=place.entry_id, job_id=job.id)
    else:
        address = url_for("api_jobs.get_job", day_id=place.day_id, job_id=job.id)
    return JobTold(
        id=job.id, kind=job.kind, state=job.state, done=job.watch.done, total=job.watch.total,
        words=job.why if job.state == "refused" else job.watch.words, ahead=job.ahead, address=address,
        result=job.place.result,
    )  # fmt: skip
