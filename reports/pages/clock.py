"""Times as the sheet prints them: on the clocks of the zone that its first page names."""

from __future__ import annotations

import datetime as dt


def clock(at: dt.datetime) -> str:
    """Date and time, with the offset that tells them from any other clock's.

    >>> clock(dt.datetime(2027, 5, 15, 9, 12, tzinfo=dt.timezone(dt.timedelta(hours=-5))))
    '2027-05-15 09:12 UTC-0500'
    """
    return at.strftime("%Y-%m-%d %H:%M") + (f" UTC{at:%z}" if at.tzinfo else "")


def clock_on(date: dt.date, at: dt.datetime | None) -> str:
    """The time alone where it is on the day itself; nothing where there is none."""
    if at is None:
        return ""
    return at.strftime("%H:%M") if at.date() == date else clock(at)
