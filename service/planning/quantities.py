"""Numbers between SI and the reader's units, both ways, for pages and their forms."""

from __future__ import annotations

from typing import Literal

from reports.amounts import Amount, Quantity
from reports.figures import Units, amount_text, scale
from reports.sentences import say
from service.planning.printed_figures import in_readers_units

FormQuantity = Literal["short_length", "length", "mass", "speed", "wind_speed", "temperature", "pressure"]

_SIZE: dict[str, float] = {"mass": 0.1}  # picks grams and ounces, not kilograms and pounds
DIGITS = 6  # of a number put into a form: enough to come back as it went in


def figure(value: float | None, quantity: Quantity, units: Units, spread: float | None = None) -> str:
    """A value as people read it, in their units.

    >>> figure(412.4, "length", "si", 32.0), figure(None, "length", "si"), figure(10.0, "wind_speed", "us")
    ('410 ± 30 m', 'UNKNOWN', '22.4 mph')
    """
    return amount_text(Amount(value, quantity, spread), units)


def form_unit(quantity: FormQuantity, units: Units) -> str:
    """The unit that a form asks for.

    >>> form_unit("mass", "us"), form_unit("short_length", "si")
    ('oz', 'mm')
    """
    return scale(quantity, _SIZE.get(quantity, 1.0), units)[2]


def to_si(number: float, quantity: FormQuantity, units: Units) -> float:
    """What was typed, in SI; degrees Celsius and hPa stay what they are.

    >>> to_si(24.0, "short_length", "si"), round(to_si(1.0, "mass", "us"), 9)
    (0.024, 0.028349523)
    """
    factor, offset, _ = scale(quantity, _SIZE.get(quantity, 1.0), units)
    return float(f"{(number - offset) / factor:.12g}")


def from_si(value: float, quantity: FormQuantity, units: Units) -> str:
    """What to put into a form for a value.

    >>> from_si(0.024, "short_length", "si"), from_si(18.0, "temperature", "us")
    ('24', '64.4')
    """
    factor, offset, _ = scale(quantity, _SIZE.get(quantity, 1.0), units)
    return f"{value * factor + offset:.{DIGITS}g}"


def sentence(text: str, units: Units) -> str:
    """A sentence with its figures in the reader's units, each with the figure as it was worked out in brackets.

    >>> sentence("Use a main of 0.62 m instead of 0.36 m.", "si")
    'Use a main of 0.62 m instead of 0.36 m.'
    """
    return say(in_readers_units(text), units)
