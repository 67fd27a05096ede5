"""Where names on a map go: beside their marks, and no leader through another mark where there is another way."""

from __future__ import annotations

from reports.labels import LabelPlacer
from reports.scene import Label, Line

FRAME = (0.0, 0.0, 200.0, 200.0)
MARK = (100.0, 100.0)


def around(at, r=5.0):
    return at[0] - r, at[1] - r, at[0] + r, at[1] + r


def placed(*kept_free, **how):
    placer = LabelPlacer(FRAME)
    for box in (around(MARK), *kept_free):
        placer.keep_free(box)
    shapes = placer.place("pad C2", MARK, **how)
    label = next(each for each in shapes if isinstance(each, Label))
    return label, [each for each in shapes if isinstance(each, Line)]


def test_the_name_stands_to_the_right_of_its_mark():
    label, _ = placed()
    assert label.at[0] > MARK[0]


def test_a_leader_goes_round_another_mark():
    """Another mark just to the right: the name goes elsewhere, though the place beyond that mark is free."""
    other = around((112.0, 100.0))
    label, leaders = placed(other, distances=(19.0,))
    assert leaders
    for line in leaders:
        (x0, y0), (x1, y1) = line.points
        for step in range(101):
            x, y = x0 + step / 100 * (x1 - x0), y0 + step / 100 * (y1 - y0)
            assert not (other[0] < x < other[2] and other[1] < y < other[3])
    assert label.at[0] < other[2]


def test_a_leader_that_may_not_cross_is_not_drawn():
    ring = [around((100.0 + 12.0 * x, 100.0 + 12.0 * y), 6.0) for x in (-1, 0, 1) for y in (-1, 0, 1) if x or y]
    placer = LabelPlacer(FRAME)
    for box in (around(MARK), *ring):
        placer.keep_free(box)
    assert placer.place("pad C2", MARK, may_cross=False) == []


def test_where_every_way_is_barred_the_name_stands_all_the_same():
    ring = [around((100.0 + 12.0 * x, 100.0 + 12.0 * y), 6.0) for x in (-1, 0, 1) for y in (-1, 0, 1) if x or y]
    label, leaders = placed(*ring)
    assert label.text == "pad C2" and leaders
