"""Pads and flight line: every distance kept, people kept off, and no point of a coarse grid does better.

The checks are worked out here again with shapely from the document's own shapes, not by the search's code.
"""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest
import shapely

from service.planning.advise.errors import AdviceStopped
from service.planning.sizing.dimensions import PadNeed
from service.planning.sizing.flight_line import strip_size_m, strips_of
from service.planning.sizing.pad_search import pooled, search_pads
from service.planning.sizing.pads import PadSearch, best_pads
from tests.planning.advise.few_flights import demo
from tests.planning.sizing.seasons import few, ground

PEOPLE_M, EDGE_M, ROAD_M = 60.0, 90.0, 457.2


def need(name: str, limit_m: float) -> PadNeed:
    return PadNeed(name, limit_m, f"{limit_m:g} m", "rule", "clause", "G")


@cache
def clouds() -> tuple[np.ndarray, np.ndarray]:
    """Landings about the pad that drift to the north-east, and ballistic ones around it."""
    rng = np.random.default_rng(7)
    planned = rng.normal((420.0, 300.0), (330.0, 260.0), (6000, 2))
    ballistic = rng.normal((-40.0, -60.0), (90.0, 90.0), (6000, 2))
    return planned, ballistic


NEEDS = {
    "people_distance_m": need("people_distance_m", PEOPLE_M),
    "edge_distance_m": need("edge_distance_m", EDGE_M),
    "road_distance_m": need("road_distance_m", ROAD_M),
}


@cache
def searched():
    planned, ballistic = clouds()
    strips = strips_of([planned], [ballistic], ground(), demo().policy, PEOPLE_M)
    search = PadSearch(ground(), planned, NEEDS, strips)
    return search, best_pads(search)


def inside_share(at) -> float:
    boundary = shapely.Polygon(ground().boundary.exterior)
    shapely.prepare(boundary)
    return float(shapely.contains_xy(boundary, clouds()[0][:, 0] + at[0], clouds()[0][:, 1] + at[1]).mean())


def of_kind(*kinds):
    return shapely.union_all([zone.area for zone in ground().zones if zone.kind in kinds])


def keeps(at) -> bool:
    """Every distance to what stays where it is."""
    point = shapely.Point(at)
    kept = ground().boundary.contains(point) and ground().boundary.exterior.distance(point) >= EDGE_M
    kept &= of_kind("road").distance(point) >= ROAD_M and of_kind("parking").distance(point) >= PEOPLE_M
    return bool(kept and not of_kind("building", "power_line", "water", "trees", "keep_out").intersects(point))


def test_it_beats_every_point_of_a_coarse_grid():
    _, found = searched()
    west, south, east, north = ground().boundary.bounds
    tried = 0
    for x in np.arange(west, east, 45.0):
        for y in np.arange(south, north, 45.0):
            if keeps((x, y)):
                tried += 1
                assert inside_share((x, y)) <= found.best.inside + 1e-9, (x, y)
    assert tried > 100
    assert found.best.inside == pytest.approx(inside_share(found.best.at))
    assert found.best.inside >= found.coarse.inside and found.best.key >= found.coarse.key


def test_a_step_in_no_direction_is_better():
    search, found = searched()
    for bearing in range(0, 360, 45):
        step = 2.0 * math.sin(math.radians(bearing)), 2.0 * math.cos(math.radians(bearing))
        other = search.try_at((found.best.at[0] + step[0], found.best.at[1] + step[1]))
        assert other is None or other.key <= found.best.key


def test_every_distance_is_kept():
    search, found = searched()
    assert keeps(found.best.at)
    strip = search.strips.shape(found.best.line, found.best.at)
    point = shapely.Point(found.best.at)
    assert strip.distance(point) == pytest.approx(found.best.line.distance_m) and strip.distance(point) >= PEOPLE_M
    assert ground().boundary.contains(strip)
    assert not of_kind("parking", "building", "road", "power_line", "water", "trees", "keep_out").intersects(strip)


def test_the_people_stand_where_the_limits_are_kept_and_no_nearer_place_does():
    search, found = searched()
    line = found.best.line
    strip = search.strips.shape(line, (0.0, 0.0))
    shares = [float(shapely.contains_xy(strip, cloud[:, 0], cloud[:, 1]).mean()) for cloud in clouds()]
    assert [line.planned, line.ballistic] == pytest.approx(shares, abs=1e-4)
    most = {2: demo().policy.people_caution, 1: demo().policy.people_stop}[line.level]
    assert max(shares) <= most and line.near == (line.distance_m <= 2.0 * PEOPLE_M)
    nearer = [each for each in search.strips.best_first if each.distance_m < line.distance_m]
    for each in nearer:
        shape = search.strips.shape(each, found.best.at)
        assert each.rank > line.rank or not search.free.contains(shape)


def test_the_strip_holds_as_much_ground_as_the_people_drawn():
    length_m, depth_m = strip_size_m(ground())
    drawn = sum(zone.area.area for zone in ground().zones if zone.kind == "people")
    assert length_m * depth_m == pytest.approx(drawn) and length_m == pytest.approx(4 * depth_m)


def test_the_area_keeps_every_distance_and_loses_little():
    search, found = searched()
    assert found.area.covers(shapely.Point(found.best.at))
    strip = search.strips.shape(found.best.line, found.best.at)
    rng = np.random.default_rng(3)
    west, south, east, north = found.area.bounds
    cell = found.grid_m / 4
    for _ in range(60):
        at = (rng.uniform(west, east), rng.uniform(south, north))
        if not found.area.contains(shapely.Point(at)):
            continue
        # a cell of the area is judged by its middle
        assert strip.distance(shapely.Point(at)) >= PEOPLE_M - cell
        assert ground().boundary.exterior.distance(shapely.Point(at)) >= EDGE_M - cell
        assert inside_share(at) >= found.best.inside - 0.002 - 0.01


def test_no_place_keeps_what_no_field_has():
    planned, ballistic = clouds()
    strips = strips_of([planned], [ballistic], ground(), demo().policy, PEOPLE_M)
    search = PadSearch(ground(), planned, {"edge_distance_m": need("edge_distance_m", 5000.0)}, strips)
    assert best_pads(search) is None


def test_what_the_field_has_no_room_for_is_left_out_class_by_class(monkeypatch):
    """The G class is made to ask for 5 km to the edge; the A and D classes keep their place."""
    from service.planning.sizing import pad_search

    def needs(day, fleet, apogees_m):
        return {**NEEDS, "edge_distance_m": need("edge_distance_m", 5000.0 if "G" in fleet.letters else EDGE_M)}

    monkeypatch.setattr(pad_search, "pad_needs", needs)
    planned, ballistic = clouds()
    landings = {(number, mode): cloud for number in range(3)
                for mode, cloud in (("planned", planned), ("no_deployment", ballistic))}  # fmt: skip
    found = search_pads(demo(), ground(), few(), landings, [100.0] * 3, lambda: False, lambda done, total: None)
    assert found.served == ("A", "D") and found.found is not None and found.search.rockets == (0, 1)
    assert found.needs["edge_distance_m"].limit_m == EDGE_M


def test_pooling_weighs_by_counts():
    near, far = np.zeros((1000, 2)), np.full((1000, 2), 9.0)
    whole = pooled([near, far], np.array([3, 1]))
    assert float((whole[:, 0] == 0.0).mean()) == pytest.approx(0.75, abs=0.01)


def test_called_off():
    planned, ballistic = clouds()
    strips = strips_of([planned], [ballistic], ground(), demo().policy, PEOPLE_M)
    with pytest.raises(AdviceStopped):
        best_pads(PadSearch(ground(), planned, NEEDS, strips, (), lambda: True))
