"""The ground of a day is shared by all threads that assess: none of them may leave anything in it."""

from __future__ import annotations

import shapely

from service.planning.assess import assess_entry
from service.planning.ground import ground_of
from tests.planning.advise.few_flights import SAMPLES, demo


def test_an_assessment_prepares_nothing_that_it_shares():
    entry, ground = demo().entry_by_id("e-03"), ground_of(demo())
    assert assess_entry(demo(), entry, ground=ground, most_samples=SAMPLES, threads=2).estimate is not None
    areas = [ground.boundary, *(zone.area for zone in ground.zones)]
    assert len(areas) > 5 and not shapely.is_prepared(areas).any()
