"""Places on a field to aim for: the pad itself, or the middle of its open ground."""

from __future__ import annotations

from dataclasses import dataclass

import shapely

from service.models.day import LaunchDay
from service.planning.ground import Ground, ground_of
from service.planning.words import distance_in_words

TOLERANCE_M = 1.0  # of the middle; the guide is set no finer than metres on the ground


@dataclass(frozen=True)
class OpenGround:
    """The place that is farthest from every zone and from the boundary."""

    lon_deg: float
    lat_deg: float
    clear_m: float

    @property
    def position(self) -> tuple[float, float]:
        return self.lon_deg, self.lat_deg

    @property
    def words(self) -> str:
        return f"the middle of the open ground, {distance_in_words(self.clear_m)} from anything drawn"


def open_ground(day: LaunchDay, ground: Ground | None = None) -> OpenGround | None:
    """The centre of the largest circle inside the boundary that touches no zone; None where zones cover it all.

    Any zone counts: nobody wants a rocket in the water or in the trees either.
    """
    ground = ground or ground_of(day)
    taken = shapely.union_all([zone.area for zone in ground.zones])
    free = shapely.difference(ground.boundary, taken)
    parts = [part for part in shapely.get_parts(free) if part.geom_type == "Polygon" and part.area > 0.0]
    if not parts:
        return None
    found = max((shapely.maximum_inscribed_circle(part, TOLERANCE_M) for part in parts), key=shapely.length)
    east, north = (float(value) for value in shapely.get_coordinates(found)[0])
    return OpenGround(*ground.lonlat(east, north), float(shapely.length(found)))
