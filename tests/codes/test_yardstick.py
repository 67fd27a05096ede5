"""A yardstick may raise a caution and clears nothing: 14 CFR 450.101(a) asks 1e-4 together, 1e-6 for one (memory)."""

import pytest

from service.codes.errors import RulesRefused
from service.codes.rulebook import evaluate_all, rulebook
from tests.codes.samples import MODEL, finding

RULES = [("adv-risk-collective", "collective_risk", 1e-4), ("adv-risk-individual", "individual_risk", 1e-6)]


def found(facts, local_rules=()):
    return {each.rule: each for each in evaluate_all(["practice"], list(local_rules), facts)}


@pytest.mark.parametrize("rule_id, quantity, figure", RULES)
def test_within_it_nothing_is_said(rule_id, quantity, figure):
    for value in (0.0, 0.5 * figure, figure):
        assert rule_id not in found(MODEL | {quantity: value, f"{quantity}_high": 9.0 * figure})


@pytest.mark.parametrize("rule_id, quantity, figure", RULES)
def test_over_it_stands_a_caution_with_the_upper_figure(rule_id, quantity, figure):
    over = found(MODEL | {quantity: 1.5 * figure, f"{quantity}_high": 4.25 * figure})[rule_id]
    assert over.standing == "caution" and over.measured == 1.5 * figure and over.limit == figure
    assert f"its upper figure, 95 %, is {4.25 * figure:.4g}" in over.note and "clears nothing" in over.note
    no_upper = found(MODEL | {quantity: 1.5 * figure, f"{quantity}_high": None})[rule_id]
    assert no_upper.standing == "caution" and "upper figure" not in no_upper.note


@pytest.mark.parametrize("rule_id, quantity, _figure", RULES)
def test_not_reckoned_is_unknown(rule_id, quantity, _figure):
    assert found(MODEL | {quantity: None})[rule_id].standing == "unknown"


def test_no_yardstick_stands_in_for_a_rule_that_clears():
    """A club's rule in the place of a limit may not be a yardstick without a reason."""
    rule = {"id": "club-wind", "protects": "people", "kind": "measured", "quantity": "gust_mps", "unit": "mph",
            "at_most": 5, "weight": "practice", "yardstick": True, "replaces": "adv-gust"}
    with pytest.raises(RulesRefused, match="not plainly the stricter"):
        rulebook(["practice"], [rule])
    assert finding("adv-gust", MODEL).standing == "clear"
    assert "club-wind" in found(MODEL, [{**rule, "reason": "tried for a season"}])


def test_a_yardstick_stops_nothing():
    rule = {"id": "club-wind", "protects": "people", "quantity": "gust_mps", "at_most": 5, "yardstick": True}
    with pytest.raises(RulesRefused, match="a yardstick cautions"):
        rulebook([], [rule])
