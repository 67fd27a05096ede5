"""Landing points against the ground: contours, chances and the nearest edge. Modes are never mixed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import shapely

from geo.containment import Interval, chance_inside, chance_per_zone, replicate_interval
from geo.errors import GeoError
from geo.footprint import clearance, footprint
from service.flight.dispersion import REPLICATES, Dispersion
from service.flight.nominal import Simulation
from service.models.assessment import (
    Chance,
    FootprintContour,
    Mode,
    ModeFootprint,
    NearestEdge,
)
from service.models.day import LaunchDay
from service.planning.ground import Ground


@dataclass(frozen=True)
class Cloud:
    """One mode's landing points in the ground's frame, and the nominal flight's."""

    mode: Mode
    east_m: np.ndarray
    north_m: np.ndarray
    replicate: np.ndarray
    landing: tuple[float, float] | None
    down_mps: float | None
    across_mps: float
    lost: int  # samples that could not be flown


def clouds_of(
    flight: Simulation, dispersed: Dispersion, pad_at: tuple[float, float], rename: Mapping[str, Mode] | None = None
) -> list[Cloud]:
    """The modes of one dispersion as clouds on the ground. `rename` maps kernel modes to the mode they stand for."""
    clouds = []
    for mode, table in dispersed.landings.items():
        name = (rename or {mode: mode}).get(mode)  # type: ignore[dict-item]
        if name is None:
            continue
        nominal = flight.landings.get(mode)
        clouds.append(
            Cloud(
                mode=name,
                east_m=table[:, 0] + pad_at[0],
                north_m=table[:, 1] + pad_at[1],
                replicate=dispersed.replicate_of(mode),
                landing=(nominal.east_m + pad_at[0], nominal.north_m + pad_at[1]) if nominal else None,
                down_mps=nominal.down_mps if nominal else None,
                across_mps=nominal.across_mps if nominal else 0.0,
                lost=dispersed.lost_in(mode),
            )
        )
    return clouds


def nothing_opened(dispersed: Dispersion) -> Chance | None:
    """Share of the planned flights in which nothing had opened at the ground; None where some could not be flown."""
    if not dispersed.flown.all():
        return None
    closed = (dispersed.landings["planned"][:, 5] < 1).reshape(REPLICATES, -1)
    return chance_of(replicate_interval(closed.mean(axis=1), closed.shape[1]))


def chance_of(interval: Interval) -> Chance:
    """An interval as the assessment keeps it."""
    return Chance(estimate=interval.estimate, low=interval.low, high=interval.high, method=interval.method)


def mode_footprint(ground: Ground, cloud: Cloud, chance: float | None, pad_at: tuple[float, float]) -> ModeFootprint:
    """Everything the assessment says of one mode's landings."""
    landing = ground.lonlat(*cloud.landing) if cloud.landing else None
    if cloud.lost or not np.all(np.isfinite(cloud.east_m)):
        return unknown_footprint(
            cloud.mode, chance, f"{cloud.lost} of {cloud.east_m.size} dispersed flights could not be computed", landing
        )
    try:
        inside = chance_inside(cloud.east_m, cloud.north_m, ground.boundary, replicate_ids=cloud.replicate)
        zones = chance_per_zone(
            cloud.east_m, cloud.north_m, {zone.name: zone.area for zone in ground.zones}, replicate_ids=cloud.replicate
        )
        people_ground = ground.union("people")
        people = None
        if people_ground is not None:
            people = chance_of(chance_inside(cloud.east_m, cloud.north_m, people_ground, replicate_ids=cloud.replicate))
        shape = footprint(cloud.east_m, cloud.north_m, from_east_m=pad_at[0], from_north_m=pad_at[1])
        edge = clearance(shape.contour(0.99).geometry, ground.boundary)
    except GeoError as error:
        return unknown_footprint(cloud.mode, chance, str(error), landing)
    return ModeFootprint(
        mode=cloud.mode,
        chance=chance,
        landing=landing,
        inside=chance_of(inside),
        zones={name: chance_of(interval) for name, interval in zones.items()},
        people=people,
        contours=tuple(
            FootprintContour(
                share=contour.share,
                geometry=_geojson(ground.frame.unproject_geometry(contour.geometry)),
                area_m2=contour.area_m2,
            )
            for contour in shape.contours
        ),
        nearest_edge=NearestEdge(
            distance_m=edge.distance_m,
            bearing_deg=edge.bearing_deg,
            contour_point=ground.lonlat(edge.from_east_m, edge.from_north_m),
            boundary_point=ground.lonlat(edge.to_east_m, edge.to_north_m),
        ),
        farthest_m=shape.farthest.distance_m,
        farthest_bearing_deg=shape.farthest.bearing_deg,
        samples=shape.samples,
        descent_speed_mps=cloud.down_mps,
        unknown="" if people is not None else "no zone of people is drawn, so the chance of that is not known",
    )


def unknown_footprint(
    mode: Mode, chance: float | None, why: str, landing: tuple[float, float] | None = None
) -> ModeFootprint:
    """A mode of which nothing but perhaps the nominal landing is known."""
    return ModeFootprint(
        mode=mode, chance=chance, landing=landing, inside=None, zones={}, people=None, contours=(), nearest_edge=None,
        farthest_m=None, farthest_bearing_deg=None, samples=0, descent_speed_mps=None, unknown=why,
    )  # fmt: skip


def _geojson(geometry: shapely.Geometry) -> dict:
    rounded = shapely.transform(geometry, lambda xy: np.round(xy, 7))
    polygons = [part for part in shapely.get_parts(rounded) if part.geom_type == "Polygon"]
    mapping = shapely.geometry.mapping(shapely.MultiPolygon(polygons))
    return {"type": mapping["type"], "coordinates": _lists(mapping["coordinates"])}


def _lists(value):
    return [_lists(each) for each in value] if isinstance(value, tuple | list) else value


def mode_chances(day: LaunchDay, modes: list[Mode]) -> dict[Mode, float]:
    """How often each of this entry's modes happens: the club's figures, what is left being as planned."""
    chances: dict[Mode, float] = {"planned": 1.0}
    for mode in modes:
        if mode != "planned":
            chances[mode] = getattr(day.mode_chances, mode)
            chances["planned"] -= chances[mode]
    return chances
