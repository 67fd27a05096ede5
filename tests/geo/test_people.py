"""Expected casualties by hand, and what is refused."""

import math

import pytest

from geo.containment import clopper_pearson, independent_interval
from geo.errors import BadChance, BadSamples
from geo.people import (
    COLLECTIVE_LIMIT,
    INDIVIDUAL_LIMIT,
    ExposedZone,
    casualty_expectation,
    struck_area_m2,
    with_planned,
)

ZONES = [ExposedZone("Flight line", 60, 2000.0), ExposedZone("Picnic", 5, 100.0), ExposedZone("Empty stand", 0, 10.0)]
MODES = with_planned({"no_deployment": 0.03})
LANDING = {
    (mode, zone.name): chance for mode, chance in (("planned", 0.001), ("no_deployment", 0.01)) for zone in ZONES
}
STRUCK = {"planned": 2.0, "no_deployment": 0.4}


def test_limits_are_those_of_the_rule():
    # 14 CFR 450.101(a): collective 1e-4 expected casualties, individual 1e-6, per launch
    assert (COLLECTIVE_LIMIT, INDIVIDUAL_LIMIT) == (1e-4, 1e-6)


def test_sum_by_hand():
    # E = sum of P(mode) P(zone | mode) N A/A_zone, worked by hand:
    # flight line: 60 (0.97 0.001 2/2000 + 0.03 0.01 0.4/2000) = 60 (9.7e-7 + 6e-8) = 6.18e-5
    # picnic:       5 (0.97 0.001 2/100  + 0.03 0.01 0.4/100)  =  5 (1.94e-5 + 1.2e-6) = 1.03e-4
    risk = casualty_expectation(ZONES, MODES, LANDING, STRUCK)
    assert risk.collective == pytest.approx(6.18e-5 + 1.03e-4, rel=1e-12)
    assert risk.individual == pytest.approx(2.06e-5, rel=1e-12)
    assert risk.exceeds
    assert len(risk.shares) == 6 and risk.collective_high == risk.collective


def test_upper_figures_come_from_the_interval():
    landing = {key: independent_interval(0, 1024) for key in LANDING}
    risk = casualty_expectation(ZONES, MODES, landing, STRUCK)
    assert risk.collective == 0.0 < risk.collective_high
    ratio = clopper_pearson(0, 1024)[1]
    by_hand = ratio * (60 * (0.97 * 2 / 2000 + 0.03 * 0.4 / 2000) + 5 * (0.97 * 2 / 100 + 0.03 * 0.4 / 100))
    assert risk.collective_high == pytest.approx(by_hand, rel=1e-12)


def test_nobody_there_is_no_risk_and_a_small_zone_is_struck_whole():
    assert casualty_expectation(ZONES[2:], MODES, LANDING, STRUCK).collective == 0.0
    tiny = [ExposedZone("Tent", 1, 0.1)]
    risk = casualty_expectation(tiny, {"planned": 1.0}, {("planned", "Tent"): 0.5}, {"planned": 2.0})
    assert risk.collective == risk.individual == 0.5


def test_struck_areas_by_hand():
    # closed forms with a person of 0.3 m radius and 1.8 m height
    assert struck_area_m2(2.0, 0.1, nose_first=True) == pytest.approx(math.pi * 0.35**2)
    assert struck_area_m2(2.0, 0.1, nose_first=False) == pytest.approx(0.2 + 0.6 * 2.1 + math.pi * 0.09)
    # at 45 degrees a body 0.7 m across sweeps 1.8 m of ground more
    assert struck_area_m2(2.0, 0.1, nose_first=True, fall_angle_deg=45.0) == pytest.approx(
        math.pi * 0.35**2 + 0.7 * 1.8
    )


@pytest.mark.parametrize("call", [
    lambda: struck_area_m2(0.0, 0.0, nose_first=True),
    lambda: struck_area_m2(math.nan, 0.1, nose_first=True),
    lambda: struck_area_m2(math.inf, 0.1, nose_first=True),
    lambda: struck_area_m2(1.0, 0.1, nose_first=True, fall_angle_deg=0.0),
    lambda: struck_area_m2(1.0, 0.1, nose_first=True, fall_angle_deg=math.nan),
])  # fmt: skip
def test_bodies_that_are_none_are_refused(call):
    with pytest.raises(BadSamples):
        call()


@pytest.mark.parametrize("call", [
    lambda: with_planned({"no_deployment": 1.2}),
    lambda: with_planned({"a": 0.6, "b": 0.6}),
    lambda: with_planned({"a": math.nan}),
    lambda: casualty_expectation(ZONES, MODES, {}, STRUCK),
    lambda: casualty_expectation(ZONES, MODES, LANDING, {"planned": 2.0}),
    lambda: casualty_expectation(ZONES, MODES, {**LANDING, ("planned", "Picnic"): math.nan}, STRUCK),
    lambda: casualty_expectation(ZONES, MODES, LANDING, {**STRUCK, "planned": math.nan}),
    lambda: casualty_expectation([ExposedZone("x", 1, 0.0)], MODES, LANDING, STRUCK),
    lambda: casualty_expectation([ExposedZone("x", -1, 1.0)], MODES, LANDING, STRUCK),
])  # fmt: skip
def test_what_is_not_known_is_not_reckoned(call):
    with pytest.raises(BadChance):
        call()
