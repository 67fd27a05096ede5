"""Surface weather and the wind at heights, with the time and the source."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated

from pydantic import Field as Described

from service.models.base import Model, Problem
from service.models.types import Bearing, Bounded, Fraction, Instant, Name

SURFACE_HEIGHT_M = 20.0  # winds measured below this are surface winds
SURFACE_SPEED_LIMIT_MPS = 60.0  # a severe tropical cyclone: a slip of unit, not a launch day


class WindLevel(Model):
    """The wind at one height."""

    height_m: Annotated[float, Bounded(0.0, 40_000.0, "m above the field")]
    """Height above the field. [m]"""
    speed_mps: Annotated[float, Bounded(0.0, 120.0, "m/s")]
    """Mean speed. [m/s]"""
    from_deg: Bearing
    """Bearing the wind comes FROM. [degrees from true north]"""
    arc_deg: Annotated[float, Bounded(0.0, 360.0, "degrees")] | None = None
    """Arc centred on it that the direction ranges over, every bearing of it equally likely; 360 where the direction
    is variable and may be anything, null where nothing is told of it. [degrees]"""
    gust_mps: Annotated[float, Bounded(0.0, 150.0, "m/s")] | None = None
    """Greatest gust; null when not known. [m/s]"""

    def problems(self) -> Iterable[Problem]:
        if self.gust_mps is not None and self.gust_mps < self.speed_mps:
            yield Problem(("gust_mps",), f"{self.gust_mps:g} m/s", f"at least the mean speed, {self.speed_mps:g} m/s")
        if self.height_m <= SURFACE_HEIGHT_M and self.speed_mps > SURFACE_SPEED_LIMIT_MPS:
            yield Problem(
                ("speed_mps",),
                f"{self.speed_mps:g} m/s at {self.height_m:g} m",
                f"at most {SURFACE_SPEED_LIMIT_MPS:g} m/s near the ground",
            )


class Conditions(Model):
    """The weather at one time: observed, or in a forecast the time it is valid for."""

    observed_at: Instant
    """When it was observed, or is forecast for. [RFC 3339]"""
    source: Name
    """The instrument or service, and where."""
    temperature_c: Annotated[float, Bounded(-60.0, 60.0, "degrees Celsius")]
    """Air temperature at the pads. [degrees Celsius]"""
    pressure_hpa: Annotated[float, Bounded(300.0, 1100.0, "hPa")]
    """Station pressure: what a barometer at the pads reads, not reduced to sea level. [hPa]"""
    relative_humidity: Fraction | None = None
    """Relative humidity, 0 to 1; null when not known. [fraction]"""
    cloud_cover: Fraction | None = None
    """Share of the sky covered, 0 to 1; null when not known. [fraction]"""
    cloud_base_m: Annotated[float, Bounded(0.0, 25_000.0, "m above the field")] | None = None
    """Height of the lowest cloud above the field; null for no cloud or not known. [m]"""
    visibility_m: Annotated[float, Bounded(0.0, 500_000.0, "m")] | None = None
    """Horizontal visibility; null when not known. [m]"""
    wind: Annotated[tuple[WindLevel, ...], Described(min_length=1, max_length=200)]
    """The wind at heights, lowest first."""

    def problems(self) -> Iterable[Problem]:
        for index, (lower, upper) in enumerate(zip(self.wind, self.wind[1:], strict=False), start=1):
            if upper.height_m <= lower.height_m:
                yield Problem(
                    ("wind", index, "height_m"),
                    f"{upper.height_m:g} m",
                    f"above the level before, {lower.height_m:g} m",
                )
        if self.cloud_cover == 0.0 and self.cloud_base_m is not None:
            yield Problem(
                ("cloud_base_m",),
                f"a base of {self.cloud_base_m:g} m under a cloud cover of 0",
                "null, or the cloud cover that belongs to it",
            )
