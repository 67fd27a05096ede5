"""Rule sentences in the reader's units: exact conversions, brackets only for what is printed somewhere."""

from __future__ import annotations

import doctest
import re

import pytest

from reports.sentences import say
from service.codes.load import all_codes, load
from service.models.finding import Finding, Source
from service.planning import printed_figures
from service.planning.printed_figures import in_readers_units, rule_words

MPH, FOOT = 0.44704, 0.3048  # exact, 1959 agreement


def finding(statement: str, quantity: str, limit: float, unit: str, limit_si: float, si_unit: str) -> Finding:
    return Finding(
        rule="r", code="c", weight="code", kind="computed", protects="people", statement=statement,
        quantity=quantity, measured=1.0, unit=unit, limit=limit, comparison="at_most", margin=None, standing="stop",
        source=Source(clause="x", known="read"), measured_si=1.0, limit_si=limit_si, si_unit=si_unit,
    )  # fmt: skip


def test_the_examples_hold():
    assert doctest.testmod(printed_figures).failed == 0


@pytest.mark.parametrize(
    ("text", "si", "us"),
    [
        ("within 25 ft (7.6 m) of motors", "within 7.62 m (25 ft) of motors", "within 25 ft of motors"),
        ("between 300 and 1,000 ft (91 and 305 m).", "between 91.4 and 305 m (300 and 1,000 ft).",
         "between 300 and 1,000 ft."),
        ("Above 800 m: two.", "Above 800 m: two.", "Above 2,625 ft (800 m): two."),
        ("40,960 N·s, 5 s, 20°, 3 calibers, 25 %", "40,960 N·s, 5 s, 20°, 3 calibers, 25 %",
         "40,960 N·s, 5 s, 20°, 3 calibers, 25 %"),
        ("A2-12 m and pad 12 metres", "A2-12 m and pad 12 metres", "A2-12 m and pad 12 metres"),
    ],
)  # fmt: skip
def test_figures_in_a_sentence(text, si, us):
    assert say(in_readers_units(text), "si") == si and say(in_readers_units(text), "us") == us


def test_a_limit_is_taken_from_the_figure_and_not_from_its_rounded_text():
    """1,500 m over 0.3048 is 4921.26 ft: nobody prints that, so no brackets; 30 mph is printed."""
    text = "The apogee is at most 4,921 ft (1,500 m), the ceiling in force."
    ceiling = finding(text, "apogee_m", 1500.0 / FOOT, "ft", 1500.0, "m")
    assert say(rule_words(text, ceiling), "si") == "The apogee is at most 1,500 m, the ceiling in force."
    assert say(rule_words(text, ceiling), "us") == "The apogee is at most 4,921 ft, the ceiling in force."
    text = "At least 30 mph (13.41 m/s): 30 mph, or four times the crosswind."
    leaves = finding(text, "exit_speed_mps", 30.0, "mph", 30.0 * MPH, "m/s")
    assert say(rule_words(text, leaves), "si") == "At least 13.4 m/s (30 mph): 13.4 m/s, or four times the crosswind."
    assert say(rule_words(text, leaves), "us") == "At least 44 ft/s (30 mph): 44 ft/s, or four times the crosswind."


def test_wind_reads_in_miles_an_hour_and_a_chance_in_per_cent():
    text = "Surface wind: at most 7.5 m/s."
    wind = finding(text, "surface_wind_mps", 7.5, "m/s", 7.5, "m/s")
    assert say(rule_words(text, wind), "us") == "Surface wind: at most 16.8 mph (7.5 m/s)."
    text = "Chance of landing in a keep out zone: at most 0.02."
    chance = finding(text, "keep_out_chance", 0.02, "1", 0.02, "1")
    assert say(rule_words(text, chance), "si") == "Chance of landing in a keep out zone: at most 2 %."


def test_no_rule_of_any_code_keeps_a_metre_to_itself_on_a_us_sheet():
    texts = [rule.says for code in all_codes() for rule in load(code).rules if rule.says]
    assert len(texts) > 80
    for text in texts:
        said = re.sub(r" \([^()]*\)", "", say(in_readers_units(text), "us"))
        assert not re.search(r"\d (m|km|m/s|kg|g|J)\b", said), said
