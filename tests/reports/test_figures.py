"""Rounding and units, against definitions that do not come from us."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.amounts import Amount, AsPrinted, Limit
from reports.errors import UnknownChoice
from reports.figures import amount_text, beside, check_units, limit_text, rough
from reports.sentences import say


@pytest.mark.parametrize(
    ("value", "spread", "printed"),
    [
        (412.37, 32.1, "410 ± 30 m"),  # the project's own example of how a figure reads
        (96.0, 9.0, "96 ± 9 m"),
        (1620.0, 90.0, "1,620 ± 90 m"),
        (412.37, 14.2, "412 ± 14 m"),  # two digits where the first is a 1: JCGM 100:2008, 7.2.6, as recalled
        (0.123, 0.04, "0.12 ± 0.04 m"),
        (412.0, 96.0, "410 ± 100 m"),
        (-3.4, 0.5, f"{chr(0x2212)}3.4 ± 0.5 m"),
        (0.2, 30.0, "0 ± 30 m"),
    ],
)
def test_a_value_is_rounded_where_its_spread_begins(value, spread, printed):
    assert amount_text(Amount(value, "length", spread), "si") == printed


@pytest.mark.parametrize("value", [None, math.nan, math.inf, -math.inf])
def test_what_is_not_known_says_so(value):
    assert amount_text(Amount(value, "speed", 1.0), "si") == "UNKNOWN"
    assert limit_text(Limit("at_most", Amount(value, "speed")), "us") == "UNKNOWN"
    assert beside(Amount(value, "speed"), Limit("at_most", Amount(3.0, "speed")), "si")[0] == "UNKNOWN"


# Exact by the international yard and pound agreement of 1959 and by standard gravity (3rd CGPM 1901);
# inch of mercury, conventional: 3386.389 Pa, NIST SP 811 appendix B, as recalled.
@pytest.mark.parametrize(
    ("amount", "printed"),
    [
        (Amount(0.3048 * 1500, "length"), "1,500 ft"),
        (Amount(0.0254, "short_length"), "1 in"),
        (Amount(0.45359237 * 3.3, "mass"), "3.3 lb"),
        (Amount(0.45359237 / 4, "mass"), "4 oz"),
        (Amount(0.44704 * 20, "wind_speed"), "20 mph"),
        (Amount(0.3048 * 44, "speed"), "44 ft/s"),
        (Amount(4.4482216152605 * 9, "force"), "9 lbf"),
        (Amount(1.3558179483314 * 75, "energy"), "75 ft·lbf"),
        (Amount(33.86389 * 29.9, "pressure"), "29.9 inHg"),
        (Amount(15.0, "temperature"), "59 °F"),
        (Amount(-40.0, "temperature"), f"{chr(0x2212)}40 °F"),
    ],
)
def test_us_units(amount, printed):
    assert amount_text(amount, "us") == printed


def test_a_value_and_its_limit_never_look_equal_when_they_are_not():
    found, limit = beside(Amount(749.9, "length", 40.0), Limit("at_least", Amount(750.0, "length")), "si")
    assert (found, limit) == ("749.9 ± 40.0 m", "at least 750 m")


@given(
    bound=st.floats(0.01, 1e5),
    step=st.floats(1e-4, 0.5),
    spread=st.floats(0.001, 1.0),
    units=st.sampled_from(["si", "us"]),
)
def test_printing_never_moves_a_value_across_its_limit(bound, step, spread, units):
    value = bound * (1.0 + step)
    found, limit = beside(Amount(value, "length", spread * value), Limit("at_most", Amount(bound, "length")), units)
    first = float(found.split(" ")[0].replace(",", ""))
    last = float(limit.removeprefix("at most ").split(" ")[0].replace(",", ""))
    assert first > last


@pytest.mark.parametrize(
    ("chance", "printed"),
    [
        (1.0, "> 99.9 %"),
        (0.9996, "> 99.9 %"),
        (0.994, "99.4 %"),
        (0.97, "97 %"),
        (0.0004, "< 0.05 %"),
        (0.0, "none seen"),
    ],
)
def test_a_chance_never_rounds_up_to_all(chance, printed):
    assert amount_text(Amount(chance, "chance"), "si") == printed


def test_a_chance_of_what_is_not_wanted_rounds_up_but_never_across_its_limit():
    def found(value, bound):
        return beside(Amount(value, "chance"), Limit("at_most", Amount(bound, "chance")), "si")[0]

    assert found(0.4145, 0.05) == "42 %" and found(0.0051, 0.01) == "0.6 %"
    assert found(0.0496, 0.05) == "4.96 %" and found(0.0501, 0.05) == "5.1 %"
    assert found(0.0, 0.05) == "none seen"


def test_tiny_chances_are_so_many_in_a_million():
    assert amount_text(Amount(1.5e-7, "small_chance"), "si") == "0.15 in a million"
    assert amount_text(Amount(1e-10, "small_chance"), "si") == "< 0.001 in a million"
    assert amount_text(Amount(0.0, "small_chance"), "si") == "none seen"


# 1 mi = 5280 ft, exact; 30 mph = 30 x 0.44704 m/s = 13.4112 m/s = 44 ft/s
def test_a_rules_figure_reads_in_the_readers_units_with_the_printed_one_in_brackets():
    rule = AsPrinted((Amount(13.4112, "speed"),), "30 mph", "mph")
    assert say(("at least ", rule), "si") == "at least 13.4 m/s (30 mph)"
    assert say(("at least ", rule), "us") == "at least 44 ft/s (30 mph)"
    between = AsPrinted((Amount(15.24, "speed"), Amount(30.48, "speed")), "50 and 100 ft/s", "ft/s")
    assert say((between,), "us") == "50 and 100 ft/s"
    assert say((between,), "si") == "15.2 and 30.5 m/s (50 and 100 ft/s)"
    assert say((AsPrinted((Amount(1500.0, "length"),)),), "us") == "4,921 ft"
    far = Amount(8046.72, "far_length")
    assert (amount_text(far, "us"), amount_text(far, "si")) == ("5 mi", "8.05 km")


def test_huge_numbers_keep_one_line():
    assert amount_text(Amount(1.234e30, "length"), "si") == "1.23e30 m"
    assert len(amount_text(Amount(1e300, "energy", 1e299), "us")) < 20


def test_distances_off_a_contour_keep_two_digits():
    assert rough(143.0, "si") == "140 m"
    assert rough(0.3048 * 143.0, "us") == "140 ft"  # exact foot, 1959 agreement
    assert rough(0.0, "si") == "0 m"
    assert rough(math.nan, "si") == "UNKNOWN"


def test_a_mass_and_its_limit_share_a_unit():
    found, limit = beside(Amount(0.209, "mass"), Limit("at_most", Amount(1.5, "mass")), "si")
    assert (found, limit) == ("0.209 kg", "at most 1.5 kg")


def test_units_that_are_not_offered_are_refused():
    with pytest.raises(UnknownChoice, match="'furlongs' is not offered; choose 'si' or 'us'"):
        check_units("furlongs")
