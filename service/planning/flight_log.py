"""What cannot be of a flight that is written down: a time that is not there yet, a landing far from the field."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from geo.frame import distance_and_bearing
from service.models.day import LaunchDay
from service.models.flight_log import Flight
from service.planning.errors import DocumentRefused, Fault

CLOCKS_APART = timedelta(minutes=2)  # what the watch at the pads and the service's clock may differ by
FARTHEST_M = 50_000.0  # engineering estimate: an hour under a canopy in 14 m/s
DAYS_BEFORE = 1  # a launch of two days is kept under either


def refuse_impossible(day: LaunchDay, flight: Flight, at: datetime, before: Flight | None = None) -> None:
    """Refuse what cannot be.

    Parameters
    ----------
    day : LaunchDay
    flight : Flight
        As it is to be written.
    at : datetime
        Now.
    before : Flight, optional
        As it was written; what is left alone is not refused later, when the day has moved to another date.

    Raises
    ------
    DocumentRefused
        With every fault.
    """
    faults = []
    if before is None or flight.flown_at != before.flown_at:
        faults += _time(day, flight.flown_at, at)
    if flight.landing is not None and (before is None or flight.landing != before.landing):
        faults += _landing(day, flight.landing)
    if faults:
        raise DocumentRefused(faults, "the flight")


def _time(day: LaunchDay, flown_at: datetime, at: datetime) -> list[Fault]:
    zone = ZoneInfo(day.timezone)
    local = flown_at.astimezone(zone)
    if flown_at > at + CLOCKS_APART:
        now = f"{at.astimezone(zone):%H:%M} on {at.astimezone(zone).date().isoformat()}"
        return [Fault("/flown_at", f"{local:%H:%M} on {local.date().isoformat()}, which is ahead of now",
                      f"a time up to now, {now}")]  # fmt: skip
    earliest = day.date - timedelta(days=DAYS_BEFORE)
    if local.date() < earliest:
        return [Fault("/flown_at", f"{local.date().isoformat()}, before this launch day",
                      f"a time from {earliest.isoformat()} on")]  # fmt: skip
    return []


def _landing(day: LaunchDay, landing: tuple[float, float]) -> list[Fault]:
    lon_deg, lat_deg = landing
    away_m = min(distance_and_bearing(*pad.position, lon_deg, lat_deg)[0] for pad in day.field.pads)
    if away_m <= FARTHEST_M:
        return []
    expected = f"one within {FARTHEST_M / 1000.0:.0f} km; look at the signs, and at which of the two is which"
    return [Fault("/landing/1", f"a place {away_m / 1000.0:,.0f} km from the nearest pad", expected)]
