"""A day planned: hours against entries, and an order to fly in."""

from __future__ import annotations

from flask import Blueprint, Response, request

from service.models.day_plan import DayPlan
from service.planning.day_plan.files import plan_svg
from service.web.access import access
from service.web.advice.options import PACE_QUERY, read_pace
from service.web.api.files import SVG, picture
from service.web.api.jobs import JobTold, result_of, started
from service.web.api.reading import answer, known_query
from service.web.openapi import PREFIX, described
from service.web.pages.day_plan import the_task

bp = Blueprint("api_day_plan", __name__, url_prefix=f"{PREFIX}/days/<day_id>/plan")


@bp.post("")
@access("rso", "organiser")
@described("Ask for a plan of the day", answers={200: JobTold, 202: JobTold}, query=PACE_QUERY)
def ask_plan(day_id: str) -> Response:
    """Of the hours still to come, for the entries that have not flown."""
    known_query(*PACE_QUERY)
    return started(the_task(day_id, read_pace(request.args)))


@bp.get("")
@access("rso", "organiser")
@described("The plan of the day", answers={200: DayPlan}, query=PACE_QUERY)
def get_plan(day_id: str) -> Response:
    """Which entry stands how in which hour, what limits it, an order, and what more wind changes."""
    known_query(*PACE_QUERY)
    return answer(result_of(the_task(day_id, read_pace(request.args)), DayPlan))


@bp.get("/picture")
@access("anyone")
@described("The plan of the day, drawn", answers={200: None}, query=PACE_QUERY, gives=SVG)
def get_plan_picture(day_id: str) -> Response:
    """Hours against entries, as everybody sees it on the page: without the flyers, and without what limits whom."""
    known_query(*PACE_QUERY)
    return picture(plan_svg(result_of(the_task(day_id, read_pace(request.args)), DayPlan)), f"plan-{day_id}")
