"""Rules that hold under any codes, or none: a flight that is no flight stops, and what is not known of it is unknown.

Thrust has to exceed weight for a rocket to rise (Newton), and a body flies nose first only where its centre of pressure
lies behind its centre of gravity (Barrowman, report for NARAM-8, 1966; from memory): both closed form.
"""

import math

import pytest

from service.codes.load import FILES
from service.codes.rulebook import evaluate_all
from tests.codes.samples import HIGH_POWER, MODEL

PACKS = [[], *[[code] for code in FILES], list(FILES)]


def standing(rule_id, codes, facts):
    return {each.rule: each.standing for each in evaluate_all(codes, [], facts)}[rule_id]


@pytest.mark.parametrize("rocket", [MODEL, HIGH_POWER], ids=["model", "high power"])
@pytest.mark.parametrize("codes", PACKS, ids="+".join)
def test_a_rocket_that_the_air_turns_around_stops_under_every_code(codes, rocket):
    off = rocket | {"static_margin_cal": -0.2, "least_static_margin_cal": -0.3}
    later = rocket | {"static_margin_cal": 1.2, "least_static_margin_cal": -0.01}
    unknown = rocket | {"static_margin_cal": None, "least_static_margin_cal": None}
    assert standing("mot-stable", codes, rocket) == "clear"
    assert standing("mot-stable", codes, off) == standing("mot-stable", codes, later) == "stop"
    assert standing("mot-stable", codes, unknown) == "unknown"


@pytest.mark.parametrize("margin_cal, stands", [(0.0, "stop"), (-0.0, "stop"), (1e-6, "clear"), (math.nan, "unknown")])
def test_no_margin_at_all_is_none(margin_cal, stands):
    facts = MODEL | {"static_margin_cal": margin_cal, "least_static_margin_cal": margin_cal}
    assert standing("mot-stable", ["us-model"], facts) == stands


def test_one_margin_below_zero_stops_though_the_other_is_not_known():
    assert standing("mot-stable", [], MODEL | {"static_margin_cal": -1.0, "least_static_margin_cal": None}) == "stop"
    assert standing("mot-stable", [], MODEL | {"least_static_margin_cal": None}) == "unknown"


@pytest.mark.parametrize("ratio, stands", [(0.4, "stop"), (1.0, "stop"), (1.01, "clear"), (None, "unknown")])
@pytest.mark.parametrize("codes", PACKS, ids="+".join)
def test_thrust_no_greater_than_the_weight_stops_under_every_code(codes, ratio, stands):
    assert standing("mot-lifts", codes, MODEL | {"thrust_to_weight": ratio}) == stands


@pytest.mark.parametrize("left, stands", [(False, "stop"), (True, "clear"), (None, "unknown")])
@pytest.mark.parametrize("codes", PACKS, ids="+".join)
def test_a_rocket_that_stays_on_its_guide_stops_under_every_code(codes, left, stands):
    assert standing("mot-leaves-guide", codes, MODEL | {"guide_left": left}) == stands


def test_a_stop_of_these_prints_what_was_found():
    found = {each.rule: each for each in evaluate_all([], [], MODEL | {"thrust_to_weight": 0.4,
                                                                      "least_static_margin_cal": -0.3})}
    assert found["mot-lifts"].measured == 0.4 and found["mot-stable"].measured == -0.3
