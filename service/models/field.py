"""The field: its boundary, what stands in it and around it, and the pads."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Literal

from pydantic import Field as Described
from pydantic import StrictBool

from service.models.base import Model, Problem
from service.models.types import Bearing, Bounded, Name, Position

Terrain = Literal["sea", "bare", "open_grass", "low_crops", "tall_crops", "bushes", "forest", "town"]
ZoneKind = Literal["people", "parking", "building", "road", "power_line", "water", "trees", "keep_out"]
GuideKind = Literal["rod", "rail", "tower"]

Ring = Annotated[tuple[Position, ...], Described(min_length=3, max_length=10_000)]
Rings = Annotated[tuple[Ring, ...], Described(min_length=1, max_length=100)]
Line = Annotated[tuple[Position, ...], Described(min_length=2, max_length=10_000)]

LINE_KINDS = ("road", "power_line", "water", "trees")


Elevation = Annotated[float, Bounded(-430.0, 6000.0, "m above mean sea level")]


class Polygon(Model):
    """One area, with holes or without (RFC 7946, section 3.1.6)."""

    type: Literal["Polygon"]
    """The word Polygon."""
    coordinates: Rings
    """Rings of [longitude, latitude], the outer one first, then the holes. [degrees, WGS 84]"""


class MultiPolygon(Model):
    """Several areas (RFC 7946, section 3.1.7)."""

    type: Literal["MultiPolygon"]
    """The word MultiPolygon."""
    coordinates: Annotated[tuple[Rings, ...], Described(min_length=1, max_length=100)]
    """Polygons, each a list of rings of [longitude, latitude]. [degrees, WGS 84]"""


class LineString(Model):
    """A line: the middle of a road, a power line, a stream (RFC 7946, section 3.1.4)."""

    type: Literal["LineString"]
    """The word LineString."""
    coordinates: Line
    """Points of [longitude, latitude] along the line. [degrees, WGS 84]"""


Area = Annotated[Polygon | MultiPolygon, Described(discriminator="type")]
Geometry = Annotated[Polygon | MultiPolygon | LineString, Described(discriminator="type")]


class Zone(Model):
    """A part of the field or its surroundings that matters when something comes down on it."""

    name: Name
    """What people call it."""
    kind: ZoneKind
    """What is there."""
    geometry: Geometry
    """Where it is: an area, or a line for a road, a power line, a stream or a row of trees (GeoJSON)."""
    people: Annotated[int, Bounded(0, 100_000, "people")] | None = None
    """How many people are there while rockets fly; null when not known. [count]"""
    occupied: StrictBool | None = None
    """For a building: whether people are in it while rockets fly; null when not known."""

    def problems(self) -> Iterable[Problem]:
        if isinstance(self.geometry, LineString) and self.kind not in LINE_KINDS:
            yield Problem(
                ("geometry", "type"), f'"LineString" for a zone of kind "{self.kind}"', "a Polygon or MultiPolygon"
            )


class Pad(Model):
    """One launch pad and the guide that stands on it."""

    name: Name
    """Its name on the field."""
    position: Position
    """Where it stands, as [longitude, latitude]. [degrees, WGS 84]"""
    guide: GuideKind
    """What guides the rocket at first."""
    guide_length_m: Annotated[float, Bounded(0.2, 20.0, "m")]
    """Length of the rod, rail or tower above where the rocket stands; lugs leave before its end. [m]"""
    tilt_deg: Annotated[float, Bounded(0.0, 60.0, "degrees from vertical")] = 0.0
    """Lean of the guide from vertical. [degrees]"""
    azimuth_deg: Bearing = 0.0
    """Bearing toward which the guide leans. [degrees from true north]"""


class Field(Model):
    """A flying field."""

    name: Name
    """What people call it."""
    elevation_m: Elevation
    """Height of the pads above mean sea level. [m]"""
    terrain: Terrain
    """What covers the ground; sets how the wind weakens toward it."""
    boundary: Area
    """The ground on which rockets may come down (GeoJSON)."""
    zones: Annotated[tuple[Zone, ...], Described(max_length=200)] = ()
    """People, parking, buildings and the like, in the field and near it."""
    pads: Annotated[tuple[Pad, ...], Described(min_length=1, max_length=200)]
    """The launch pads, at least one."""
    measured: Annotated[dict[Name, Annotated[float, Bounded(-1e6, 1e7)]], Described(max_length=100)] = {}
    """Figures taken on site or off a map that no shape here gives, by the quantity's name in the codes,
    such as "airport_distance_m". [in the unit that the name ends with]"""
