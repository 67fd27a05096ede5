"""Higher ceilings that are entered and do not count at a moment, and what would make them: said where one binds."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from service.models.ceiling import Ceiling, in_force
from service.models.day import LaunchDay


def not_counted(day: LaunchDay, when: datetime) -> str:
    """Of every ceiling that would permit more than the one in force, and is not over: why it is not counted.

    One that waits for something to be done permits nothing yet. One that holds already lies over a lower one that
    holds too, and the lowest counts until its window is cut around the other. '' where there is none of either.
    """
    elevation_m = day.field.elevation_m
    binding = in_force(day.ceilings, when, elevation_m)
    said = []
    for each in day.ceilings:
        over = each.to_at is not None and each.to_at <= when
        lower = binding is not None and each.height_agl_m(elevation_m) <= binding.height_agl_m(elevation_m)
        if over or lower:
            continue
        if each.condition is not None:
            also = "" if binding is None else ", and only where the lower one is cut around its window"
            said.append(f"{called(each, day)} is NOT counted: it needs {each.condition.rstrip('.')}{also}")
        elif each.holds_at(when):
            said.append(f"{called(each, day)} is NOT counted: a lower one holds over the same time, and binds")
    return "; ".join(said)


def called(ceiling: Ceiling, day: LaunchDay) -> str:
    """A ceiling as it is named: `the ceiling of 2,200 m MSL from 10:00 until 12:00`."""
    zone = ZoneInfo(day.timezone)
    opens, closes = (f"{at.astimezone(zone):%H:%M}" if at else "" for at in (ceiling.from_at, ceiling.to_at))
    window = (f" from {opens}" if opens else "") + (f" until {closes}" if closes else "")
    return f"the ceiling of {ceiling.height_m:,.0f} m {ceiling.datum.upper()}{window}"
