"""What is wrong with a field, in the words of its form: the reader's units, labels for names of the document.

The document speaks SI and of its own fields: "found -0.005; expected a number from 0.001 to 1,000 kg". Beside the field
stands what was typed, in the unit it was typed in: "found -5 g; expected a number from 1 to 1,000,000 g".
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import TYPE_CHECKING

from service.planning.errors import Fault
from service.planning.plain_words import plain_words
from service.planning.quantities import FormQuantity, Units, form_unit, from_si, sentence

if TYPE_CHECKING:
    from service.web.forms import FormField

FILL_IN = "this to be filled in"
SMALL_M = 3.0  # below it a length without a field of its own is one of a rocket, not of a field
_DIGITS = 6
_SI: dict[str, tuple[FormQuantity, ...]] = {  # the unit as faults print it, and what is measured in it
    "m": ("short_length", "length"),
    "kg": ("mass",),
    "m/s": ("speed", "wind_speed"),
    "hPa": ("pressure",),
    "°C": ("temperature",),
}
_NUMBER = r"-?\d[\d,]*(?:\.\d+)?(?:e-?\d+)?"
_UNIT = "|".join(sorted(map(re.escape, _SI), key=len, reverse=True))
_FIGURE = re.compile(rf"(?<![\w.,-])({_NUMBER})[ \u00a0]({_UNIT})(?![\w/·²³])")
_BOUNDS = re.compile(rf"\b(from|above) ({_NUMBER}) (to|and up to) ({_NUMBER})(?: ({_UNIT})(?![\w/·²³]))?")
_BARE = re.compile(rf"(?<![\w.,-])({_NUMBER})(?![\w.,]*\w| %)")
_NAME = re.compile(r"\b[a-z]+(?:_[a-z0-9]+)+\b")
_OF_A_FIELD = re.compile(r"\.? \[[^\]]*\]$")  # the unit that the schema puts behind what it says of a field
_IN_UNIT = re.compile(r", in (?:m|s|kg|m/s)$")
_OF_THE_SCHEMA = "a value of the kind the schema describes"


def fault_words(fault: Fault, fields: Mapping[str, FormField], at: str, typed: str, units: Units) -> str:
    """The sentence beside a field.

    Parameters
    ----------
    fault : Fault
        As the document's door or the store said it.
    fields : mapping
        The form's fields by their pointers.
    at : str
        The field that it stands beside; one that is not in `fields` where it stands above the form.
    typed : str
        What was typed there; empty where the fault is about a part of it.
    units : Units
        The reader's.
    """
    field = fields.get(at)
    found, expected = fault.found, fault.expected
    if found == "nothing" and (_OF_A_FIELD.search(expected) or expected == _OF_THE_SCHEMA):
        return f"found nothing; expected {FILL_IN}"
    if typed and field and field.kind in ("number", "whole") and re.fullmatch(_NUMBER, found):
        unit = form_unit(field.quantity, units) if field.quantity else field.unit
        found = f"{typed} {unit}".rstrip()
    else:
        found = _in_words(found, field, fields, at, units)
    if expected == _OF_THE_SCHEMA:
        expected = "one of those listed" if field and field.choices else "something else"
    return f"found {found}; expected {_in_words(expected, field, fields, at, units)}"


def _in_words(text: str, field: FormField | None, fields: Mapping[str, FormField], at: str, units: Units) -> str:
    text = _IN_UNIT.sub("", _OF_A_FIELD.sub("", text))
    text = re.sub(r"\bnull\b", "nothing", text).removesuffix(" (fraction)")
    if field is not None and field.scale != 1.0:
        text = _BARE.sub(lambda match: _scaled(match[1], field), text)
    elif field is not None and field.quantity is not None:
        text = _BOUNDS.sub(lambda match: _bounds(match, field.quantity, units), text)
    text = _FIGURE.sub(lambda match: _figure(match, field, units), text)
    return _NAME.sub(lambda match: _named(match[0], fields, at), text)


def _scaled(number: str, field: FormField) -> str:
    return f"{float(number.replace(',', '')) / field.scale:.8g} {field.unit}".rstrip()


def _bounds(match: re.Match[str], quantity: FormQuantity | None, units: Units) -> str:
    begin, low, join, high, unit = match.groups()
    if quantity is None or (unit and quantity not in _SI[unit]):
        return match[0]
    low, high = (_plain(each, quantity, units, _DIGITS) for each in (low, high))
    return f"{begin} {low} {join} {high} {form_unit(quantity, units)}"


def _figure(match: re.Match[str], field: FormField | None, units: Units) -> str:
    number, unit = match.groups()
    quantity = field.quantity if field and field.quantity in _SI[unit] else _SI[unit][0]
    if unit == "m" and not (field and field.quantity == quantity) and abs(float(number.replace(",", ""))) >= SMALL_M:
        return sentence(match[0], units)
    digits = max(3, len(re.sub(r"e.*|\D", "", number).lstrip("0")))
    assert quantity is not None
    return f"{_plain(number, quantity, units, digits)} {form_unit(quantity, units)}"


def _plain(number: str, quantity: FormQuantity, units: Units, digits: int) -> str:
    value = float(from_si(float(number.replace(",", "")), quantity, units))
    rounded = float(f"{value:.{digits}g}")
    return f"{rounded:,.0f}" if rounded == int(rounded) else f"{rounded:,.{digits}g}"


def _named(name: str, fields: Mapping[str, FormField], at: str) -> str:
    """A name of the document: the label of the field beside, the words of a choice, else plain words."""
    around = at.rpartition("/")[0]
    near = sorted((each for each in fields if each.endswith(f"/{name}")), key=lambda each: not each.startswith(around))
    if near:
        return f"“{fields[near[0]].label}”"
    words = (dict(each.choices).get(name) for each in fields.values() if each.choices)
    return next((each for each in words if each), None) or plain_words(name).replace("_", " ")
