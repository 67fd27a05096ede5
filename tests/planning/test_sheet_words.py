"""The short words of the sheet, for every quantity and every rule there is."""

import re

import pytest

from service.codes.load import all_codes, load
from service.codes.quantities import QUANTITIES
from service.models.finding import Finding, Source
from service.planning.sheet_words import CHECK_WORDS, KNOWN_WORDS, plain_words, short_meaning, short_source

INNER_NAME = re.compile(r"[a-z]_[a-z]")
RULES = [rule for code in all_codes() for rule in load(code).rules]


def finding(**changes) -> Finding:
    values = dict(
        rule="r", code="c", weight="code", kind="computed", protects="people", statement="It holds.",
        quantity="apogee_m", measured=1.0, unit="m", limit=2.0, comparison="at_most", margin=1.0, standing="clear",
        source=Source(clause="14 CFR 101.25(a)", known="read"),
    )  # fmt: skip
    return Finding(**{**values, **changes})


@pytest.mark.parametrize("name", QUANTITIES)
def test_no_meaning_shows_an_inner_name(name):
    meaning = short_meaning(finding(quantity=name))
    assert meaning and not INNER_NAME.search(meaning) and len(meaning) < 90


def test_a_yes_or_no_is_said_behind_what_it_answers():
    assert short_meaning(finding(quantity="tilt_toward_people", measured=False)).endswith(": no")


def test_the_statistic_is_said():
    assert short_meaning(finding(statistic="high")) == "apogee, upper bound"


@pytest.mark.parametrize(
    ("clause", "weight", "short"),
    [
        ("NAR Model Rocket Safety Code, item 6", "code", "NAR model code 6"),
        (
            "NAR High Power Rocket Safety Code, item 6 and table; NFPA 1127 table 4.16.3",
            "code",
            "NAR high-power code 6",
        ),
        ("14 CFR 1.1; 14 CFR 101.21(b)", "law", "14 CFR 1.1"),
        ("14 CFR 101.25(a)", "law", "14 CFR 101.25(a)"),
        ("NFPA 1122 4.9.2", "code", "NFPA 1122 4.9.2"),
        ("two seconds around apogee", "practice", "practice"),
        ("Field rules, item 4", "club", "Field rules, item 4"),
    ],
)
def test_sources_for_short(clause, weight, short):
    assert short_source(finding(weight=weight, source=Source(clause=clause, known="read"))) == short


def test_every_check_in_item_said_for_short_is_a_rule_of_some_code():
    assert set(CHECK_WORDS) <= {rule.id for rule in RULES}
    assert all(len(text) <= 45 for text in CHECK_WORDS.values())


def test_no_mode_and_no_statistic_shows_its_inner_name():
    for mode in ("planned", "no_deployment", "drogue_only", "main_at_apogee", "one_unlit"):
        said = plain_words(f"chance of landing in a zone of kind keep_out, mode {mode}, upper 95 %")
        assert said.startswith("chance of landing in a keep out zone") and said.endswith(", upper bound")
        assert "mode" not in said and not INNER_NAME.search(said)


def test_how_a_figure_is_known_is_said_in_words():
    assert set(KNOWN_WORDS) == {"read", "restated", "memory", "practice", "derived"}
    assert plain_words("in a zone of kind power_line") == "in a power line zone"
