"""Sentences: nothing rounds to certainty, a zero has no stray unit, what is not known says so."""

from __future__ import annotations

import doctest

import pytest

from service.models.finding import Finding, Source
from service.planning import words


def finding(standing, measured=None, **more) -> Finding:
    fields = {
        "rule": "r", "code": "c", "weight": "club", "kind": "computed", "protects": "all", "statement": "It holds.",
        "quantity": "apogee_m", "unit": "ft", "limit": 1000.0, "comparison": "at_most", "margin": None,
        "source": Source(clause="x", known="practice"),
    }  # fmt: skip
    return Finding(**{**fields, "standing": standing, "measured": measured, **more})


def test_the_examples_hold():
    assert doctest.testmod(words).failed == 0


@pytest.mark.parametrize("chance", [0.9949, 0.995, 0.99501, 0.9999, 1.0 - 1e-9])
def test_nearly_all_is_never_all(chance):
    assert "100 of 100" not in words.of_100(chance) and "all" not in words.of_100(chance)


def test_a_share_rounds_down_as_it_does_on_the_sheet():
    assert words.of_100(0.7299) == "72 of 100 flights"
    assert words.of_100(0.29) == "29 of 100 flights"  # 28.999... in binary


@pytest.mark.parametrize("chance", [1e-9, 0.0049, 0.005, 0.00501, 0.0099])
def test_hardly_any_is_never_none(chance):
    assert not words.of_100(chance).startswith("0 ") and "none" not in words.of_100(chance)


@pytest.mark.parametrize(
    ("bearing_deg", "word"),
    [(0, "north"), (44, "north-east"), (91, "east"), (180, "south"), (269, "west"), (338, "north"), (-90, "west")],
)
def test_the_compass(bearing_deg, word):
    assert words.compass_word(bearing_deg) == word


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (0.0, "1", "0"),
        (0.0, "%", "0 %"),
        (-0.0, "m", "0 m"),
        (3.0, "deg", "3°"),
        (0.0, "deg", "0°"),
        (12.34, "%", "12.3 %"),
        (7.1e-8, "1", "7.1e-08"),
        (1234.5, "m", "1,234 m"),
        (-2.0, "cal", "−2 calibers"),
        (0.1234, "N*s", "0.123 N·s"),
    ],
)
def test_figures_carry_their_unit_and_three_digits(value, unit, text):
    assert words.figure(value, unit) == text


def test_a_finding_says_what_was_found():
    said = words.finding_sentence(finding("stop", 1200.0, measured_si=365.76, si_unit="m"))
    assert said == "It holds. Found: 1,200 ft (366 m)."


def test_a_finding_that_is_too_near_says_so():
    """A figure alone, under its limit, would read as met."""
    said = words.finding_sentence(
        finding("unknown", 990.0, note="the limit lies inside the interval: too near to call")
    )
    assert said == "It holds. Found: 990 ft. The limit lies inside the interval: too near to call."


def test_a_finding_without_a_figure_says_what_is_missing():
    said = words.finding_sentence(finding("unknown", note="apogee above the field (apogee_m) is not known"))
    assert said == "Not known: It holds. Apogee above the field is not known."


def test_a_rule_without_a_figure_is_met_or_not():
    """A bare no after "The winds reach as high as the flight does" would say the opposite."""
    for standing, word in (("clear", "met"), ("caution", "not met"), ("stop", "not met"), ("unknown", "UNKNOWN")):
        assert words.found_words(finding(standing, False, comparison="is", limit=None)) == word
        assert words.found_words(finding(standing, None, comparison="requires", limit=None)) == word


def test_what_decides_is_the_worst_and_how_many_more():
    stops = [finding("stop", 1200.0), finding("stop", 1300.0), finding("caution", 1.0)]
    assert words.decides(stops).endswith("Found: 1,200 ft. And 1 more at stop.")
    assert words.decides([finding("clear", 1.0)]) == "Every computed and measured check is met."
    assert words.decides([]) == "No rule was checked."
