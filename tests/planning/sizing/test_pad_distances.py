"""Each rocket is held against its own pad: a great distance that one rocket is asked for is no other pad's fault.

What a pad has is worked out here again with shapely from the document's shapes. The distances asked for are those of
the tables of the NAR codes (restated): 15 and 30 ft for models, 100 and 300 ft for high power up to J and for L.
"""

from __future__ import annotations

from functools import cache

import pytest
import shapely

from reports.sentences import say
from service.models.day import LaunchDay
from service.planning.sizing.dimensions import minimum_dimensions
from service.planning.sizing.fleet import Fleet, fleet_of_entries
from service.planning.sizing.fleet_csv import read_fleet_csv
from service.planning.sizing.pad_distances import pad_distances
from service.planning.sizing.pad_search import Searched
from service.planning.sizing.wording import distances_now, letters_words, whose_words
from tests.planning.advise.few_flights import demo
from tests.planning.sizing.seasons import ground

FOOT_M = 0.3048
NOWHERE = Searched({}, (), None, None)


def rows(fleet: Fleet, day: LaunchDay | None = None):
    return list(pad_distances(day or demo(), ground(), fleet, [500.0] * len(fleet.rockets), NOWHERE))


@cache
def whole():
    return fleet_of_entries(demo(), ground())


def people_m(pad: str) -> float:
    """From a pad to the nearest people."""
    people = shapely.union_all([zone.area for zone in ground().zones if zone.kind == "people"])
    return float(shapely.Point(ground().pad_at(demo().pad_by_name(pad))).distance(people))


def moved(entry: str, pad: str) -> LaunchDay:
    entries = tuple(
        each.model_copy(update={"pad": pad}) if each.id == entry else each for each in demo().entries
    )  # fmt: skip
    return demo().model_copy(update={"entries": entries})


def test_the_small_rockets_near_the_people_do_not_break_what_the_large_one_is_asked_for():
    found = [each for each in rows(whole()) if each.quantity == "people_distance_m"]
    assert [round(each.limit_m / FOOT_M) for each in found] == [15, 30, 100, 300]
    assert people_m("A1") < 300 * FOOT_M < people_m("C2")
    for each in found:
        own = [people_m(rocket.entry.pad) for rocket in whole().rockets if rocket.letter in each.letters]
        assert each.found_now_m == pytest.approx(min(own)) and each.met_now, each
    assert found[-1].letters == ("L",) and found[-1].pad == "C2"
    said = say(distances_now(rows(whole())), "si")
    assert "NOT" not in said and "each rocket keeps every distance" in said and "pad A1 to the nearest people" in said


def test_a_rocket_too_near_the_people_is_named_with_its_pad():
    day = moved("e-18", "A1")
    found = rows(fleet_of_entries(day, ground()), day)
    broken = [each for each in found if each.met_now is False]
    assert [(each.rocket[:4], each.pad, each.letters) for each in broken] == [("e-18", "A1", ("L",))]
    said = say(distances_now(found), "si")
    assert said == (
        f"As the pads stand, NOT kept: {broken[0].rocket}, pad A1 to the nearest people {people_m('A1'):.1f} m, "
        "at least 91.4 m asked for."
    )


def test_a_list_of_classes_says_from_which_pads_a_distance_is_kept():
    found = rows(read_fleet_csv("class,count\nC,5\nL,2", demo(), "a list", ground()))
    people = {each.letters: each for each in found if each.quantity == "people_distance_m"}
    large, small = people["L",], people["C",]
    keeps = tuple(each.name for each in demo().field.pads if people_m(each.name) >= 300 * FOOT_M)
    assert 0 < len(keeps) < len(demo().field.pads)
    assert large.met_now is None and large.kept_from == keeps and small.met_now is True
    nearest = min((people_m(each.name), each.name) for each in demo().field.pads)
    assert large.pad == nearest[1] and large.found_now_m == pytest.approx(nearest[0])
    said = say(distances_now(found), "si")
    assert "Not known whether kept" in said and f"kept from pad {' and '.join(keeps)} only" in said
    assert f"kept from pad {keeps[0]}" in whose_words(large)


def test_the_distance_to_outsiders_is_that_of_the_classes_own_pads():
    """Of the demo, class I flies from another pad than class J."""
    found = {
        each.letter: each
        for each in minimum_dimensions(demo(), ground(), whole(), [500.0] * len(whole().rockets))
        if each.what == "outsiders" and each.rule == "us-far-separation"
    }
    pads = {rocket.letter: rocket.entry.pad for rocket in whole().rockets}
    roads = [
        zone.area for zone in ground().zones if zone.kind in ("road", "building") and zone.zone.occupied is not False
    ]
    for letter, each in found.items():
        at = shapely.Point(ground().pad_at(demo().pad_by_name(pads[letter])))
        expected = min(at.distance(shape) for shape in [ground().boundary.exterior, *roads])
        assert each.pad == pads[letter] and each.found_m == pytest.approx(expected)
    assert len({each.found_m for each in found.values()}) > 1


@pytest.mark.parametrize(
    ("letters", "said"),
    [(("L",), "L"), (("A", "B"), "A, B"), (("H", "I", "J"), "H to J"), (("D", "F", "G"), "D, F, G")],
)
def test_classes_of_a_row(letters, said):
    assert letters_words(letters) == said
