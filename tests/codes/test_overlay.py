"""A club's own rules over the published ones: stricter freely, looser only with a reason, and always shown."""

import pytest

from service.codes.errors import RulesRefused, UnknownQuantity
from service.codes.rulebook import checklist, evaluate_all, rule_faults_of, rulebook
from service.models.rule import Rule
from tests.codes.samples import HIGH_POWER, MODEL

WIND = {"protects": "people", "applies": {"all": [{"category": "model"}]}, "kind": "measured", "weight": "code",
        "quantity": "surface_wind_mps", "unit": "mph"}


def found(local_rules, facts=MODEL, codes=("us-model",)):
    return {each.rule: each for each in evaluate_all(list(codes), local_rules, facts)}


def refused(local_rule, codes=("us-model",)):
    with pytest.raises(RulesRefused) as refusal:
        rulebook(list(codes), [local_rule])
    return str(refusal.value)


def test_a_rule_of_the_club_stands_beside_the_code():
    rule = {"id": "club-wind", "protects": "the barn", "quantity": "surface_wind_mps", "at_most": 2.0}
    both = found([rule])
    assert both["us-mr-wind"].standing == "clear"
    assert both["club-wind"].standing == "stop"
    assert both["club-wind"].code == "local"
    assert both["club-wind"].weight == "club"
    assert both["club-wind"].statement == "Surface wind: at most 2 m/s."


def test_the_worst_comes_first():
    order = list(found([{"id": "club-wind", "protects": "the barn", "quantity": "surface_wind_mps", "at_most": 2.0}]))
    assert order[0] == "club-wind"


def test_a_stricter_rule_takes_the_place_of_the_code_without_a_reason():
    both = found([{**WIND, "id": "club-wind", "at_most": 5.0, "replaces": "us-mr-wind"}])
    assert "us-mr-wind" not in both
    assert both["club-wind"].standing == "stop"
    assert "in place of us-mr-wind which would stand at clear" in both["club-wind"].note


@pytest.mark.parametrize("change", [
    {"at_most": 25.0},
    {"at_most": 5.0, "when_broken": "caution"},
    {"at_most": 5.0, "authorisable": True},
    {"at_most": 5.0, "applies": {"sparking": True}},
    {"at_most": 5.0, "met_by": {"sparking": False}},
    {"at_least": 5.0},
    {"at_most": {"of": "crosswind_mps"}},
    {"at_most": 5.0, "quantity": "gust_mps"},
])
def test_a_rule_that_is_not_plainly_stricter_needs_a_reason(change):
    rule = {**WIND, "id": "club-wind", "replaces": "us-mr-wind", **change}
    assert "/local_rules/0/reason" in refused(rule)
    assert rulebook(["us-model"], [{**rule, "reason": "a letter of the association"}])


def test_a_looser_rule_shows_what_it_hides():
    facts = MODEL | {"surface_wind_mps": 10.0}
    rule = {**WIND, "id": "club-wind", "at_most": 25.0, "replaces": "us-mr-wind", "reason": "a letter of 2 May"}
    note = found([rule], facts)["club-wind"].note
    assert "would stand at stop" in note and "20 mph" in note and "a letter of 2 May" in note


def test_a_narrower_rule_leaves_no_gap():
    rule = {**WIND, "id": "club-wind", "at_most": 25.0, "applies": {"sparking": True}, "replaces": "us-mr-wind",
            "reason": "a letter of 2 May"}
    assert "club-wind" not in found([rule]) and found([rule])["us-mr-wind"].standing == "clear"


def test_a_word_in_place_of_a_figure_shows_what_it_hides():
    rule = {"id": "club-wind", "protects": "people", "kind": "attested", "per": "day", "says": "The wind is light.",
            "replaces": "us-mr-wind", "reason": "no meter"}
    item = next(each for each in checklist(["us-model"], [rule], MODEL) if each.rule == "club-wind")
    assert "in place of us-mr-wind which would stand at clear" in item.note and "no meter" in item.note


def test_setting_law_aside_is_called_so():
    rule = {"id": "club-vis", "protects": "aircraft", "quantity": "visibility_m", "unit": "mi", "at_least": 3,
            "replaces": "us-far-vis", "reason": "waiver of 1 May"}
    assert "which is law" in found([rule], HIGH_POWER, ["us-airspace"])["club-vis"].note


def test_a_further_floor_counts_only_where_it_is_higher():
    rule = {"id": "club-distance", "protects": "people", "quantity": "people_distance_m", "unit": "ft",
            "at_least": 100, "adds_to": "us-mr-distance"}
    both = found([rule], MODEL | {"people_distance_m": 20.0})
    assert "club-distance" not in both
    assert (both["us-mr-distance"].limit, both["us-mr-distance"].standing) == (100.0, "stop")
    note = both["us-mr-distance"].note
    assert "a further rule adds its limit (local rule)" in note and "club-distance" not in note  # no id for a reader
    lower = found([{**rule, "at_least": 1}])["us-mr-distance"]
    assert lower.limit == 15.0


@pytest.mark.parametrize("change, where, message", [
    ({"quantity": "gust_mps"}, "adds_to", "has its quantity (surface_wind_mps)"),
    ({"unit": "m/s"}, "adds_to", "its unit (mph)"),
    ({"applies": {"sparking": True}}, "applies", "leave this out"),
    ({"adds_to": "club-wind"}, "adds_to", "is not a rule in force"),
    ({"adds_to": "us-mr-wnd"}, "adds_to", "did you mean 'us-mr-wind'?"),
])
def test_an_added_limit_fits_its_rule(change, where, message):
    rule = {"id": "club-wind", "protects": "people", "quantity": "surface_wind_mps", "unit": "mph", "at_most": 9,
            "adds_to": "us-mr-wind"} | change
    said = refused(rule)
    assert f"/local_rules/0/{where}" in said and message in said


def test_an_id_is_taken_once():
    rule = {"id": "us-mr-wind", "protects": "people", "quantity": "surface_wind_mps", "at_most": 3}
    assert "is taken" in refused(rule)
    assert "did you mean 'us-mr-wind'?" in refused(rule | {"id": "x", "replaces": "us-mr-wint"})


def test_zones_of_the_field():
    rule = {"id": "club-pond", "protects": "the pond", "quantity": "chance", "zone": "water", "statistic": "interval",
            "unit": "%", "at_most": 2}
    pond = {"water_chance": 0.05, "water_chance_low": 0.04, "water_chance_high": 0.06}
    assert found([rule], MODEL | pond)["club-pond"].standing == "stop"
    assert found([rule])["club-pond"].standing == "unknown"
    assert "not a kind of zone; did you mean 'water'?" in refused(rule | {"zone": "watr"})


def test_a_whole_condition():
    rule = {"id": "club-first", "protects": "people", "requires": {"any": [{"first_flight": False},
            {"tilt_deg": {"up_to": 5}}]}, "says": "A first flight leans at most 5 degrees."}
    assert found([rule])["club-first"].standing == "clear"
    assert found([rule], MODEL | {"first_flight": True, "tilt_deg": 6.0})["club-first"].standing == "stop"
    assert found([rule], MODEL | {"first_flight": None, "tilt_deg": 6.0})["club-first"].standing == "unknown"


def test_all_faults_with_their_places():
    faults = rule_faults_of(["us-modell", "us-model"], [
        {"id": "a", "protects": "x", "quantity": "surface_wind_mps", "at_most": 1},
        {"id": "b", "protects": "x", "quantity": "surfacewind", "at_most": 1},
        Rule(id="c", protects="x", quantity="surface_wind_mps", unit="lbs", at_most=(1.0,)),
        {"id": "d", "quantity": "surface_wind_mps", "at_most": 1},
        {"id": "a", "protects": "x", "quantity": "surface_wind_mps", "at_most": 1},
    ])
    assert [fault.pointer for fault in faults] == ["/codes/0", "/local_rules/1/quantity", "/local_rules/2/unit",
                                                   "/local_rules/3/protects", "/local_rules/4/id"]


def test_a_fact_under_a_wrong_name_is_refused():
    with pytest.raises(UnknownQuantity, match="did you mean 'apogee_m'"):
        evaluate_all(["us-model"], [], MODEL | {"apoge_m": 3.0})


@pytest.mark.parametrize("codes, facts, standing", [
    (["us-model"], HIGH_POWER, "stop"),
    (["us-model", "us-high-power"], HIGH_POWER, None),
    (["us-model"], MODEL, "clear"),
])
def test_a_high_power_rocket_does_not_slip_past_a_model_code(codes, facts, standing):
    category = found([], facts, codes).get("us-mr-category")
    assert (category.standing if category else None) == standing
    if codes == ["us-model"] and facts is HIGH_POWER:
        assert found([], facts, codes)["us-mr-size"].standing == "stop"
