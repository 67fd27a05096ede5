"""A class rests on rockets that fly: one that is not stable is left out, one that holds its class back is named.

Margins: a rocket whose centre of pressure lies ahead of its centre of gravity turns around (closed form).
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from reports.sentences import say
from service.models.sizing import HeldBack, LeftOut
from service.planning.sizing.errors import NothingToSize
from service.planning.sizing.fleet import Fleet, fleet_of_entries
from service.planning.sizing.profiles import profiles_of, speeds_to_fly
from service.planning.sizing.report import sizing_report
from service.planning.sizing.season import light_of
from service.planning.sizing.season_csv import read_winds_csv
from service.planning.sizing.size import size_field
from service.planning.sizing.unsteady import without_unsteady
from service.planning.sizing.wording import held_back_words, left_out_words
from tests.planning.advise.few_flights import demo
from tests.planning.sizing.seasons import ground, winds_text

MOTH, GLIDER, OTHER_C, LARK = "e-15", "e-05", "e-06", "e-02"


@cache
def winds():
    return read_winds_csv(winds_text(hours=240), "short season")


def fleet(*ids: str) -> Fleet:
    entries = tuple(demo().entry_by_id(each) for each in ids)
    return fleet_of_entries(demo().model_copy(update={"entries": entries}), ground())


def calm():
    light = light_of(winds(), demo()).light & winds().known
    return profiles_of(winds(), light, speeds_to_fly(7.5)).flown[0][0]


def test_a_rocket_that_is_not_stable_is_left_out():
    kept, out = without_unsteady(demo(), fleet(MOTH, LARK), calm())
    assert [each.name[:4] for each in kept.rockets] == [LARK] and [each.rocket[:4] for each in out] == [MOTH]
    assert out[0].margin_cal < 0.0 and out[0].letter == "H"


def test_with_its_weight_in_the_nose_it_stays():
    moth = fleet(MOTH).rockets[0]
    heavy = moth.entry.rocket.model_copy(update={"cg_from_nose_m": 0.1})
    forward = replace(moth, entry=moth.entry.model_copy(update={"rocket": heavy}))
    assert without_unsteady(demo(), Fleet((forward,), "one"), calm())[1] == ()


@pytest.fixture(scope="module")
def sized():
    return size_field(
        demo(), winds(), fleet(MOTH, GLIDER, OTHER_C, LARK), ground=ground(), samples=64, threads=1, altitudes=False
    )


def test_its_class_is_not_spoken_of_and_the_rocket_is_named(sized):
    assert [each.letter for each in sized.fleet] == ["A", "C"] and {each.letter for each in sized.shares} == {"A", "C"}
    said = dict(sizing_report(demo(), sized).answer)["Left out"]
    assert "NOT stable" in said and sized.left_out[0].rocket in said and "\N{MINUS SIGN}" in said
    # what is asked of it stays: no rule forgets a rocket because it does not fly straight
    assert "H" in {each.letter for each in sized.dimensions}
    assert any("H" in each.letters for each in sized.pads.distances)
    assert "No other rocket of class H" in said and any("NOT stable" in each for each in sized.words)


def test_the_glider_that_holds_its_class_back_is_named_and_what_it_costs_is_flown(sized):
    (found,) = sized.held_back
    assert found.letter == "C" and found.rocket.startswith(GLIDER) and found.glides
    alone = size_field(
        demo(), winds(), fleet(OTHER_C), ground=ground(), samples=64, threads=1, altitudes=False
    )  # fmt: skip
    stays = [each.wind_mps for each in alone.winds if each.highest_class == "C"]
    assert found.wind_without_mps == max(stays) > (found.wind_mps or 0.0)
    assert "which glides" in say(dict(sizing_report(demo(), sized).answer)["Classes"], "si")


def test_a_notice_is_needed_for_a_rocket_that_is_left_out():
    """Over 1,500 g at lift-off is Class 2 (14 CFR 101.22)."""
    both = fleet(MOTH, LARK)
    moth = next(each for each in both.rockets if each.name.startswith(MOTH))
    heavy = moth.entry.rocket.model_copy(update={"mass_kg": 1.6})
    heavier = replace(moth, entry=moth.entry.model_copy(update={"rocket": heavy}))
    mixed = replace(both, rockets=(*(each for each in both.rockets if each is not moth), heavier))
    found = size_field(demo(), winds(), mixed, ground=ground(), samples=64, threads=1, altitudes=False)
    assert len(found.left_out) == 1 and found.sheet.needed and "1 of 2 rockets" in found.sheet.needed_words


def test_nothing_but_such_rockets_is_nothing_to_size():
    with pytest.raises(NothingToSize, match="NOT stable"):
        size_field(demo(), winds(), fleet(MOTH), ground=ground(), samples=64, threads=1)


def test_words():
    one = HeldBack(letter="G", rocket="e-14 Dandelion", glides=False, wind_mps=None, wind_without_mps=0.0)
    assert say(held_back_words([one]), "si") == (
        "Class G is held back by e-14 Dandelion: it stays inside in no wind flown, without it in calm air."
    )
    assert held_back_words([]) == "" and left_out_words([], []) == ""
    out = LeftOut(rocket="x", letter="H", count=1, margin_cal=-0.5)
    assert "nothing is said of it" not in left_out_words([out], ["H"])
