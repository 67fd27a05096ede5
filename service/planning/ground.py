"""The field in metres: what an entry's footprint is compared with. One frame for the whole day, at the pads."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import shapely

from geo.boundary import read_boundary, read_zone
from geo.frame import LocalFrame
from geo.measures import as_area, minimum_width_m, nearest_edge
from service.models.day import LaunchDay
from service.models.field import Pad, Zone

LINE_HALF_WIDTH_M = {"road": 4.0, "power_line": 3.0}  # engineering estimate: a two-lane road, a span of wires
PEOPLE_KINDS = ("people",)
GATHERING_KINDS = ("people", "parking")


@dataclass(frozen=True)
class GroundZone:
    """A zone in local metres. `area` has a width even where the zone is a line."""

    zone: Zone
    shape: shapely.Geometry
    area: shapely.Geometry

    @property
    def name(self) -> str:
        return self.zone.name

    @property
    def kind(self) -> str:
        return self.zone.kind


@dataclass(frozen=True)
class Ground:
    """Boundary, zones and pads in metres east and north of the frame's origin."""

    frame: LocalFrame
    boundary: shapely.Polygon
    zones: tuple[GroundZone, ...]
    remarks: tuple[str, ...]

    @cached_property
    def min_dimension_m(self) -> float:
        """Smallest width of the field."""
        return minimum_width_m(self.boundary)

    def pad_at(self, pad: Pad) -> tuple[float, float]:
        """Where a pad stands, east and north. [m]"""
        east, north = self.frame.to_local(pad.position[0], pad.position[1])
        return float(east), float(north)

    def of_kind(self, *kinds: str) -> list[GroundZone]:
        """Zones of these kinds."""
        return [zone for zone in self.zones if zone.kind in kinds]

    def union(self, *kinds: str) -> shapely.Geometry | None:
        """The ground of all zones of these kinds together; None without any."""
        zones = self.of_kind(*kinds)
        return shapely.union_all([zone.area for zone in zones]) if zones else None

    def distance_m(self, pad: Pad, kind: str) -> float | None:
        """From a pad to the nearest zone of a kind; None where none is drawn.

        A building known to be empty is left out.
        """
        point = shapely.Point(self.pad_at(pad))
        found = [
            float(shapely.distance(point, zone.area))
            for zone in self.of_kind(kind)
            if not (kind == "building" and zone.zone.occupied is False)
        ]
        return min(found) if found else None

    def edge_m(self, pad: Pad) -> float:
        """From a pad to the nearest point of the boundary. [m]"""
        east, north = self.pad_at(pad)
        return nearest_edge(self.boundary, east, north).distance_m

    def lonlat(self, east_m: float, north_m: float) -> tuple[float, float]:
        """[longitude, latitude] of a place in the frame, to a centimetre."""
        lon, lat = self.frame.to_lonlat(east_m, north_m)
        return round(float(lon), 7), round(float(lat), 7)

    def leans_toward(self, pad: Pad, *kinds: str, within_deg: float = 30.0) -> bool:
        """Whether a tilted guide points within an angle of any zone of these kinds."""
        if pad.tilt_deg <= 0.0:
            return False
        east, north = self.pad_at(pad)
        reach_m = 20_000.0
        corners = [(east, north)]
        for off in (-within_deg, 0.0, within_deg):
            bearing = math.radians(pad.azimuth_deg + off)
            corners.append((east + reach_m * math.sin(bearing), north + reach_m * math.cos(bearing)))
        wedge = shapely.Polygon(corners)
        return any(shapely.intersects(wedge, zone.area) for zone in self.of_kind(*kinds))


def ground_of(day: LaunchDay) -> Ground:
    """The field of a launch day in local metres.

    Raises
    ------
    GeoError
        If a shape cannot be used; the checked document has none such.
    """
    pads = [(pad.position[0], pad.position[1]) for pad in day.field.pads]
    boundary = read_boundary(day.field.boundary.model_dump(mode="json"), pads)
    frame = LocalFrame(sum(lon for lon, _ in pads) / len(pads), sum(lat for _, lat in pads) / len(pads))
    remarks = [f"boundary{remark.path}: {remark.text}" for remark in boundary.remarks]
    zones = []
    for number, zone in enumerate(day.field.zones):
        read = read_zone(zone.geometry.model_dump(mode="json"), pads)
        remarks += [f"zones/{number}{remark.path}: {remark.text}" for remark in read.remarks]
        shape = frame.project_geometry(read.geometry)
        zones.append(GroundZone(zone, shape, as_area(shape, LINE_HALF_WIDTH_M.get(zone.kind, 1.0))))
    return Ground(frame, frame.project_geometry(boundary.geometry), tuple(zones), tuple(remarks))
