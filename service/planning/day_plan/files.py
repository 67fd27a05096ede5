"""What a plan leaves in a folder: all of it as JSON, the hours as a picture."""

from __future__ import annotations

from collections.abc import Mapping

from reports.svg import svg_file
from service.models.day_plan import DayPlan
from service.planning.day_plan.picture import day_hours
from service.planning.pictures import WIDE

JSON, PICTURE = "plan.json", "plan.svg"


def plan_svg(plan: DayPlan) -> str:
    """The hours against the entries as a picture of its own."""
    return svg_file(day_hours(plan, WIDE[0]), "plan")


def plan_files(plan: DayPlan) -> Mapping[str, bytes]:
    """File names and contents."""
    return {JSON: (plan.model_dump_json(indent=1) + "\n").encode(), PICTURE: plan_svg(plan).encode()}
