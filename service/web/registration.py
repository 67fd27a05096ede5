"""Until when a launch day takes entries: to the end of its date, on the clocks of its own time zone."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from service.models.day import LaunchDay
from service.store.header import DayHeader
from service.web.errors import Misfit
from service.web.reader import now


def is_over(day: LaunchDay | DayHeader, at: datetime) -> bool:
    """Whether its date has passed where it is held."""
    return at.astimezone(ZoneInfo(day.timezone)).date() > day.date


def refuse_over(day: LaunchDay | DayHeader) -> None:
    """Refuse an entry on a launch day that is over.

    Raises
    ------
    Misfit
    """
    if is_over(day, now()):
        on = f"{day.date.day} {day.date:%B %Y}"
        raise Misfit(f"This launch day was on {on}: it takes no entries any more. Choose one that is to come.")
