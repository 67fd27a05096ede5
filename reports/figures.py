"""Numbers as a person reads them: rounded to what is known, in the units of the reader.

A value is rounded where its spread begins (410 ± 30 m); the spread keeps one digit, two where the first
is a 1, as is common practice in metrology. A value without a spread keeps three digits.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Literal

from scipy import constants

from reports.amounts import Amount, Limit, Quantity
from reports.errors import UnknownChoice

Units = Literal["si", "us"]
UNKNOWN = "UNKNOWN"
NONE_SEEN = "none seen"  # of samples: more of them might show one
MINUS = "\N{MINUS SIGN}"
SENSE_WORDS = {"at_most": "at most", "at_least": "at least", "below": "below", "above": "above", "about": "about"}
HUGE = 1e7  # from here on a number prints with an exponent
SMALLEST = 0.001  # a chance in a million below which the figure says nothing more
DIGITS = 3
MOST_DIGITS = 7

INCH_OF_MERCURY_HPA = constants.mmHg * 25.4 / 100.0

# quantity -> (factor from SI, unit); temperature has its own line below
_PLAIN: dict[Units, dict[Quantity, tuple[float, str]]] = {
    "si": {
        "length": (1.0, "m"),
        "far_length": (0.001, "km"),
        "short_length": (1000.0, "mm"),
        "area": (1.0, "m²"),
        "speed": (1.0, "m/s"),
        "wind_speed": (1.0, "m/s"),
        "acceleration": (1.0, "m/s²"),
        "force": (1.0, "N"),
        "energy": (1.0, "J"),
        "pressure": (1.0, "hPa"),
    },
    "us": {
        "length": (1.0 / constants.foot, "ft"),
        "far_length": (1.0 / constants.mile, "mi"),
        "short_length": (1.0 / constants.inch, "in"),
        "area": (1.0 / constants.foot**2, "ft²"),
        "speed": (1.0 / constants.foot, "ft/s"),
        "wind_speed": (1.0 / constants.mph, "mph"),
        "acceleration": (1.0 / constants.foot, "ft/s²"),
        "force": (1.0 / constants.lbf, "lbf"),
        "energy": (1.0 / (constants.foot * constants.lbf), "ft·lbf"),
        "pressure": (1.0 / INCH_OF_MERCURY_HPA, "inHg"),
    },
}
_SAME_EVERYWHERE: dict[Quantity, tuple[float, str]] = {
    "impulse": (1.0, "N·s"),
    "time": (1.0, "s"),
    "angle": (1.0, "°"),
    "chance": (100.0, "%"),
    "percent": (100.0, "%"),
    "small_chance": (1e6, "in a million"),
    "ratio": (1.0, ""),
    "calibers": (1.0, "cal"),
    "mach": (1.0, ""),
    "count": (1.0, ""),
}


def check_units(units: str) -> None:
    if units not in _PLAIN:
        raise UnknownChoice(f"units: '{units}' is not offered; choose 'si' or 'us'")


def scale(quantity: Quantity, value: float, units: Units) -> tuple[float, float, str]:
    """Factor, offset and unit that turn an SI value of this size into what is printed."""
    if quantity == "temperature":
        return (1.8, 32.0, "°F") if units == "us" else (1.0, 0.0, "°C")
    if quantity == "mass":
        if units == "si":
            return (1000.0, 0.0, "g") if abs(value) < 1.0 else (1.0, 0.0, "kg")
        ounces = abs(value) < constants.lb
        return (1.0 / constants.oz, 0.0, "oz") if ounces else (1.0 / constants.lb, 0.0, "lb")
    factor, unit = _PLAIN[units].get(quantity) or _SAME_EVERYWHERE[quantity]
    return factor, 0.0, unit


def _exponent(number: float) -> int:
    """Power of ten of the first digit: 412 gives 2, 0.03 gives -2."""
    return math.floor(math.log10(abs(number))) if number else 0


def round_to(number: float, place: int) -> float:
    """Round to a power of ten: round_to(412, 1) is 410."""
    return float(round(number, -place))


def spread_place(spread: float, extra: int = 0) -> int:
    """The power of ten at which a value with this spread is no longer known.

    >>> spread_place(32.0), spread_place(14.0), spread_place(0.4)
    (1, 0, -1)
    """
    place = _exponent(spread)
    first_digit = int(f"{abs(spread):.6e}"[0])
    return place - (1 if first_digit == 1 else 0) - extra


def plain(number: float, place: int, trim: bool = False) -> str:
    """A number rounded to a power of ten, with thousands set apart by commas and a true minus."""
    if abs(number) >= HUGE:
        return f"{number:.2e}".replace("e+", "e").replace("-", MINUS)
    rounded = round_to(number, place) + 0.0  # + 0.0 turns -0.0 into 0.0
    text = f"{rounded:,.{max(0, -place)}f}"
    if trim and "." in text:
        text = text.rstrip("0").rstrip(".")
    return MINUS + text[1:] if text.startswith("-") and text.strip("-0.,") else text.lstrip("-")


def _with_unit(number: str, unit: str) -> str:
    if not unit:
        return number
    return number + unit if unit == "°" else f"{number} {unit}"


def _chance(value: float, digits: int) -> str:
    """A share in per cent that never rounds up to all or down to nothing."""
    percent = 100.0 * value
    if percent > 99.9:
        return "> 99.9 %"
    if percent < 0.05:
        return NONE_SEEN if percent <= 0.0 else "< 0.05 %"
    place = -1 if percent > 99.0 or percent < 10.0 else 0
    return f"{plain(percent, place - max(0, digits - DIGITS), trim=True)} %"


def amount_text(amount: Amount, units: Units, digits: int = DIGITS, like: float | None = None) -> str:
    """A value as printed: '410 ± 30 m', '97 %', 'UNKNOWN'; `digits` above 3 asks for finer rounding.

    `like` is another SI value that it stands beside, whose unit it takes (kg or g, lb or oz).

    >>> amount_text(Amount(412.37, "length", 32.1), "si")
    '410 ± 30 m'
    >>> amount_text(Amount(None, "length"), "si")
    'UNKNOWN'
    """
    if not amount.known:
        return UNKNOWN
    value = float(amount.value)  # type: ignore[arg-type]  # known: not None
    if amount.quantity == "chance" and not amount.spread:
        return _chance(value, digits)
    factor, offset, unit = scale(amount.quantity, value if like is None else like, units)
    number = value * factor + offset
    if amount.quantity == "count":
        return plain(number, 0)
    if amount.quantity == "small_chance" and 0.0 <= number < SMALLEST:
        return _with_unit(f"< {SMALLEST:g}", unit) if number else NONE_SEEN
    if not amount.spread or not math.isfinite(amount.spread) or abs(number) >= HUGE:
        place = min(0, _exponent(number) - digits + 1) if digits > DIGITS else _exponent(number) - digits + 1
        if amount.quantity == "wind_speed" and digits == DIGITS:
            place = max(place, -1)  # no meter reads finer
        return _with_unit(plain(number, min(place, 0), trim=True), unit)
    spread = abs(amount.spread) * factor
    place = spread_place(spread, digits - DIGITS)
    return _with_unit(f"{plain(number, place)} ± {plain(spread, place)}", unit)


def limit_text(limit: Limit, units: Units, digits: int = DIGITS, like: float | None = None) -> str:
    """A limit as printed: 'at most 1,500 m'."""
    if not limit.amount.known:
        return UNKNOWN
    text = amount_text(limit.amount, units, digits, like)
    if limit.amount.quantity == "chance":
        text = f"{plain(100.0 * float(limit.amount.value or 0.0), -3, trim=True)} %"
    return f"{SENSE_WORDS[limit.sense]} {text}"


def _number_in(text: str) -> float | None:
    head = text.split(" ± ")[0].split(" ")[0].rstrip("°").replace(",", "").replace(MINUS, "-")
    try:
        return float(head)
    except ValueError:
        return None


def _rounded_up(chance: float, bound: float) -> float:
    """A chance of what is not wanted as it prints, rounded against the flight where that keeps it on its side."""
    if not 0.0 < chance < 0.999:
        return chance
    step = 0.001 if chance < 0.1 or chance > 0.99 else 0.01
    up = max(math.ceil(chance / step - 1e-9) * step, chance)
    return up if (up > bound) == (chance > bound) and up != bound else chance


def beside(amount: Amount, limit: Limit, units: Units) -> tuple[str, str]:
    """Value and limit with as many digits as it takes to see which is the greater.

    >>> beside(Amount(749.96, "length"), Limit("at_least", Amount(750.0, "length")), "si")
    ('749.96 m', 'at least 750 m')
    """
    printed_limit = limit_text(limit, units)
    if not (amount.known and limit.amount.known):
        return amount_text(amount, units), printed_limit
    value, bound = float(amount.value or 0.0), float(limit.amount.value or 0.0)
    if amount.quantity == "chance" and limit.sense == "at_most":
        amount = replace(amount, value=_rounded_up(value, bound))
    for digits in range(DIGITS, MOST_DIGITS + 1):
        printed, printed_limit = amount_text(amount, units, digits, bound), limit_text(limit, units, digits, bound)
        found, asked = _number_in(printed), _number_in(printed_limit.split(" ", 2)[2])
        if found is None or asked is None or (found > asked) - (found < asked) == (value > bound) - (value < bound):
            return printed, printed_limit
    return printed, printed_limit


def rough(value_m: float, units: Units, digits: int = 2) -> str:
    """A distance known to so many digits, in the reader's unit: 143 m off a contour prints as 140 m."""
    factor, _, unit = scale("length", value_m, units)
    if not math.isfinite(value_m):
        return UNKNOWN
    number = value_m * factor
    return _with_unit(plain(number, _exponent(number) - digits + 1, trim=True), unit)
