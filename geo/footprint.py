"""Where a flight may come down: contours that hold stated shares of the landing points, and what stands out."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike

from geo.bearings import bearing_of_deg
from geo.density import DensityGrid, density_grid
from geo.errors import BadChance, BadGeometry, BadSamples
from geo.inside import lie_inside
from geo.measures import edge_of

SHARES = (0.50, 0.95, 0.99)
TIED = 0.9  # engineering choice: points on one spot are all at the peak, yet need a contour around them
GAP = 0.01  # engineering choice: a hole under 1 % of the widest contour's ground is a chance gap between samples
LONE = 0.05  # engineering choice: a contour ends 2.4 of its kernel's widths from a sample that has no neighbour


@dataclass(frozen=True)
class Contour:
    """The smallest region that holds a share of the landings; `held` is what it holds of the samples."""

    share: float
    held: float
    geometry: shapely.MultiPolygon  # local metres
    area_m2: float


@dataclass(frozen=True)
class Ellipse:
    """The ellipse of the normal distribution with the cloud's mean and covariance that holds a share of it."""

    share: float
    semi_major_m: float
    semi_minor_m: float
    bearing_deg: float  # of the major axis, 0 to 180


@dataclass(frozen=True)
class Far:
    """The sample that landed farthest from a point."""

    distance_m: float
    bearing_deg: float
    east_m: float
    north_m: float


@dataclass(frozen=True)
class Footprint:
    """Contours from the inmost out, mean point, 95 % ellipse, farthest sample. Local metres.

    `bandwidth_m` is the standard deviations of the narrowest kernel.
    """

    contours: tuple[Contour, ...]
    mean_east_m: float
    mean_north_m: float
    ellipse: Ellipse
    farthest: Far
    bandwidth_m: tuple[float, float]
    samples: int

    def contour(self, share: float) -> Contour:
        """The contour that was asked for with this share."""
        for contour in self.contours:
            if math.isclose(contour.share, share):
                return contour
        raise BadChance(f"no contour holds {share:g}; there are {', '.join(f'{c.share:g}' for c in self.contours)}")


@dataclass(frozen=True)
class Clearance:
    """Between a region and a field's edge: positive inside, negative how far it reaches out."""

    distance_m: float
    bearing_deg: float
    from_east_m: float
    from_north_m: float
    to_east_m: float
    to_north_m: float


def footprint(
    east_m: ArrayLike,
    north_m: ArrayLike,
    *,
    shares: Sequence[float] = SHARES,
    from_east_m: float = 0.0,
    from_north_m: float = 0.0,
) -> Footprint:
    """Contours of highest density around landing points, of one way of ending only.

    The level of each contour is a quantile of the density at the samples themselves [1]_, so each holds its
    share of landings whatever the smoothing: smoothing rounds the contour but does not blow it up. All are
    levels of one surface, so each lies inside the next. Points in several clusters get several parts; a thin
    tail is smoothed more, so that its ground is one part, and a hole under a hundredth of the widest contour's
    ground is filled; points on one spot or one line get a contour of about half a metre around them.

    Parameters
    ----------
    east_m, north_m : array_like of one shape
        Landing points; any scrambles are taken together. At least 20. [m]
    shares : sequence of float
        Between 0 and 1. [-]
    from_east_m, from_north_m : float
        From where the farthest sample is measured, such as the pad. [m]

    Raises
    ------
    BadSamples
        If there are fewer than 20 points, or one is not finite.

    References
    ----------
    .. [1] Hyndman (1996), Computing and graphing highest density regions, The American Statistician 50,
       120-126, doi:10.2307/2684423.
    """
    xy_m = _points(east_m, north_m)
    for share in shares:
        if not 0.0 < share < 1.0:
            raise BadChance(f"a contour cannot hold a share of {share}; give a number between 0 and 1")
    grid = density_grid(xy_m)
    away_m = np.hypot(xy_m[:, 0] - from_east_m, xy_m[:, 1] - from_north_m)
    east, north = (float(x) for x in xy_m[int(np.argmax(away_m))])
    mean_east, mean_north = (float(x) for x in xy_m.mean(axis=0))
    return Footprint(
        contours=_contours(grid, sorted(shares), xy_m),
        mean_east_m=mean_east,
        mean_north_m=mean_north,
        ellipse=normal_ellipse(np.cov(xy_m.T), 0.95),
        farthest=Far(float(away_m.max()), bearing_of_deg(east - from_east_m, north - from_north_m), east, north),
        bandwidth_m=grid.bandwidth_m,
        samples=len(xy_m),
    )


def normal_ellipse(covariance_m2: ArrayLike, share: float = 0.95) -> Ellipse:
    """Ellipse that holds a share of a bivariate normal distribution: semi-axes sqrt(-2 ln(1 - p) λ).

    Examples
    --------
    >>> found = normal_ellipse([[120.0**2, 0.5 * 120.0 * 60.0], [0.5 * 120.0 * 60.0, 60.0**2]])
    >>> round(found.semi_major_m, 4), round(found.semi_minor_m, 4), round(90.0 - found.bearing_deg, 3)
    (304.6436, 122.6321, 16.845)
    """
    variances, directions = np.linalg.eigh(np.asarray(covariance_m2, dtype=float))
    minor_m, major_m = np.sqrt(-2.0 * math.log1p(-share) * np.maximum(variances, 0.0))
    bearing_deg = bearing_of_deg(float(directions[0, 1]), float(directions[1, 1])) % 180.0
    return Ellipse(share, float(major_m), float(minor_m), bearing_deg)


def clearance(region: shapely.Geometry, field: shapely.Geometry) -> Clearance:
    """The shortest way from a contour to a field's edge, holes included.

    Returns
    -------
    Clearance
        Where the region lies wholly inside: the distance to the edge, and the bearing toward it. Otherwise the
        distance is negative: how far its farthest corner, or the middle of a hole it covers, lies outside,
        with the bearing from the field to it.

    Examples
    --------
    >>> near = clearance(shapely.box(-20.0, -20.0, 20.0, 20.0), shapely.box(-100.0, -100.0, 50.0, 100.0))
    >>> near.distance_m, near.bearing_deg
    (30.0, 90.0)
    >>> clearance(shapely.box(-20.0, -20.0, 70.0, 0.0), shapely.box(-100.0, -100.0, 50.0, 100.0)).distance_m
    -20.0
    """
    if region.is_empty or field.is_empty:
        raise BadGeometry("there is no way from or to a shape that is empty; hand in a region and a field")
    if shapely.covers(field, region):
        line = np.asarray(shapely.shortest_line(region, edge_of(field)).coords)
        sign = 1.0
    else:
        out = [shapely.Point(xy) for xy in shapely.get_coordinates(region)]
        for part in shapely.get_parts(shapely.difference(region, field)):  # a hole may lie between the corners
            if part.area > 0.0:
                out.append(shapely.Point(shapely.maximum_inscribed_circle(part).coords[0]))
        farthest = out[int(np.argmax(shapely.distance(out, field)))]
        line = np.asarray(shapely.shortest_line(field, farthest).coords)
        sign = -1.0
    (from_east, from_north), (to_east, to_north) = line
    east, north = float(to_east - from_east), float(to_north - from_north)
    return Clearance(
        sign * math.hypot(east, north), bearing_of_deg(east, north),
        float(from_east), float(from_north), float(to_east), float(to_north),
    )  # fmt: skip


def _points(east_m: ArrayLike, north_m: ArrayLike) -> np.ndarray:
    east, north = np.asarray(east_m, dtype=float), np.asarray(north_m, dtype=float)
    if east.shape != north.shape or east.size < 20:
        raise BadSamples(f"{east.size} east and {north.size} north; a footprint needs 20 landing points or more")
    xy_m = np.column_stack([east.ravel(), north.ravel()])
    lost = int(np.count_nonzero(~np.isfinite(xy_m).all(axis=1)))
    if lost:
        raise BadSamples(
            f"{lost} of {len(xy_m)} landing points are not finite; a flight that did not land is no landing"
        )
    if np.abs(xy_m).max() > 1e6:
        raise BadSamples(
            f"a landing point lies {np.abs(xy_m).max() / 1000.0:,.0f} km away; at most 1,000 km is believed"
        )
    return xy_m


def _contours(grid: DensityGrid, shares: Sequence[float], xy_m: np.ndarray) -> tuple[Contour, ...]:
    import contourpy

    lines = contourpy.contour_generator(
        grid.u, grid.v, grid.density, fill_type=contourpy.FillType.OuterOffset, quad_as_tri=True
    )
    contours: list[Contour] = []
    gap_m2 = 0.0
    for share in reversed(shares):  # the widest first: one measure of a gap for all, or they would not nest
        level = float(np.quantile(grid.at_samples, 1.0 - share))
        level = min(max(level, LONE * grid.own), TIED * float(grid.density.max()))
        shapes = [
            [shapely.Polygon(grid.to_metres(points[a:b])) for a, b in itertools.pairwise(offsets)]
            for points, offsets in zip(*lines.filled(level, math.inf), strict=True)
        ]
        gap_m2 = gap_m2 or GAP * sum(shape[0].area for shape in shapes)
        parts = [
            shapely.Polygon(outline.exterior, [hole.exterior for hole in holes if hole.area > gap_m2])
            for outline, *holes in shapes
        ]
        region = shapely.union_all([shapely.make_valid(part) if not part.is_valid else part for part in parts])
        polygons = [part for part in shapely.get_parts(region) if isinstance(part, shapely.Polygon)]
        region = shapely.orient_polygons(shapely.MultiPolygon(polygons))
        held = float(lie_inside(region, xy_m[:, 0], xy_m[:, 1]).mean())
        contours.append(Contour(share, held, region, float(region.area)))
    return tuple(reversed(contours))
