"""Logs for the tests: planned flights of one or more rockets of the demo day, with a known drag."""

from __future__ import annotations

from datetime import datetime, timedelta
from functools import cache
from pathlib import Path

import numpy as np

from service.models.conditions import Conditions
from service.models.day import LaunchDay
from service.models.flight_log import FlightLog, LogLine
from service.planning.check import read_day_file
from tests.planning.learning.synthetic import Errors, measured

DEMO = Path(__file__).resolve().parents[3] / "fixtures" / "heron_meadow.json"
REED, HERON, PLOVER, BITTERN = "e-07", "e-10", "e-11", "e-03"


@cache
def demo_day() -> LaunchDay:
    return read_day_file(DEMO)


def weather(rng: np.random.Generator) -> Conditions:
    """One of the day's own, with another wind."""
    now = demo_day().conditions
    grow, turn = rng.uniform(0.6, 1.3), rng.uniform(-60.0, 60.0)
    wind = tuple(
        level.model_copy(
            update={
                "speed_mps": level.speed_mps * grow, "from_deg": (level.from_deg + turn) % 360.0, "gust_mps": None
            }
        )
        for level in now.wind
    )  # fmt: skip
    return now.model_copy(update={"wind": wind})


def planned(entry: str, count: int, drag: float, seed: int, errors: Errors | None = None) -> list[LogLine]:
    """So many planned flights of one entry, a quarter of an hour apart."""
    rng = np.random.default_rng([seed, count])
    start = datetime.fromisoformat("2027-05-01T09:00:00-05:00")
    return [
        measured(demo_day(), entry, start + timedelta(minutes=15 * number), weather(rng), drag, rng, errors)
        for number in range(count)
    ]


def as_log(*lines: list[LogLine]) -> FlightLog:
    return FlightLog(flights=tuple(each for part in lines for each in part))


def changed(line: LogLine, **values: object) -> LogLine:
    """The same flight told otherwise."""
    return LogLine.model_validate_json(line.model_copy(update=values).model_dump_json())
