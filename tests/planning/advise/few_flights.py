"""The demo day with few flights an assessment and limits that so few can settle, so that these tests stay quick."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from service.models.day import LaunchDay
from service.planning.assess import assess_entry
from service.planning.check import read_day_file
from service.planning.ground import ground_of

DEMO = Path(__file__).resolve().parents[3] / "fixtures" / "heron_meadow.json"
SAMPLES = 128
SCREENING = 64
FEW = {"samples": SCREENING, "most_samples": SAMPLES, "threads": 1}


@cache
def demo() -> LaunchDay:
    day = read_day_file(DEMO)
    policy = day.policy.model_copy(
        update={
            "samples": SAMPLES,
            "people_caution": 0.05,
            "people_stop": 0.1,
            "outside_caution": 0.05,
            "outside_stop": 0.2,
        }
    )
    return day.model_copy(update={"policy": policy})


@cache
def ground():
    return ground_of(demo())


def assessed(entry, day=None):
    """A whole assessment with few flights."""
    return assess_entry(day or demo(), entry, ground=ground(), most_samples=SAMPLES, threads=1)
