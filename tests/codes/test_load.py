"""What a code's file may not say, and what is printed about the codes."""

import re
from pathlib import Path

import pytest

import service.codes
from service.codes.errors import RulesRefused, UnknownCode
from service.codes.load import FILES, editions, load, parse
from service.codes.quantities import QUANTITIES
from service.codes.units import UNITS
from tests.codes.samples import ALL_CODES

HEAD = """
[code]
id = "made-up"
title = "A code made up for this test"
edition = "1"
publisher = "nobody"
known = "derived"

[[table]]
id = "steps"
key = "impulse_ns"
key_unit = "N*s"
unit = "ft"
source = { clause = "1", known = "derived" }
rows = [{ up_to = 10, cells = { near = 100 } }]
"""
RULE = """
[[rule]]
id = "made-up-wind"
protects = "people"
quantity = "surface_wind_mps"
unit = "mph"
at_most = 20
weight = "code"
source = { clause = "2", known = "derived" }
"""


def refused(text: str) -> str:
    with pytest.raises(RulesRefused) as refusal:
        parse({"made_up.toml": text})
    return str(refusal.value)


def test_the_pattern_itself_is_accepted():
    code = parse({"made_up.toml": HEAD + RULE})
    assert [rule.id for rule in code.rules] == ["made-up-wind"]


@pytest.mark.parametrize("old, new, key, message", [
    ('"surface_wind_mps"', '"surface_wnd_mps"', "rule/0 (made-up-wind)/quantity", "did you mean 'surface_wind_mps'?"),
    ('"mph"', '"mhp"', "/unit", "did you mean 'mph'?"),
    ('"mph"', '"ft"', "/unit", "ft is a length"),
    ("at_most = 20", "at_most = nan", "/at_most/0", "finite number"),
    ("at_most = 20", "at_most = inf", "/at_most/0", "finite number"),
    ("at_most = 20", 'at_most = "20"', "/at_most/0", "found '20'"),
    ("at_most = 20", "at_most = true", "/at_most/0", "found True"),
    ("at_most = 20", "at_mst = 20", "/at_mst", "did you mean 'at_most'?"),
    ("at_most = 20", "", "(made-up-wind)", "tested in one way, found none"),
    ("at_most = 20", "at_most = []", "(made-up-wind)", "at least one limit"),
    ("at_most = 20", "at_most = 20\nequals = 3", "(made-up-wind)", "tested in one way"),
    ("at_most = 20", 'at_most = { of = "apogee_m" }', "/at_most/of", "apogee_m is a length"),
    ("at_most = 20", 'at_most = { of = "daylight" }', "/at_most/of", "daylight is not a number"),
    ("at_most = 20", 'at_most = { of = "crosswind" }', "/at_most/of", "did you mean 'crosswind_mps'?"),
    ("at_most = 20", 'at_most = { table = "step", column = "near" }', "/at_most/table", "did you mean 'steps'?"),
    ("at_most = 20", 'at_most = { table = "steps", column = "near" }', "/at_most/table", "steps is a length"),
    ("at_most = 20", "at_most = { larger_of = [] }", "/at_most/0", "needs at least one limit"),
    ("at_most = 20", 'at_most = { value = 3, of = "gust_mps" }', "/at_most/0", "given in one way"),
    ("at_most = 20", "at_most = { if = { sparking = true }, then = 3 }", "/at_most/0", "also needs 'then' and 'else'"),
    ("at_most = 20", "at_most = 20\napplies = { sparkling = true }", "/applies/sparkling", "did you mean 'sparking'?"),
    ("at_most = 20", "at_most = 20\napplies = { sparking = 3 }", "/applies/sparking", "true or false, found 3"),
    ("at_most = 20", 'at_most = 20\napplies = { category = "modell" }', "/applies/category", "model, high_power"),
    ("at_most = 20", "at_most = 20\napplies = { sparking = { over = 1 } }", "/applies/sparking", "has no band"),
    ("at_most = 20", 'at_most = 20\napplies = { condition = "large" }', "/condition", "not a condition of this file"),
    ("at_most = 20", 'at_most = 20\nstatistic = "high"', "/statistic", "has no spread"),
    ("at_most = 20", 'at_most = 20\nzone = "creek"', "/zone", "not a kind of zone"),
    ("at_most = 20", 'at_most = 20\nadds_to = "made-up-win"', "/adds_to", "did you mean 'made-up-wind'?"),
    ("at_most = 20", 'at_most = 20\nadds_to = "made-up-wind"', "/adds_to", "no finding of its own"),
    ('source = { clause = "2", known = "derived" }', "", "/source", "where it is published"),
    ('known = "derived" }\n', 'known = "seen" }\n', "/known", "'read'"),
    ('kind = "attested"', "", "", ""),
])
def test_a_slip_is_named_with_its_file_and_key(old, new, key, message):
    if not key:
        text = RULE.replace("at_most = 20", 'at_most = 20\nkind = "attested"')
        key, message = "(made-up-wind)", "no quantity and no limit"
    else:
        assert old in RULE
        text = RULE.replace(old, new)
    said = refused(HEAD + text)
    assert "made_up.toml/rule/0" in said
    assert key in said
    assert message in said


def test_a_rule_stands_once():
    assert "'made-up-wind' stands twice" in refused(HEAD + RULE + RULE)


@pytest.mark.parametrize("old, new, message", [
    ('key = "impulse_ns"', 'key = "impulse"', "did you mean 'impulse_ns'?"),
    ('key_unit = "N*s"', 'key_unit = "lbf"', "not a known unit"),
    ('key_unit = "N*s"', 'key_unit = "kg"', "kg is a mass"),
    ("up_to = 10,", "up_to = 0,", "climb from above zero"),
    ("rows = [{ up_to = 10, cells = { near = 100 } }]",
     "rows = [{ up_to = 10, cells = { near = 100 } }, { up_to = 9, cells = { near = 1 } }]", "climb"),
    ("rows = [{ up_to = 10, cells = { near = 100 } }]",
     "rows = [{ up_to = 10, cells = { near = 100 } }, { up_to = 19, cells = { far = 1 } }]", "the same columns"),
])
def test_a_table_holds_together(old, new, message):
    assert old in HEAD
    assert message in refused(HEAD.replace(old, new) + RULE)


def test_not_toml():
    assert "is not TOML" in refused("[code")


FIRST = HEAD + "[conditions]\nsparks = { sparking = true }\n" + RULE
SECOND = """
[[rule]]
id = "made-up-more"
protects = "people"
applies = { condition = "sparks" }
quantity = "apogee_m"
unit = "ft"
at_most = { table = "steps", column = "near" }
weight = "code"
source = { clause = "3", known = "derived" }
"""


def test_a_code_of_several_files_is_one():
    code = parse({"first.toml": FIRST, "second.toml": SECOND})
    assert [rule.id for rule in code.rules] == ["made-up-wind", "made-up-more"]
    assert code.rules[1].applies.all[0].tests == {"sparking": True}


@pytest.mark.parametrize("second, message", [
    (HEAD, "second.toml/code: is not a known part; the parts are table, rule"),
    (RULE, "second.toml/rule/0 (made-up-wind): the id 'made-up-wind' stands twice"),
    (SECOND.replace("steps", "stairs"), "second.toml/rule/0 (made-up-more)/at_most/table"),
    ("[rule", "second.toml: is not TOML"),
])
def test_a_slip_in_a_further_file_is_named_with_that_file(second, message):
    with pytest.raises(RulesRefused) as refusal:
        parse({"first.toml": FIRST, "second.toml": second})
    assert message in str(refusal.value)


def test_every_file_of_rules_belongs_to_a_code():
    here = {path.name for path in Path(service.codes.__file__).parent.glob("*.toml")}
    assert here == {name for names in FILES.values() for name in names}


def test_all_faults_at_once():
    said = refused(HEAD + RULE.replace("mph", "mhp") + RULE.replace("made-up-wind", "other").replace("_mps", ""))
    assert "mhp" in said and "'surface_wind'" in said


def test_a_code_that_nobody_wrote():
    with pytest.raises(UnknownCode, match="did you mean 'us-model'"):
        load("us-modl")


def test_editions_are_printed_in_order():
    found = editions(["practice", "us-model"])
    assert [each.id for each in found] == ["practice", "us-model"]
    assert all(each.title and each.edition and each.publisher for each in found)


@pytest.mark.parametrize("code", ALL_CODES)
def test_a_code_carries_its_own_id_and_its_rules_say_what_they_protect(code):
    loaded = load(code)
    assert loaded.edition.id == code
    for rule in loaded.rules:
        assert rule.protects and rule.source.clause
        assert rule.says or rule.adds_to
        assert rule.says is None or rule.says.endswith(".")


def test_ids_are_unique_across_codes():
    ids = [rule.id for code in FILES for rule in load(code).rules]
    assert len(ids) == len(set(ids))


def test_no_code_promises_what_only_people_can():
    for code in FILES:
        for rule in load(code).rules:
            text = " ".join((rule.says or "", rule.protects, rule.note))
            assert not re.search(r"\b(un)?safe(ly)?\b", text, re.IGNORECASE), rule.id


def test_every_quantity_has_a_unit_that_exists():
    for quantity in QUANTITIES.values():
        assert quantity.unit is None or quantity.unit in UNITS
        assert quantity.meaning


@pytest.mark.parametrize("ending, unit", [("_m", "m"), ("_mps", "m/s"), ("_kg", "kg"), ("_ns", "N*s"), ("_n", "N"),
                                          ("_j", "J"), ("_s", "s"), ("_h", "h"), ("_min", "min"), ("_deg", "deg"),
                                          ("_cal", "cal")])
def test_a_name_says_its_unit(ending, unit):
    for name, quantity in QUANTITIES.items():
        if name.endswith(ending):
            assert quantity.unit == unit, name
