"""Weather that nobody read is never clear: cloud without a base, conditions without an age or from the future."""

import pytest

from service.codes.rulebook import attestation_faults, checklist, evaluate_all
from service.planning.words import finding_sentence
from tests.codes.samples import ALL_CODES, HIGH_POWER, MODEL

AGE = "adv-conditions-age"


def found(facts, codes=ALL_CODES):
    return {each.rule: each for each in evaluate_all(codes, [], facts)}


@pytest.mark.parametrize("rule_id, rocket", [("us-mr-cloud", MODEL), ("us-hpr-cloud", HIGH_POWER),
                                             ("us-far-nocloud", HIGH_POWER)])
@pytest.mark.parametrize("cover, base_m, stands", [
    (0.3, None, "unknown"), (1.0, None, "unknown"), (0.01, None, "unknown"), (None, None, "unknown"),
    (0.0, None, "clear"), (0.3, 100.0, "stop"), (None, 100.0, "unknown"), (0.3, 1800.0, "clear"),
    (None, 1800.0, "clear"),
])
def test_no_flight_into_clouds(rule_id, rocket, cover, base_m, stands):
    """Under cloud of which nobody knows the height no flight is clear of it; under a sky without any, all are."""
    assert found(rocket | {"cloud_cover": cover, "cloud_base_m": base_m})[rule_id].standing == stands


@pytest.mark.parametrize("cover, stands", [(0.5, "clear"), (0.51, "unknown"), (None, "unknown")])
def test_cover_counts_at_once_where_the_base_is_not_known(cover, stands):
    """14 CFR 101.25(a): five tenths at every altitude flown; more than that may lie above the flight, or not."""
    assert found(HIGH_POWER | {"cloud_cover": cover, "cloud_base_m": None})["us-far-cloudcover"].standing == stands


@pytest.mark.parametrize("age_min, stands", [(0.0, "clear"), (30.0, "clear"), (30.1, "caution")])
def test_an_age_that_was_counted(age_min, stands):
    facts = MODEL | {"conditions_age_min": age_min}
    assert found(facts)[AGE].standing == stands
    assert AGE not in {item.rule for item in checklist(ALL_CODES, [], facts)}


def test_a_reading_from_the_future_is_unknown_in_words():
    facts = MODEL | {"conditions_age_min": -45.0}
    late = found(facts)[AGE]
    assert late.standing == "unknown" and late.measured is None
    assert "is -45 min: they are timed ahead of the moment that they are held against" in finding_sentence(late)
    assert AGE not in {item.rule for item in checklist(ALL_CODES, [], facts)}


def test_an_age_that_was_not_counted_is_asked_of_a_person_and_clears_nothing():
    facts = MODEL | {"conditions_age_min": None}
    assert AGE not in found(facts)
    item = next(item for item in checklist(ALL_CODES, [], facts) if item.rule == AGE)
    assert (item.per, item.text) == ("day", "No flight goes on conditions older than 30 min.")
    assert not item.answered
    assert attestation_faults(ALL_CODES, [], {AGE: {"by": "RSO", "at": "2027-05-15T08:40:00-05:00"}}) == []
