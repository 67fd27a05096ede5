"""What a person adds to a reading by hand: that its time has come, and that the sky is as it was."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

from service.models.conditions import Conditions
from service.planning.weather.errors import refuse
from service.planning.weather.reading import SurfaceReading
from service.planning.weather.times import AHEAD_MIN, in_words


def refuse_ahead(observed_at: datetime, now: datetime) -> None:
    """Nobody has observed what is still to come.

    Raises
    ------
    WeatherRefused
        If the time lies further ahead than clocks on a field differ.
    """
    if observed_at - now > timedelta(minutes=AHEAD_MIN):
        expected = f"a time that has come: it is {in_words(now)} now, and what is to come belongs into the forecast"
        raise refuse("the reading", "observed_at", in_words(observed_at), expected)


def sky_as_before(reading: SurfaceReading, current: Conditions) -> SurfaceReading:
    """A reading whose cloud and visibility somebody looked at, and found as they were in the conditions in force.

    What the reading tells of either stands. What was not known before stays unknown.

    Raises
    ------
    WeatherRefused
        If neither was known before: nobody can say that it is as it was.
    """
    if current.cloud_cover is None and current.visibility_m is None:
        found = "as before, and neither cloud nor visibility is known from before"
        raise refuse("the reading", "sky_as_before", found, "the cloud and the visibility as they are seen now")
    fields: dict[str, Any] = {}
    told = []
    if reading.cloud_cover is None and reading.cloud_base_m is None and current.cloud_cover is not None:
        fields |= {"cloud_cover": current.cloud_cover, "cloud_base_m": current.cloud_base_m}
        told.append("cloud")
    if reading.visibility_m is None and current.visibility_m is not None:
        fields |= {"visibility_m": current.visibility_m}
        told.append("visibility")
    if not told:
        return reading
    note = f"The {' and '.join(told)} {'were' if len(told) > 1 else 'was'} looked at and found as before."
    return replace(reading, **fields, notes=(*reading.notes, note))
