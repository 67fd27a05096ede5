"""Outlines no finer than paper can show."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely

from reports.drawings.map_frame import finite
from reports.ground_data import Contour, FieldPlan, Path
from reports.scene import box_of

FINEST = 0.57  # [pt], 0.2 mm on paper
MANY_PIECES = 12  # from here on a contour is drawn in a thin line, so that its pieces do not hide the ground


def simplified(contours: tuple[Contour, ...], plan: FieldPlan, width: float, height: float) -> tuple[Contour, ...]:
    """Contours moved by 0.2 mm on paper at most, on a map of this size; pieces too small to print are left out.

    The field fills the map at most, so its size gives the finest scale that the map can have.
    """
    points = finite([p for ring in plan.boundary for p in ring] + [pad.at for pad in plan.pads])
    if len(points) < 2:
        return contours
    left, low, right, high = box_of(points)
    tolerance_m = FINEST * max((right - left) / width, (high - low) / height)
    return tuple(replace(contour, rings=_rings(contour.rings, tolerance_m)) for contour in contours)


def _rings(rings: tuple[Path, ...], tolerance_m: float) -> tuple[Path, ...]:
    points = [_finite(ring) for ring in rings]
    whole = [each for each in points if len(each) > 2]
    if not whole:
        return rings
    sizes = [float(np.ptp(each, axis=0).max()) for each in whole]
    largest = max(sizes)  # shown whatever its size: a contour never vanishes
    kept = [each for each, size in zip(whole, sizes, strict=True) if size > tolerance_m or size == largest]
    return tuple(_simplified(each, tolerance_m) for each in kept)


def _finite(ring: Path) -> np.ndarray:
    """The points of a ring, shape (n, 2), without those that are not finite. [m]"""
    points = np.asarray(ring, dtype=float).reshape(-1, 2)
    return points[np.isfinite(points).all(axis=1)]


def _simplified(ring: np.ndarray, tolerance_m: float) -> Path:
    line = shapely.simplify(shapely.linestrings(np.vstack([ring, ring[:1]])), tolerance_m, preserve_topology=False)
    found = shapely.get_coordinates(line)[:-1]
    return tuple(map(tuple, (found if len(found) > 2 else ring).tolist()))
