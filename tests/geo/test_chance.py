"""The chance of landing inside: monotone, honest about few events, refusing what is not known."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from geo.containment import (
    Interval,
    call_threshold,
    chance_inside,
    chance_per_zone,
    clopper_pearson,
    independent_interval,
    per_look_confidence,
    replicate_interval,
    samples_needed,
)
from geo.errors import BadChance, BadGeometry, BadSamples

FIELD = shapely.box(-100.0, -100.0, 100.0, 100.0)


def cloud(replicates=8, each=64, seed=2):
    return 80.0 * np.random.default_rng(seed).standard_normal((2, replicates, each))


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10_000), st.floats(0.0, 300.0), st.floats(0.0, 300.0), st.booleans())
def test_chance_never_falls_when_the_field_grows(seed, margin_m, more_m, flat):
    east, north = cloud(seed=seed)
    if flat:
        east, north = east.ravel(), north.ravel()
    small, large = FIELD.buffer(1.0 + margin_m), FIELD.buffer(1.0 + margin_m + more_m)
    assert chance_inside(east, north, large).estimate >= chance_inside(east, north, small).estimate


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000))
def test_chance_does_not_turn_or_shuffle(seed):
    east, north = cloud(seed=seed)
    wanted = chance_inside(east, north, FIELD)
    order = np.random.default_rng(seed).permutation(east.size)
    ids = np.repeat(np.arange(8), 64)
    found = chance_inside(east.ravel()[order], north.ravel()[order], FIELD, replicate_ids=ids[order])
    assert found == wanted
    assert chance_inside(north, -east, FIELD).inside == wanted.inside  # a quarter turn of a square field


def test_interval_holds_its_estimate_and_mirrors():
    found = chance_inside(*cloud(), FIELD)
    assert 0.0 <= found.low <= found.estimate <= found.high <= 1.0
    other = found.complement()
    assert (other.estimate, other.low, other.high) == (1 - found.estimate, 1 - found.high, 1 - found.low)
    assert other.inside == found.samples - found.inside


def test_all_inside_is_not_certain():
    # one-sided 97.5 %, none outside in 1024: 1 - 0.025^(1/1024) = 0.00360, closed form
    found = chance_inside(np.zeros((16, 64)), np.zeros((16, 64)), FIELD)
    assert found.estimate == 1.0 and found.method == "replicates, widened"
    assert 1.0 - found.low == pytest.approx(1.0 - 0.025 ** (1.0 / 1024.0), rel=1e-9)
    assert found.standard_error == 0.0


def test_agreeing_scrambles_are_widened():
    found = replicate_interval([0.5] * 16, 64)
    assert (found.low, found.high) == pytest.approx(clopper_pearson(512, 1024))


def test_one_event_in_one_scramble_is_widened_both_ways():
    found = replicate_interval([1.0] * 15 + [63 / 64], 64)
    low, high = clopper_pearson(1023, 1024)
    assert found.low <= low and found.high >= high


def test_points_on_the_edge_are_outside():
    assert chance_inside([100.0, 99.9], [0.0, 0.0], FIELD).inside == 1


@pytest.mark.parametrize("east,north,words", [
    ([math.nan, 0.0], [0.0, 0.0], "1 of 2 landing points"),
    ([math.inf, 0.0], [0.0, math.nan], "2 of 2 landing points"),
    ([0.0, 0.0], [0.0], "one shape"),
    ([], [], "not empty"),
    (np.zeros((2, 2, 2)), np.zeros((2, 2, 2)), "one shape"),
    (np.zeros((1, 64)), np.zeros((1, 64)), "at least 2"),
])  # fmt: skip
def test_bad_samples_are_refused(east, north, words):
    with pytest.raises(BadSamples, match=words):
        chance_inside(east, north, FIELD)


def test_shapes_that_hold_nothing_are_refused():
    bow_tie = shapely.Polygon([(0, 0), (1, 1), (1, 0), (0, 1)])
    for shape in (shapely.Polygon(), bow_tie):
        with pytest.raises(BadGeometry, match="nothing can be inside"):
            chance_inside([0.0, 1.0], [0.0, 1.0], shape)


def test_uneven_scrambles_are_refused():
    with pytest.raises(BadSamples, match="1 to 2 points"):
        chance_inside([0.0] * 3, [0.0] * 3, FIELD, replicate_ids=[0, 0, 1])
    with pytest.raises(BadSamples, match="shape"):
        chance_inside([0.0] * 3, [0.0] * 3, FIELD, replicate_ids=[0, 0])


def test_zones_by_name_and_lines_refused():
    east, north = cloud()
    found = chance_per_zone(east, north, {"west": shapely.box(-500, -500, 0, 500), "all": FIELD.buffer(5000)})
    assert found["all"].estimate == 1.0 and 0.4 < found["west"].estimate < 0.6
    with pytest.raises(BadSamples, match="'lane' has no area"):
        chance_per_zone(east, north, {"lane": shapely.LineString([(0, 0), (1, 1)])})


def interval(low, high):
    return Interval(0.5 * (low + high), low, high, 0.0, 0.95, 0, 1, 1, "independent")


@pytest.mark.parametrize("low,high,called", [
    (0.0, 0.009, "below"), (0.0, 0.01, "below"), (0.0, 0.011, "undecided"), (0.01, 0.03, "undecided"),
    (0.0101, 0.05, "between"), (0.0101, 0.051, "undecided"), (0.05, 0.2, "undecided"), (0.0501, 0.2, "above"),
    (0.0, 1.0, "undecided"), (math.nan, math.nan, "undecided"), (0.0, math.nan, "undecided"),
])  # fmt: skip
def test_calls_at_the_limits(low, high, called):
    assert call_threshold(interval(low, high), caution=0.01, stop=0.05) == called


@pytest.mark.parametrize("call", [
    lambda: call_threshold(interval(0.0, 0.1), 0.05, 0.01),
    lambda: call_threshold(interval(0.0, 0.1), math.nan, 0.01),
    lambda: clopper_pearson(3, 2),
    lambda: clopper_pearson(0, 0),
    lambda: clopper_pearson(1, 2, 1.0),
    lambda: clopper_pearson(1, 2, math.nan),
    lambda: samples_needed(1.0),
    lambda: samples_needed(0.95, -1),
    lambda: replicate_interval([0.5, math.nan], 64),
    lambda: independent_interval(-1, 10),
])  # fmt: skip
def test_bad_chances_are_refused(call):
    with pytest.raises(BadChance):
        call()


def test_looking_again_asks_for_more():
    # Bonferroni: three looks at 98.33 % miss together in at most 5 %
    assert per_look_confidence(0.95, 1) == pytest.approx(0.95)
    assert per_look_confidence(0.95, 3) == pytest.approx(1.0 - 0.05 / 3.0)
    with pytest.raises(BadChance):
        per_look_confidence(0.95, 0)
