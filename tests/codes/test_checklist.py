"""What people answer for: a list of its own, which colours no standing, and words that turn a stop into a caution."""

import pytest

from service.codes.rulebook import attestation_faults, checklist, evaluate_all
from service.models.finding import Finding, Source, worst_standing
from tests.codes.samples import ALL_CODES, HIGH_POWER, MODEL

US = ["us-model", "us-high-power", "us-airspace", "practice"]
WORD = {"by": "Safety officer 1", "at": "2027-05-15T08:40:00-05:00"}


def items(facts, attestations=None, codes=US, local_rules=()):
    return {item.rule: item for item in checklist(codes, local_rules, facts, attestations)}


def test_items_wait_until_a_name_and_a_time_stand_beside_them():
    open_item, done = items(MODEL)["us-mr-fire"], items(MODEL, {"us-mr-fire": WORD})["us-mr-fire"]
    assert not open_item.answered
    assert done.answered
    assert (done.by, done.at.isoformat()) == ("Safety officer 1", "2027-05-15T08:40:00-05:00")
    assert done.per == "day"


def test_items_and_findings_never_share_a_rule():
    for facts in (MODEL, HIGH_POWER, {}):
        findings = {each.rule for each in evaluate_all(ALL_CODES, [], facts)}
        assert not findings & set(items(facts, codes=ALL_CODES))


def test_items_follow_the_rocket():
    model, high_power = items(MODEL), items(HIGH_POWER)
    assert "us-mr-recovery" in model and "us-hpr-arming" not in model
    assert "us-hpr-arming" in high_power and "us-mr-recovery" not in high_power
    assert "us-class-1-materials" in model and "us-class-1-materials" not in high_power


def test_an_item_that_may_apply_is_asked():
    assert "not known whether this applies" in items(MODEL | {"category": None})["us-hpr-arming"].note


def test_day_items_come_first():
    order = [item.per for item in checklist(US, [], HIGH_POWER)]
    assert order == sorted(order) and set(order) == {"day", "entry"}


@pytest.mark.parametrize("rule_id, fact", [("us-far-notice", "notice_lead_h"), ("us-far-airport", "airport_distance_m"),
                                           ("us-hpr-clear", "cleared_diameter_m"),
                                           ("us-hpr-launcher-bldg", "building_distance_m")])
def test_a_figure_that_nobody_has_is_asked_for_instead(rule_id, fact):
    with_figure = {each.rule for each in evaluate_all(US, [], HIGH_POWER)}
    without = {name: value for name, value in HIGH_POWER.items() if name != fact}
    assert rule_id in with_figure and rule_id not in items(HIGH_POWER)
    assert rule_id not in {each.rule for each in evaluate_all(US, [], without)}
    assert "{limit}" not in items(without)[rule_id].text
    assert "not known yet" not in items(without)[rule_id].text


def test_a_figure_that_is_no_number_is_unknown_and_not_asked_away():
    found = {each.rule: each.standing for each in evaluate_all(US, [], HIGH_POWER | {"notice_lead_h": float("nan")})}
    assert found["us-far-notice"] == "unknown"


def test_authorised_is_a_caution_with_a_name():
    dark = HIGH_POWER | {"daylight": False}
    before = {each.rule: each for each in evaluate_all(US, [], dark)}["us-far-night"]
    after = {each.rule: each for each in evaluate_all(US, [], dark, {"us-far-night": {**WORD, "note": "waiver 12"}})}
    assert before.standing == "stop"
    assert after["us-far-night"].standing == "caution"
    assert "authorised by Safety officer 1, 2027-05-15T08:40-05:00: waiver 12" in after["us-far-night"].note


def test_a_word_does_not_move_a_rule_that_is_not_open_to_it():
    windy = HIGH_POWER | {"surface_wind_mps": 12.0}
    found = {each.rule: each for each in evaluate_all(US, [], windy, {"us-hpr-wind": WORD})}
    assert found["us-hpr-wind"].standing == "stop"


def test_a_word_does_not_dull_what_is_clear():
    found = {each.rule: each for each in evaluate_all(US, [], HIGH_POWER, {"us-far-night": WORD})}
    assert found["us-far-night"].standing == "clear"


@pytest.mark.parametrize("name, word, message", [
    ("us-hpr-smokng", WORD, "did you mean 'us-hpr-smoking'?"),
    ("us-hpr-wind", WORD, "nobody's word takes the place of the figure"),
    ("us-hpr-smoking", {"by": "Safety officer 1"}, "missing"),
    ("us-hpr-smoking", {"by": "Safety officer 1", "at": "2027-05-15T08:40:00"}, "offset"),
    ("us-hpr-smoking", {"by": "", "at": WORD["at"]}, "found"),
])
def test_a_word_that_counts_for_nothing_is_reported(name, word, message):
    faults = attestation_faults(US, [], {"us-hpr-rso": WORD, name: word})
    assert [fault.pointer.split("/")[2] for fault in faults] == [name]
    assert message in str(faults[0])


def test_a_checklist_of_the_clubs_own():
    rule = {"id": "club-gate", "protects": "the neighbour's stock", "kind": "attested", "per": "day",
            "says": "The gate to the north pasture is shut."}
    assert items(MODEL, local_rules=[rule])["club-gate"].text == "The gate to the north pasture is shut."


def _finding(standing):
    return Finding(rule="a", code="b", weight="code", kind="computed", protects="c", statement="d", quantity=None,
                   measured=None, unit="", limit=None, comparison="requires", margin=None, standing=standing,
                   source=Source(clause="e", known="derived"))


@pytest.mark.parametrize("standings, worst", [
    (["clear", "caution", "unknown", "stop"], "stop"), (["clear", "caution", "unknown"], "unknown"),
    (["clear", "caution"], "caution"), (["clear"], "clear"), ([], "unknown"),
])
def test_the_worst_standing(standings, worst):
    assert worst_standing(_finding(each) for each in standings) == worst
