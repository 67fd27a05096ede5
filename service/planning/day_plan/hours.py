"""The forecast as stretches of the day, cut where a ceiling's window opens or closes, and the same in more wind."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

from service.models.conditions import SURFACE_HEIGHT_M, SURFACE_SPEED_LIMIT_MPS, Conditions
from service.models.day import LaunchDay

USUAL = timedelta(hours=1)  # the last hour's length, where one line is all there is
LONGEST = timedelta(hours=3)  # a forecast line speaks for no longer (common step of published forecasts)
ALL_PAST = "every hour of the forecast is past; a newer one is needed to plan what is left"
SWIFTEST_MPS = 120.0  # of a wind level in the document


@dataclass(frozen=True)
class Hour:
    """From start to end these conditions are forecast; they are dated to a moment when its ceilings hold."""

    start: datetime
    end: datetime
    conditions: Conditions


def hours_of(day: LaunchDay) -> list[Hour]:
    """The forecast's stretches, earliest first; none where there is no forecast."""
    lines = sorted(day.forecast, key=lambda each: each.observed_at)
    gaps = [b.observed_at - a.observed_at for a, b in pairwise(lines)]
    last = min(gaps[-1], LONGEST) if gaps else USUAL
    opens = {each.from_at for each in day.ceilings if each.from_at is not None}
    closes = {each.to_at for each in day.ceilings if each.to_at is not None}
    found = []
    for line, gap in zip(lines, [*gaps, last], strict=False):
        start, end = line.observed_at, line.observed_at + min(gap, LONGEST)
        cuts = sorted({start, end, *(each for each in opens | closes if start < each < end)})
        for first, then in pairwise(cuts):
            # a window's end still belongs to it: what follows is judged a second later
            moment = first + timedelta(seconds=1) if first in closes else first
            found.append(Hour(first, then, line.model_copy(update={"observed_at": moment})))
    return found


def to_come(forecast: tuple[Conditions, ...], now: datetime) -> tuple[Conditions, ...]:
    """The forecast without the hours that are over: a line holds until the next, the last one for an hour."""
    lines = sorted(forecast, key=lambda each: each.observed_at)
    ends = [each.observed_at for each in lines[1:]] + [each.observed_at + timedelta(hours=1) for each in lines[-1:]]
    return tuple(line for line, end in zip(lines, ends, strict=True) if end > now)


def stronger(conditions: Conditions, by_mps: float) -> Conditions:
    """The same winds, each level and gust faster by the same speed, from where they come now."""

    def faster(speed_mps: float, height_m: float) -> float:
        return min(speed_mps + by_mps, SURFACE_SPEED_LIMIT_MPS if height_m <= SURFACE_HEIGHT_M else SWIFTEST_MPS)

    wind = tuple(
        level.model_copy(
            update={
                "speed_mps": faster(level.speed_mps, level.height_m),
                "gust_mps": None if level.gust_mps is None else level.gust_mps + by_mps,
            }
        )
        for level in conditions.wind
    )
    return conditions.model_copy(update={"wind": wind})
