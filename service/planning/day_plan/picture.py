"""The plan as a picture: what the drawing needs, taken from the plan."""

from __future__ import annotations

from reports.drawings.day_hours import HourCell, HourRow, day_hours_picture
from reports.scene import Scene
from service.models.day_plan import DayPlan


def day_hours(plan: DayPlan, width: float) -> Scene:
    """Hours against entries, for page and paper; the height follows from the number of entries."""
    flies = {(each.entry, each.hour): each.label for each in plan.order}
    rows = tuple(
        HourRow(
            name=f"{row.entry} {row.rocket}",
            cells=tuple(
                HourCell(cell.standing, cell.stronger, flies.get((row.entry, number), ""), cell.called)
                for number, cell in enumerate(row.cells)
            ),
        )
        for row in plan.rows
    )
    hours = tuple(hour.label for hour in plan.hours)
    return day_hours_picture(hours, rows, f"{plan.stronger_by_mps:g} m/s more wind", width)
