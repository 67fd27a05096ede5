"""Times as weather texts write them: day of the month, hour and minute, without month or year; and age."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta

from service.models.conditions import Conditions
from service.models.policy import Policy

AHEAD_MIN = 2.0  # clocks on a field differ; what lies further ahead was not observed yet
_DAY_TIME = re.compile(r"([0-3]\d)([0-2]\d)([0-5]\d)Z", re.ASCII)


def day_time(text: str, near: datetime) -> datetime | None:
    """The date and time of DDHHMMZ that lies nearest to a given time; None if there is no such day and time.

    Parameters
    ----------
    text : str
        Six digits and Z, such as "011651Z".
    near : datetime
        With an offset from UTC.

    Examples
    --------
    >>> day_time("311651Z", datetime(2027, 6, 1, 2, 0, tzinfo=UTC)).isoformat()
    '2027-05-31T16:51:00+00:00'
    >>> day_time("321651Z", datetime(2027, 6, 1, 2, 0, tzinfo=UTC)) is None
    True
    """
    match = _DAY_TIME.fullmatch(text)
    if match is None:
        return None
    day, hour, minute = map(int, match.groups())
    near = near.astimezone(UTC)
    found = []
    for months in (-1, 0, 1):
        years, month = divmod(near.year * 12 + near.month - 1 + months, 12)
        try:
            found.append(datetime(years, month + 1, day, hour, minute, tzinfo=UTC))
        except ValueError:  # no such day in that month, no such hour on any
            continue
    return min(found, key=lambda when: abs(when - near), default=None)


def written(when: datetime) -> str:
    """A time as DDHHMMZ.

    >>> written(datetime(2027, 6, 1, 16, 51, tzinfo=UTC))
    '011651Z'
    """
    return when.astimezone(UTC).strftime("%d%H%MZ")


def in_words(when: datetime) -> str:
    """A time as a person reads it, in UTC.

    >>> in_words(datetime(2027, 6, 1, 16, 51, tzinfo=UTC))
    '2027-06-01 16:51 UTC'
    """
    return when.astimezone(UTC).strftime("%Y-%m-%d %H:%M UTC")


def on_day(day: date, clock: str) -> datetime | None:
    """HHMM on a day, UTC; None if no clock shows it."""
    if not re.fullmatch(r"\d{4}", clock, re.ASCII) or int(clock[:2]) > 23 or int(clock[2:]) > 59:
        return None
    return datetime(day.year, day.month, day.day, int(clock[:2]), int(clock[2:]), tzinfo=UTC)


def age_min(conditions: Conditions, at: datetime) -> float:
    """How long ago the surface weather was observed; below zero for a time still to come. [min]"""
    return (at - conditions.observed_at) / timedelta(minutes=1)


def is_stale(conditions: Conditions, at: datetime, policy: Policy) -> bool:
    """Whether conditions are too old to rule on, or are dated ahead of the clock, which nobody can have observed."""
    return not -AHEAD_MIN <= age_min(conditions, at) <= policy.conditions_max_age_min
