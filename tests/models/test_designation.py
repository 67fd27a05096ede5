"""Designations and impulse classes.

The bands are those of NFPA 1125 and 1122 as they are commonly quoted: A up to 2.50 N s, each letter double the
one before, upper bound inclusive (from memory, the standards were not re-read).
"""

from __future__ import annotations

import math

import pytest

from service.models.designation import Designation, class_bounds_ns, impulse_class, read_designation

BANDS = {
    "1/4A": (0.3125, 0.625), "1/2A": (0.625, 1.25), "A": (1.25, 2.5), "B": (2.5, 5), "C": (5, 10), "D": (10, 20),
    "E": (20, 40), "F": (40, 80), "G": (80, 160), "H": (160, 320), "I": (320, 640), "J": (640, 1280),
    "K": (1280, 2560), "L": (2560, 5120), "M": (5120, 10_240), "N": (10_240, 20_480), "O": (20_480, 40_960),
}  # fmt: skip


@pytest.mark.parametrize(("letter", "band"), BANDS.items())
def test_a_class_holds_what_is_over_its_lower_bound_up_to_its_upper(letter, band):
    over_ns, up_to_ns = band
    assert class_bounds_ns(letter) == band
    assert impulse_class(up_to_ns) == letter
    assert impulse_class(over_ns + 0.001) == letter
    assert impulse_class(over_ns) != letter
    assert impulse_class(up_to_ns + 0.01) != letter


def test_the_smallest_class_begins_at_nothing():
    assert class_bounds_ns("1/8A") == (0.0, 0.3125)
    assert impulse_class(0.01) == "1/8A"


@pytest.mark.parametrize("impulse_ns", [0.0, -1.0, math.nan, math.inf, 1e9])
def test_an_impulse_without_a_class_is_refused(impulse_ns):
    with pytest.raises(ValueError, match="impulse"):
        impulse_class(impulse_ns)


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("D9", Designation("D", 9.0)),
        ("F37-6", Designation("F", 37.0, delay_s=6.0)),
        ("1/2A3-2", Designation("1/2A", 3.0, delay_s=2.0)),
        ("½A3-2", Designation("1/2A", 3.0, delay_s=2.0)),
        ("1/4A3-0", Designation("1/4A", 3.0, delay_s=0.0)),
        ("E12-P", Designation("E", 12.0, plugged=True)),
        ("H120RL-14A", Designation("H", 120.0, delay_s=14.0, maker_letters="RLA")),
        ("320H120-14", Designation("H", 120.0, delay_s=14.0, impulse_ns=320.0)),
        ("O3400-P", Designation("O", 3400.0, plugged=True)),
        ("C6.5-3", Designation("C", 6.5, delay_s=3.0)),
    ],
)
def test_the_trades_spellings_are_read(text, meant):
    assert read_designation(text) == meant


@pytest.mark.parametrize("text", ["", "9D", "D", "d9", "D-9", "D0", "D9-", "D9-x", "Z9", "1/3A3", "D9-5-5", "D9\n-5"])
def test_other_texts_are_not_designations(text):
    with pytest.raises(ValueError, match="designation"):
        read_designation(text)
