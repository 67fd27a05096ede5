"""Which points lie inside an area, asked by any number of threads at once."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray


def lie_inside(area: shapely.Geometry, x: ArrayLike, y: ArrayLike) -> NDArray[np.bool_] | Any:
    """Whether each point lies inside an area; on its edge is not inside.

    Shapely prepares an area that it is asked of, and GEOS builds the index for that on first use and without a lock:
    two threads that ask the same polygon at once can end the process. So each call asks a copy of its own.

    Parameters
    ----------
    area : shapely.Geometry
        Polygon or several, in the coordinates of the points.
    x, y : array_like
        Coordinates, of one shape.

    Returns
    -------
    ndarray of bool
        Of the shape of the points; a single bool for a single point.
    """
    return shapely.contains_xy(own_copy(area), x, y)


def own_copy(area: shapely.Geometry) -> shapely.Geometry:
    """The same geometry as an object of its own, which no other thread can have prepared or be preparing."""
    return shapely.set_srid(area, 0)
