"""A flat frame in metres around one place, and geodesics on the ellipsoid. WGS 84 throughout."""

from __future__ import annotations

import math
import threading
from dataclasses import dataclass

import numpy as np
import pyproj
import shapely
from numpy.typing import ArrayLike

from geo.bearings import wrap_deg
from geo.errors import BadPosition

GEODESIC = pyproj.Geod(ellps="WGS84")  # Karney (2013), J. Geodesy 87, 43-55, as coded in PROJ

LONGEST_EDGE_DEG = 0.005  # about 550 m: an edge halved this often strays from its curve by under 1 cm at 60 degrees
LONGEST_EDGE_M = 500.0

_projections = threading.local()  # a PROJ object must not be shared between threads


def _projection(lon_deg: float, lat_deg: float) -> pyproj.Proj:
    kept = _projections.__dict__.setdefault("by_origin", {})
    if (lon_deg, lat_deg) not in kept:
        if len(kept) > 64:
            kept.clear()
        kept[lon_deg, lat_deg] = pyproj.Proj(
            f"+proj=aeqd +lat_0={lat_deg!r} +lon_0={lon_deg!r} +datum=WGS84 +units=m +no_defs"
        )
    return kept[lon_deg, lat_deg]


def check_position(lon_deg: float, lat_deg: float, path: str = "") -> None:
    """Refuse a position that is not on the Earth.

    Raises
    ------
    BadPosition
        If either is not finite, the longitude is outside -180 to 180 or the latitude outside -90 to 90.
    """
    if not (math.isfinite(lon_deg) and math.isfinite(lat_deg)):
        raise BadPosition(f"position [{lon_deg}, {lat_deg}] needs two finite numbers, [longitude, latitude]", path)
    if not (-180.0 <= lon_deg <= 180.0 and -90.0 <= lat_deg <= 90.0):
        raise BadPosition(
            f"position [{lon_deg:g}, {lat_deg:g}] is not on the Earth; "
            "give longitude -180 to 180, then latitude -90 to 90",
            path,
        )


@dataclass(frozen=True)
class LocalFrame:
    """Azimuthal equidistant metres east and north of an origin, usually a pad.

    Distances and bearings from the origin are exact; between two points 10 km away they err by
    millimetres (r³/(6R²)).

    Parameters
    ----------
    lon_deg, lat_deg : float
        The origin. [deg]

    References
    ----------
    .. [1] Snyder (1987), Map Projections: A Working Manual, USGS Professional Paper 1395, section 25.

    Examples
    --------
    >>> frame = LocalFrame(lon_deg=-119.35, lat_deg=40.65)
    >>> east_m, north_m = frame.to_local(-119.24753827, 40.694980304)
    >>> round(float(east_m), 2), round(float(north_m), 2)
    (8660.25, 5000.0)
    """

    lon_deg: float
    lat_deg: float

    def __post_init__(self) -> None:
        check_position(self.lon_deg, self.lat_deg)
        object.__setattr__(self, "lon_deg", float(self.lon_deg))
        object.__setattr__(self, "lat_deg", float(self.lat_deg))

    def to_local(self, lon_deg: ArrayLike, lat_deg: ArrayLike) -> tuple[np.ndarray, np.ndarray]:
        """Positions in degrees to metres (east_m, north_m), arrays of the shape given."""
        lon, lat = np.broadcast_arrays(np.asarray(lon_deg, dtype=float), np.asarray(lat_deg, dtype=float))
        if not (np.isfinite(lon).all() and np.isfinite(lat).all() and (np.abs(lat) <= 90.0).all()):
            raise BadPosition("every longitude and latitude needs to be finite, latitudes within -90 to 90")
        east_m, north_m = _projection(self.lon_deg, self.lat_deg)(lon.ravel(), lat.ravel())
        return np.reshape(east_m, lon.shape), np.reshape(north_m, lon.shape)

    def to_lonlat(self, east_m: ArrayLike, north_m: ArrayLike) -> tuple[np.ndarray, np.ndarray]:
        """Metres to degrees (lon_deg, lat_deg), arrays of the shape given; longitudes in -180 to 180."""
        east, north = np.broadcast_arrays(np.asarray(east_m, dtype=float), np.asarray(north_m, dtype=float))
        if not (np.isfinite(east).all() and np.isfinite(north).all()):
            raise BadPosition("every distance east and north needs to be finite")
        if (np.hypot(east, north) > 1e7).any():
            raise BadPosition("a point more than 10,000 km from its frame has no place in it")
        lon, lat = _projection(self.lon_deg, self.lat_deg)(east.ravel(), north.ravel(), inverse=True)
        return np.reshape(lon, east.shape), np.reshape(lat, east.shape)

    def project_geometry(self, geometry: shapely.Geometry) -> shapely.Geometry:
        """A shapely geometry in [longitude, latitude] to local metres.

        Its edges are straight in longitude and latitude (RFC 7946, section 3.1.1), so long ones are cut into
        pieces of at most `LONGEST_EDGE_DEG` first. Heights are dropped.
        """
        return shapely.transform(
            shapely.segmentize(shapely.force_2d(geometry), LONGEST_EDGE_DEG),
            lambda xy: np.column_stack(self.to_local(xy[:, 0], xy[:, 1])),
        )

    def unproject_geometry(self, geometry: shapely.Geometry) -> shapely.Geometry:
        """A shapely geometry in local metres to [longitude, latitude], long edges cut first.

        Longitudes run on through 180 rather than jump, so that a shape across the antimeridian stays whole.
        """

        def degrees(xy: np.ndarray) -> np.ndarray:
            lon, lat = self.to_lonlat(xy[:, 0], xy[:, 1])
            return np.column_stack([lon + 360.0 * np.round((self.lon_deg - lon) / 360.0), lat])

        return shapely.transform(shapely.segmentize(shapely.force_2d(geometry), LONGEST_EDGE_M), degrees)


def distance_and_bearing(
    from_lon_deg: float, from_lat_deg: float, to_lon_deg: float, to_lat_deg: float
) -> tuple[float, float]:
    """Shortest way over the ellipsoid: length and bearing at its start. [m, deg true]

    Examples
    --------
    >>> length_m, bearing_deg = distance_and_bearing(174.81, -41.32, -5.5, 40.96)
    >>> round(length_m, 3)
    19959679.267
    """
    check_position(from_lon_deg, from_lat_deg)
    check_position(to_lon_deg, to_lat_deg)
    forward_deg, _, length_m = GEODESIC.inv(from_lon_deg, from_lat_deg, to_lon_deg, to_lat_deg)
    return float(length_m), wrap_deg(float(forward_deg))


def destination(lon_deg: float, lat_deg: float, bearing_deg: float, distance_m: float) -> tuple[float, float]:
    """Where one arrives after a distance along a bearing: (lon_deg, lat_deg).

    Examples
    --------
    >>> lon_deg, lat_deg = destination(115.74, -32.06, 225.0, 20_000_000.0)
    >>> round(lon_deg, 8), round(lat_deg, 8)
    (-63.95925278, 32.11195529)
    """
    check_position(lon_deg, lat_deg)
    if not (math.isfinite(distance_m) and distance_m >= 0.0):
        raise BadPosition(f"a distance of {distance_m} m is none; give zero or more")
    lon, lat, _ = GEODESIC.fwd(lon_deg, lat_deg, wrap_deg(bearing_deg), distance_m)
    return float(lon), float(lat)
