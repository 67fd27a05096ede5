"""The middle of the open ground, against shapes whose middle is plain geometry."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
import shapely

from service.planning.aim.targets import TOLERANCE_M, open_ground
from service.planning.ground import ground_of
from tests.planning.quick import quick_day


def test_it_is_as_far_from_everything_as_it_says():
    day = quick_day()
    ground, found = ground_of(day), open_ground(day)
    here = shapely.Point(ground.frame.to_local(*found.position))
    nearest = min(shapely.distance(here, each) for each in (ground.boundary.exterior, *(z.area for z in ground.zones)))
    assert ground.boundary.contains(here)
    assert nearest == pytest.approx(found.clear_m, abs=2.0 * TOLERANCE_M)
    west, south, east, north = ground.boundary.bounds
    taken = shapely.union_all([zone.area for zone in ground.zones])
    for x in np.linspace(west, east, 25):  # no point of a grid is farther from everything
        for y in np.linspace(south, north, 25):
            point = shapely.Point(x, y)
            if ground.boundary.contains(point) and not taken.intersects(point):
                clear = min(shapely.distance(point, ground.boundary.exterior), shapely.distance(point, taken))
                assert clear <= found.clear_m + 2.0 * TOLERANCE_M


def test_a_field_that_zones_cover_has_none():
    square = shapely.box(0.0, 0.0, 100.0, 100.0)
    ground = SimpleNamespace(boundary=square, zones=[SimpleNamespace(area=square.buffer(1.0))])
    assert open_ground(quick_day(), ground) is None
