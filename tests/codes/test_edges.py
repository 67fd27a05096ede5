"""A walk along the edge of every numeric rule: on the limit, a hair inside, a hair outside, not a number, missing.

The rules say a limit met exactly is allowed; law and code stop, practice cautions; what is missing is unknown. The
limits themselves are held against print elsewhere; here the comparison is.
"""

import math

import pytest

from service.codes.classify import with_classes
from service.codes.evaluate import evaluate
from service.codes.facts import Reader
from service.codes.limits import least, most
from service.codes.quantities import QUANTITIES, with_statistic
from service.codes.rulebook import rulebook
from service.codes.units import convert
from tests.codes.samples import ALL_CODES, HIGH_POWER, MODEL

SPECIAL = {
    # Facts that make a rule apply which the two ordinary rockets do not meet.
    "us-mr-mass-launch": MODEL | {"simultaneous_count": 12},
    "us-hpr-mass-launch": HIGH_POWER | {"simultaneous_high_power_count": 3},
    "adv-descent-drogue": HIGH_POWER | {"recovery_events": 2},
    "adv-main-alt": HIGH_POWER | {"recovery_events": 2},
    "adv-people-drogue": HIGH_POWER | {"recovery_events": 2},
    "adv-people-unlit": HIGH_POWER | {"motor_count": 2},
    "adv-dual-deploy": HIGH_POWER | {"apogee_m": 900.0},
    "ca-hybrid-distance": HIGH_POWER | {"hybrid": True},
    "us-far-cloudcover": HIGH_POWER | {"cloud_base_m": 500.0},
}
# Outside these the rocket is another kind of rocket, and another rule speaks.
BECOMES_ANOTHER_KIND = {"ca-mr-size"}


def _sides():
    for each in rulebook(ALL_CODES).rules:
        for side in ("at_least", "at_most"):
            if getattr(each.rule, side) is not None:
                yield pytest.param(each, side, id=f"{each.rule.id} {side}")


def _facts(each):
    model_only = each.code in ("us-model",) or each.rule.id in ("club-ceiling", "ca-mr-size")
    return with_classes(SPECIAL.get(each.rule.id, MODEL if model_only else HIGH_POWER)) | {"high_power_covered": True,
                                                                                          "model_covered": True}


def _put(each, facts, value):
    """The facts with the measured value, given in the rule's unit, under every statistic of it."""
    own = QUANTITIES[each.key].unit
    si = value if value is None else convert(value, each.unit, own)
    statistics = ("nominal", "low", "high") if QUANTITIES[each.key].spread else ("nominal",)
    return facts | {with_statistic(each.key, statistic): si for statistic in statistics}


def _limit(each, side, facts):
    reader = Reader(facts)
    limits = list(getattr(each.rule, side))
    for extra in each.added:
        limits += getattr(extra, side) or ()
    choose = most if side == "at_least" else least
    limit = choose(limits, each.unit, reader, each.tables).value
    assert limit is not None, f"{each.rule.id} needs facts under which it has a limit: {reader.missing()}"
    return limit


@pytest.mark.parametrize("each, side", list(_sides()))
def test_the_edge(each, side):
    facts = _facts(each)
    limit = _limit(each, side, facts)
    hair = 1e-6 * max(1.0, abs(limit)) if abs(limit) >= 0.01 or limit == 0.0 else 1e-6 * abs(limit)
    inward = hair if side == "at_least" else -hair
    broken = each.rule.when_broken or ("caution" if each.rule.weight == "practice" else "stop")

    if each.rule.yardstick:
        assert evaluate(each, _put(each, facts, limit)) is None  # kept to, it clears nothing
    else:
        on = evaluate(each, _put(each, facts, limit))
        assert on.standing == "clear"
        assert on.limit == pytest.approx(limit, rel=1e-12)
        assert on.margin == pytest.approx(0.0, abs=1e-9 * max(1.0, abs(limit)))
        assert evaluate(each, _put(each, facts, limit + inward)).standing == "clear"
    outside = evaluate(each, _put(each, facts, limit - inward))
    if each.rule.id in BECOMES_ANOTHER_KIND:
        assert outside is None
    else:
        assert outside.standing == broken
        assert outside.margin == pytest.approx(-hair, rel=1e-3)
    for nothing in (None, math.nan, math.inf, -math.inf, True, "7", 1e300):
        found = evaluate(each, facts | {key: nothing for key in _put(each, {}, 1.0)})
        assert found.standing == "unknown", f"{nothing!r} gave {found.standing}"
        assert found.measured is None
        assert each.key.split("_")[0] in found.note


def _equalities():
    for each in rulebook(ALL_CODES).rules:
        if each.rule.equals is not None:
            yield pytest.param(each, id=each.rule.id)


@pytest.mark.parametrize("each", list(_equalities()))
def test_a_yes_or_no(each):
    other = {"model": "high_power", "high_power": "model"}.get(each.rule.equals, each.rule.equals is not True)
    facts = _facts(each) | {"hybrid": True, "tilt_deg": 3.0, "high_power_covered": False, "model_covered": False}
    if each.rule.id == "us-mr-age-g":
        facts |= {"motor_impulse_ns": 100.0}
    assert evaluate(each, facts | {each.key: each.rule.equals}).standing == "clear"
    assert evaluate(each, facts | {each.key: other}).standing == each.rule.broken
    for nothing in (None, 1, "perhaps", math.nan):
        assert evaluate(each, facts | {each.key: nothing}).standing == "unknown"


@pytest.mark.parametrize("each", [each for each in rulebook(ALL_CODES).rules if each.rule.statistic == "interval"],
                         ids=lambda each: each.rule.id)
def test_an_interval_across_the_limit_is_too_near_to_call(each):
    facts = SPECIAL.get(each.rule.id, HIGH_POWER)
    limit = _limit(each, "at_most", with_classes(facts)) / 100.0
    keys = [with_statistic(each.key, statistic) for statistic in ("low", "nominal", "high")]

    def said(*values):
        return evaluate(each, with_classes(facts | dict(zip(keys, values, strict=True)))).standing

    assert said(limit * 0.8, limit * 0.9, limit * 0.99) == "clear"
    assert said(limit * 0.8, limit * 0.9, limit * 1.1) == "unknown"
    assert said(limit * 0.9, limit * 1.1, limit * 1.2) == "unknown"
    assert said(limit * 1.01, limit * 1.1, limit * 1.2) == each.rule.broken
    assert said(limit * 0.8, limit * 0.9, None) == "unknown"


@pytest.mark.parametrize("rocket", [MODEL, HIGH_POWER], ids=["model", "high power"])
@pytest.mark.parametrize("worse", [{}, {"surface_wind_mps": 12.0, "gust_mps": 15.0, "apogee_m": 3000.0,
                                        "apogee_high_m": 3300.0, "cloud_cover": 0.9, "visibility_m": 3000.0,
                                        "tilt_deg": 35.0, "people_distance_m": 2.0, "outsider_distance_m": 9.0}],
                         ids=["good day", "bad day"])
def test_knowing_less_never_clears(rocket, worse):
    facts = rocket | worse

    def clear_or_silent(given):
        complete = with_classes(given) | {"model_covered": True, "high_power_covered": True}
        found = {each.rule.id: evaluate(each, complete) for each in rulebook(ALL_CODES).rules}
        return {name for name, each in found.items() if each is None or each.standing == "clear"}

    before = clear_or_silent(facts)
    for name in facts:
        for nothing in (None, math.nan):
            gained = clear_or_silent(facts | {name: nothing}) - before
            assert not gained, f"without {name}: {gained}"
