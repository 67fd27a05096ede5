"""A day planned: hours against entries, an order to fly in, what more wind changes.

Everybody sees the picture and the order, without names and without what limits whom; those who run the day see all.
"""

from __future__ import annotations

from itertools import groupby

from flask import Blueprint, redirect, render_template, request
from markupsafe import Markup

from service.models.day_plan import DayPlan, PlanRow
from service.models.finding import Standing
from service.planning.day_plan.picture import day_hours
from service.planning.day_plan.wording import call_lines
from service.planning.pictures import NARROW, WIDE, svg_text
from service.web.access import access
from service.web.advice.options import PACE_QUERY, Pace, read_pace
from service.web.advice.tasks import plan_task
from service.web.callers import caller, the_store
from service.web.jobs import Task, asker, jobs
from service.web.reader import now

bp = Blueprint("day_plan", __name__)

PICTURE_WIDE, PICTURE_NARROW = WIDE[0], NARROW[0]


@bp.get("/days/<day_id>/plan")
@access("anyone")
def show(day_id: str):
    """The plan for the day as it stands, or what it takes to make one."""
    pace = read_pace(request.args)
    job = jobs().find(the_task(day_id, pace))
    plan = job.result if job is not None and isinstance(job.result, DayPlan) else None
    pictures = None
    if plan is not None:
        pictures = [
            Markup(svg_text(day_hours(plan, width), f"hours-{name}"))
            for width, name in ((PICTURE_WIDE, "wide"), (PICTURE_NARROW, "narrow"))
        ]
    return render_template(
        "plan.html", day_id=day_id, day=the_store().day_document(day_id), pace=pace, bounds=PACE_QUERY, job=job,
        plan=plan, pictures=pictures, limits=limits(plan) if plan else (),
        calls=tuple(call_lines(plan.order)) if plan else (),
        runs=bool(caller().roles(day_id) & {"rso", "organiser"}),
    )  # fmt: skip


@bp.post("/days/<day_id>/plan")
@access("rso", "organiser")
def start(day_id: str):
    """Plan the hours still to come."""
    job = jobs().start(the_task(day_id, read_pace(request.form)), asker(day_id))
    return redirect(job.place.page, 303)


def the_task(day_id: str, pace: Pace) -> Task:
    """What planning the day as it stands is."""
    store = the_store()
    flown = frozenset(row.flight.entry for row in store.flights.all(day_id) if row.flight.happened != "misfire")
    return plan_task(day_id, store.day_document(day_id), flown, pace, now())


def limits(plan: DayPlan) -> list[tuple[PlanRow, list[tuple[str, Standing, str]]]]:
    """By entry, hours in a row with one standing and one rule that decides; clear hours say nothing."""
    found = []
    for row in plan.rows:
        runs: list[tuple[str, Standing, str]] = []
        for _, group in groupby(range(len(row.cells)), lambda n: (row.cells[n].standing, row.cells[n].rules[:1])):  # noqa: B023
            hours = list(group)
            cell = row.cells[hours[0]]
            if cell.standing != "clear":
                first, last = plan.hours[hours[0]].label, plan.hours[hours[-1]].label
                runs.append((first if first == last else f"{first} to {last}", cell.standing, cell.limits))
        if runs:
            found.append((row, runs))
    return found
