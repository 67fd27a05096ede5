"""A launch day that is just being planned: what it starts with, from nothing or after an earlier one."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from service.models.conditions import Conditions
from service.models.crosscheck import standard_pressure_hpa
from service.models.day import LaunchDay

NOT_MEASURED = "not measured: standard air and a wind to plan with, until a reading is entered"
PLANNED_WIND_MPS = 4.0
KEPT = ("codes", "local_rules", "policy", "mode_chances")


def planned_conditions(on: date, timezone: str, elevation_m: float, from_deg: float = 270.0) -> dict[str, Any]:
    """Weather to plan with. It is dated a day before the day begins: too old to rule by at any hour of it.

    Standard air at the field's height (U.S. Standard Atmosphere, 1976), and the same wind at all heights.
    """
    before = datetime.combine(on, time(), ZoneInfo(timezone)) - timedelta(days=1, minutes=1)
    wind = {"speed_mps": PLANNED_WIND_MPS, "from_deg": from_deg}
    return {
        "observed_at": before.isoformat(),
        "source": NOT_MEASURED,
        "temperature_c": round(15.0 - 0.0065 * elevation_m, 1),
        "pressure_hpa": round(standard_pressure_hpa(elevation_m), 1),
        "wind": [{"height_m": 2.0, **wind}, {"height_m": 3000.0, **wind}],
    }


def is_measured(conditions: Conditions) -> bool:
    """Whether somebody has entered a reading, or it is still the weather that the day began with."""
    return not conditions.source.startswith(NOT_MEASURED)


def after(earlier: LaunchDay) -> dict[str, Any]:
    """What a new day takes over from an earlier one: field, ceilings without windows, codes, policy, motors.

    Windows, ticks, entries and weather belong to their own day and are left behind.
    """
    document = earlier.model_dump(mode="json", by_alias=True)
    ceilings = document["ceiling"] if isinstance(document["ceiling"], list) else [document["ceiling"]]
    lasting = [each for each in ceilings if each.get("from") is None and each.get("to") is None] or ceilings[:1]
    return {
        "field": document["field"],
        "ceiling": [{**each, "from": None, "to": None} for each in lasting],
        **{name: document[name] for name in KEPT},
        "motors": document["motors"],
    }
