"""Contours as fine as paper shows, and no finer."""

import dataclasses
import math

import numpy as np
import pytest
import shapely
from shapely import Polygon

from reports.drawings.outline import simplified
from reports.ground_data import Contour
from reports.sheet import render_sheet
from tests.reports.sample import FIELD, REED, SHEET, ellipse

WIDE, TALL = 240.0, 200.0  # of the map [pt]
FIELD_WIDE_M, FIELD_TALL_M = 420.0 + 345.0, 350.0 + 300.0  # of the sample's boundary, by hand
FINEST_M = 0.2 / 25.4 * 72.0 * max(FIELD_WIDE_M / WIDE, FIELD_TALL_M / TALL)  # 0.2 mm on paper


def rough_ring(count: int) -> tuple[tuple[float, float], ...]:
    """An ellipse with the tremble of a contour over a grid."""
    rng = np.random.default_rng(7)
    ring = np.array(ellipse(100.0, 50.0, 150.0, 80.0, 40.0, count))
    return tuple(map(tuple, (ring + rng.normal(0.0, 0.1 * FINEST_M, ring.shape)).tolist()))


def test_a_contour_moves_by_less_than_paper_shows_and_grows_light():
    ring = rough_ring(4000)
    [contour] = simplified((Contour(0.95, (ring,)),), FIELD, WIDE, TALL)
    moved = shapely.hausdorff_distance(Polygon(ring).exterior, Polygon(contour.rings[0]).exterior)
    assert moved <= FINEST_M * 1.01
    assert len(contour.rings[0]) < 200


def test_specks_are_left_out_but_no_contour_vanishes():
    speck = tuple((x * 0.001, y * 0.001) for x, y in ellipse(0.0, 0.0, 50.0, 30.0, 0.0))
    [both] = simplified((Contour(0.95, (rough_ring(400), speck)),), FIELD, WIDE, TALL)
    assert len(both.rings) == 1
    [alone] = simplified((Contour(0.95, (speck,)),), FIELD, WIDE, TALL)
    assert len(alone.rings) == 1 and len(alone.rings[0]) > 2


@pytest.mark.parametrize(
    "rings", [(), ((),), (((math.nan, 0.0), (1.0, 1.0), (2.0, 0.0)),)], ids=["none", "empty", "nan"]
)
def test_what_is_no_ring_is_left_alone(rings):
    [contour] = simplified((Contour(0.95, rings),), FIELD, WIDE, TALL)
    assert contour.rings == rings


def test_fine_contours_do_not_make_the_file_heavy():
    fine = dataclasses.replace(REED.footprints[0], contours=(Contour(0.95, (rough_ring(40_000),)),))
    plain = render_sheet(dataclasses.replace(SHEET, entries=(REED,)))
    heavy = render_sheet(dataclasses.replace(SHEET, entries=(dataclasses.replace(REED, footprints=(fine,)),)))
    assert len(heavy) < len(plain) + 10_000
