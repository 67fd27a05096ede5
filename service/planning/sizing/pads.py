"""The best place for the pads: most landings of the season inside, every distance of the codes kept, people kept off.

A coarse grid over the field, then a search with halving steps from its best points; nothing is drawn by chance.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np
import shapely

from geo.inside import lie_inside, own_copy
from service.planning.advise.errors import AdviceStopped
from service.planning.ground import Ground
from service.planning.sizing.dimensions import PadNeed
from service.planning.sizing.flight_line import Strip, Strips, free_ground, line_at

GRID_ACROSS = 32
LEAST_GRID_M, STEP_M = 10.0, 2.0
STARTS = 5
AS_GOOD = 0.002  # of the landings: what cannot be told apart
AREA_FINER, AREA_CELLS, AREA_LANDINGS = 4, 44, 3000  # the area is drawn in quarter steps, eleven steps each way
COMPASS = tuple((math.sin(math.radians(each)), math.cos(math.radians(each))) for each in range(0, 360, 45))
STANDS_ON = ("building", "road", "power_line", "water", "trees", "keep_out", "parking")

Place = tuple[float, float]


@dataclass(frozen=True)
class Placed:
    """A pad tried: the share of landings inside, its flight line, its distance to the edge."""

    at: Place
    inside: float
    line: Strip
    edge_m: float

    @property
    def key(self) -> tuple[bool, float, float]:
        """The greater, the better."""
        return self.line.level > 0, self.inside, self.edge_m


@dataclass
class PadSearch:
    """Tries places for the pads. `landings` are the season's about the pad, every one as likely, (n, 2) [m]."""

    ground: Ground
    landings: np.ndarray
    needs: Mapping[str, PadNeed]
    strips: Strips
    rockets: tuple[int, ...] = ()
    """Places in the fleet of the rockets behind the strips' shares."""
    should_stop: Callable[[], bool] = lambda: False
    _known: dict[Place, Placed | None] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.free = free_ground(self.ground)
        self.field = own_copy(self.ground.boundary)
        shapely.prepare(self.field)
        self.obstacles = self.ground.union(*STANDS_ON)
        need = self.needs.get("people_distance_m")
        self.fixed = [*self._fixed(), *([(self.ground.union("parking"), need.limit_m)] if need else [])]

    def _fixed(self) -> list[tuple[shapely.Geometry | None, float]]:
        """What stays where it is, and how far the pad has to be from it."""
        found: list[tuple[shapely.Geometry | None, float]] = []
        for name, need in self.needs.items():
            kind = name.removesuffix("_distance_m")
            if kind in ("edge", "outsider"):
                found.append((self.ground.boundary.boundary, need.limit_m))
            if kind == "outsider":
                found += [(self._standing("road"), need.limit_m), (self._standing("building"), need.limit_m)]
            elif kind not in ("edge", "people"):
                found.append((self._standing(kind), need.limit_m))
        return found

    def _standing(self, kind: str) -> shapely.Geometry | None:
        areas = [
            zone.area for zone in self.ground.of_kind(kind)
            if not (kind == "building" and zone.zone.occupied is False)
        ]  # fmt: skip
        return shapely.union_all(areas) if areas else None

    def allowed(self, points: np.ndarray) -> np.ndarray:
        """Which places keep every distance to what stays where it is. (n, 2) -> (n,)"""
        places = shapely.points(points)
        good = shapely.contains(self.field, places)
        if self.obstacles is not None:
            good &= ~shapely.intersects(self.obstacles, places)
        for geometry, limit_m in self.fixed:
            if geometry is not None:
                good &= shapely.distance(geometry, places) >= limit_m * (1.0 - 1e-9)
        return good

    def inside(self, at: Place) -> float:
        """Share of the season's landings inside the boundary."""
        return self._share(self.landings, at)

    def _share(self, landings: np.ndarray, at: Place) -> float:
        return float(lie_inside(self.ground.boundary, landings[:, 0] + at[0], landings[:, 1] + at[1]).mean())

    def try_at(self, at: Place) -> Placed | None:
        """One place; None where a distance cannot be kept or the people find no room."""
        self._check()
        at = (round(at[0], 3), round(at[1], 3))
        if at not in self._known:
            self._known[at] = self._tried(at) if bool(self.allowed(np.array([at]))[0]) else None
        return self._known[at]

    def _check(self) -> None:
        if self.should_stop():
            raise AdviceStopped("called off; nothing was changed")

    def _tried(self, at: Place) -> Placed | None:
        line = line_at(self.strips, at, self.ground, self.free)
        if line is None:
            return None
        edge_m = float(shapely.distance(self.ground.boundary.boundary, shapely.Point(at)))
        return Placed(at, self.inside(at), line, edge_m)

    def grid(self) -> tuple[list[Place], float]:
        """Points of the coarse grid that keep every distance to what stays, and its step. [m]"""
        west, south, east, north = self.ground.boundary.bounds
        step_m = max(LEAST_GRID_M, math.ceil(max(east - west, north - south) / GRID_ACROSS))
        across, up = np.arange(west + 0.5 * step_m, east, step_m), np.arange(south + 0.5 * step_m, north, step_m)
        points = np.column_stack([each.ravel() for each in np.meshgrid(across, up)])
        good = points[self.allowed(points)] if points.size else points
        return [(float(x), float(y)) for x, y in good], step_m

    def refine(self, start: Placed, step_m: float) -> Placed:
        """Uphill from a place with halving steps."""
        best = start
        while step_m >= STEP_M:
            around = [self.try_at((best.at[0] + e * step_m, best.at[1] + n * step_m)) for e, n in COMPASS]
            found = max((each for each in around if each is not None), key=lambda each: each.key, default=best)
            if found.key > best.key:
                best = found
            else:
                step_m /= 2.0
        return best

    def area(self, best: Placed, step_m: float) -> shapely.Geometry:
        """The ground around a place from which as many land inside, its flight line staying where it is.

        Cell by cell outward from the place, so that it hangs together.
        """
        line = self.strips.shape(best.line, best.at)
        need = self.needs.get("people_distance_m")
        cell = max(step_m / AREA_FINER, STEP_M)
        offsets = cell * np.arange(-AREA_CELLS, AREA_CELLS + 1)
        across, up = np.meshgrid(best.at[0] + offsets, best.at[1] + offsets, indexing="ij")
        points = np.column_stack([across.ravel(), up.ravel()])
        apart_m = need.limit_m * (1.0 - 1e-9) if need is not None else 1e-6
        good = self.allowed(points) & (shapely.distance(line, shapely.points(points)) >= apart_m)
        good = good.reshape(across.shape)
        few = self.landings[:: max(1, self.landings.shape[0] // AREA_LANDINGS)]
        least = self._share(few, best.at) - AS_GOOD
        kept, seen, edge = [], {(AREA_CELLS, AREA_CELLS)}, [(AREA_CELLS, AREA_CELLS)]
        while edge:
            self._check()
            x, y = edge.pop()
            at = (float(across[x, y]), float(up[x, y]))
            if not good[x, y] or self._share(few, at) < least:
                continue
            kept.append(at)
            for other in ((x + 1, y), (x - 1, y), (x, y + 1), (x, y - 1)):
                if other not in seen and all(0 <= place < offsets.size for place in other):
                    seen.add(other)
                    edge.append(other)
        half = 0.5 * cell
        squares = [shapely.box(x - half, y - half, x + half, y + half) for x, y in kept]
        return shapely.union_all([shapely.Point(best.at).buffer(half), *squares])


@dataclass(frozen=True)
class Found:
    """The best place, the best of the coarse grid alone, and the grid's step."""

    best: Placed
    coarse: Placed
    area: shapely.Geometry
    grid_m: float


def best_pads(search: PadSearch, told: Callable[[int, int], None] = lambda done, total: None) -> Found | None:
    """The best place for the pads; None where no point of the coarse grid keeps every distance."""
    points, grid_m = search.grid()
    tried = []
    for number, point in enumerate(points, start=1):
        placed = search.try_at(point)
        if placed is not None:
            tried.append(placed)
        told(number, len(points))
    if not tried:
        return None
    ranked = sorted(tried, key=lambda each: each.key, reverse=True)
    best = max((search.refine(each, 0.5 * grid_m) for each in ranked[:STARTS]), key=lambda each: each.key)
    return Found(best, ranked[0], search.area(best, grid_m), grid_m)
