"""Points inside an area, asked by several threads: no area that others hold is prepared, which GEOS does unlocked.

GEOS documents its prepared geometries as not safe between threads (PreparedGeometry, "not thread-safe", from memory).
"""

from __future__ import annotations

import re
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest
import shapely

from geo.containment import chance_inside
from geo.inside import lie_inside, own_copy

ROOT = Path(__file__).resolve().parents[2]
SQUARE_WITH_HOLE = shapely.Polygon([(0, 0), (4, 0), (4, 4), (0, 4)], [[(1, 1), (1, 2), (2, 2), (2, 1)]])


@pytest.mark.parametrize(
    ("x", "y", "held"), [(0.5, 0.5, True), (1.5, 1.5, False), (4.0, 2.0, False), (5.0, 2.0, False), (3.9, 3.9, True)]
)
def test_on_the_edge_and_in_a_hole_is_not_inside(x, y, held):
    assert bool(lie_inside(SQUARE_WITH_HOLE, x, y)) is held
    grid = lie_inside(SQUARE_WITH_HOLE, np.full((2, 3), x), np.full((2, 3), y))
    assert grid.shape == (2, 3) and (grid == held).all()


def test_what_others_hold_is_not_prepared():
    area = shapely.box(0.0, 0.0, 1.0, 1.0)
    lie_inside(area, 0.5, 0.5)
    chance_inside(np.full((2, 4), 0.5), np.full((2, 4), 0.5), area)
    assert not shapely.is_prepared(area)
    assert own_copy(area) is not area and own_copy(area).equals(area)
    shapely.contains_xy(area, 0.5, 0.5)
    assert shapely.is_prepared(area), "else this test could not fail"


def test_many_threads_at_once_answer_as_one():
    rng = np.random.default_rng(5)
    turn = np.linspace(0.0, 2.0 * np.pi, 300)[:-1]
    radius = 1.0 + 0.3 * np.sin(7.0 * turn)
    x, y = rng.uniform(-1.5, 1.5, (2, 500))
    inside = np.hypot(x, y) < 1.0 + 0.3 * np.sin(7.0 * np.arctan2(y, x))  # the curve that the corners lie on
    with ThreadPoolExecutor(8) as pool:
        for _ in range(20):
            area = shapely.Polygon(np.column_stack([radius * np.cos(turn), radius * np.sin(turn)]))
            for found in pool.map(lambda _, area=area: lie_inside(area, x, y), range(8)):
                assert (found != inside).mean() < 0.01


def test_nothing_else_asks_by_coordinates_or_prepares():
    """But for what one thread made for itself and holds alone."""
    found = [
        f"{path.relative_to(ROOT)}: {line.strip()}"
        for package in ("geo", "reports", "service")
        for path in sorted((ROOT / package).rglob("*.py"))
        for line in path.read_text().splitlines()
        if re.search(r"\b(contains_xy|intersects_xy|prepare|prep)\(", line)
    ]
    assert found == [
        "geo/inside.py: return shapely.contains_xy(own_copy(area), x, y)",
        "service/planning/sizing/flight_line.py: shapely.prepare(free)",
        "service/planning/sizing/pads.py: shapely.prepare(self.field)",
    ]
