"""Short invented seasons, and a fleet of a few of the demo's entries, so that these tests stay quick."""

from __future__ import annotations

from datetime import datetime, timedelta
from functools import cache
from pathlib import Path

from service.planning.ground import ground_of
from service.planning.sizing.fleet import Fleet, fleet_of_entries
from service.planning.sizing.season_csv import read_winds_csv
from tests.planning.advise.few_flights import demo

DEMO_WINDS = Path(__file__).resolve().parents[3] / "fixtures" / "heron_meadow_winds.csv"
FEW_ENTRIES = ("e-02", "e-07", "e-13")


def winds_text(hours: int = 96, aloft: bool = False, start: str = "2026-06-01T00:00:00-05:00") -> str:
    """Winds that walk through speeds and directions without any chance."""
    first = datetime.fromisoformat(start)
    header = "time,wind_speed_mps,wind_from_deg" + (",wind_speed_600m_mps,wind_from_600m_deg" if aloft else "")
    lines = [header]
    for number in range(hours):
        speed, origin = (number * 7 % 23) * 0.4, (200 + 37 * number) % 360
        row = f"{(first + timedelta(hours=number)).isoformat()},{speed:.1f},{origin}"
        lines.append(row + (f",{1.2 * speed + (number % 5):.1f},{(origin + 15) % 360}" if aloft else ""))
    return "\n".join(lines) + "\n"


@cache
def ground():
    return ground_of(demo())


@cache
def few() -> Fleet:
    """Three of the demo's entries: an A, a D and a G."""
    chosen = tuple(demo().entry_by_id(each) for each in FEW_ENTRIES)
    return fleet_of_entries(demo().model_copy(update={"entries": chosen}), ground())


@cache
def demo_winds():
    return read_winds_csv(DEMO_WINDS.read_bytes(), DEMO_WINDS.name)
