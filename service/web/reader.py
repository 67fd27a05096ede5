"""The reader's choices and the words that depend on them: units, times with their zone, ages."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from flask import current_app, g, request
from markupsafe import Markup

from service.models.conditions import Conditions
from service.models.policy import Policy
from service.planning.new_day import is_measured
from service.planning.quantities import Units
from service.planning.weather.times import AHEAD_MIN
from service.web.callers import caller

COOKIE = "units"
COOKIE_S = 400 * 24 * 3600
UNIT_WORDS: dict[Units, str] = {"si": "metric (SI)", "us": "US customary"}


def units() -> Units:
    """The reader's units: the account's, else this browser's, else SI."""
    if "units" not in g:
        person = caller().person
        chosen = person.units if person else request.cookies.get(COOKIE, "si")
        g.units = "us" if chosen == "us" else "si"
    return g.units


def now() -> datetime:
    """The time by the service's clock."""
    return current_app.config["RANGEHAND"].clock()


def when(moment: datetime | str, zone: str, *, seconds: bool = False) -> Markup:
    """A time with its zone, the day named unless it is today there. Without a zone it keeps the offset it came with."""
    at = datetime.fromisoformat(moment) if isinstance(moment, str) else moment
    place = ZoneInfo(zone) if zone else at.tzinfo
    local = at.astimezone(place)
    today = now().astimezone(place).date()
    day = "" if local.date() == today else f"{local.day} {local:%B %Y}, "
    text = f"{day}{local:%H:%M:%S}" if seconds else f"{day}{local:%H:%M}"
    name = local.tzname() or ""
    if name[:1] in "+-" or not name or not zone:
        name = f"UTC{local:%z}"
    return Markup('<time datetime="{}">{} {}</time>').format(local.isoformat(timespec="seconds"), text, name)


@dataclass(frozen=True)
class Age:
    """How old conditions are, and whether that is too old to rule by; without a reading they always are."""

    minutes: float
    stale: bool
    words: str
    measured: bool = True


def age_of(conditions: Conditions, policy: Policy, at: datetime) -> Age:
    """The age of conditions at a moment. A reading from the future is stale too: its time is wrong."""
    minutes = (at - conditions.observed_at).total_seconds() / 60.0
    if not is_measured(conditions):
        return Age(minutes, True, "not measured yet", measured=False)
    future = minutes < -AHEAD_MIN
    words = f"{duration(-minutes)} ahead of now" if future else f"{duration(max(minutes, 0.0))} old"
    return Age(minutes, future or minutes > policy.conditions_max_age_min, words)


def duration(minutes: float) -> str:
    """A time span in words.

    >>> duration(0.4), duration(12.2), duration(130.0), duration(3000.0)
    ('less than 1 min', '12 min', '2 h 10 min', '2 days')
    """
    if minutes < 1.0:
        return "less than 1 min"
    if minutes < 90.0:
        return f"{minutes:.0f} min"
    if minutes < 48 * 60.0:
        hours, rest = divmod(round(minutes), 60)
        return f"{hours} h" + (f" {rest} min" if rest else "")
    return f"{minutes / 1440.0:.0f} days"
