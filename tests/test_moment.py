"""The moment that conditions are held against: now on the launch day, none on any other."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

import service.documents
from tests.planning.quick import quick_day


@pytest.mark.parametrize(
    ("clock", "counted", "age_min"),
    [
        ("2028-07-09T12:52:00Z", True, 12.0),  # 09:52 there, of a reading of 09:40
        ("2028-07-10T02:30:00Z", True, 830.0),  # 23:30 there, still that day
        ("2028-07-10T03:30:00Z", False, None),  # 00:30 there, the day after
        ("2027-05-15T14:00:00Z", False, None),
        ("2028-07-09T11:00:00Z", True, None),  # 08:00 there: the reading is timed ahead
    ],
)
def test_the_moment_is_now_on_the_launch_day_alone(monkeypatch, clock, counted, age_min):
    now = datetime.fromisoformat(clock)

    class Clock(datetime):
        @classmethod
        def now(cls, tz=None):
            return now.astimezone(tz or UTC)

    monkeypatch.setattr(service.documents, "datetime", Clock)
    at, age = service.documents.moment(quick_day())
    assert (at, age) == (now if counted else None, age_min if age_min is None else pytest.approx(age_min))
