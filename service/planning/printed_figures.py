"""Sentences whose figures print in the reader's units, with the figure as a code prints it in brackets."""

from __future__ import annotations

import re
from collections.abc import Iterator

from reports.amounts import Amount, AsPrinted, Part, Quantity, Words
from service.codes.units import UNITS, convert, in_words
from service.models.finding import Finding

# what prints in other units to other readers; all else reads the same everywhere and is left as it is
KINDS: dict[str, Quantity] = {"length": "length", "speed": "speed", "mass": "mass", "force": "force",
                              "energy": "energy"}  # fmt: skip
SI: dict[str, str] = {"length": "m", "speed": "m/s", "mass": "kg", "force": "N", "energy": "J"}
BY_UNIT: dict[str, Quantity] = {
    "m": "length", "m/s": "speed", "J": "energy", "s": "time", "cal": "calibers", "kg": "mass", "N": "force",
    "N*s": "impulse", "deg": "angle",
}  # fmt: skip
BY_NAME: dict[str, Quantity] = {
    "surface_wind_mps": "wind_speed", "gust_mps": "wind_speed", "crosswind_mps": "wind_speed",
    "visibility_m": "far_length", "airport_distance_m": "far_length", "cloud_cover": "percent",
    "collective_risk": "small_chance", "individual_risk": "small_chance",
}  # fmt: skip
_SIGNS = {unit.sign.strip(): name for name, unit in UNITS.items() if unit.kind in KINDS}
_UNIT = "|".join(sorted(map(re.escape, _SIGNS), key=len, reverse=True))
_NUMBER = r"\d[\d,]*(?:\.\d+)?"
_FIGURE = re.compile(
    rf"(?<![\w.,-])(?:(?P<low>{_NUMBER})(?P<join> and | to ))?(?P<high>{_NUMBER})[ \u00a0](?P<unit>{_UNIT})(?![\w/·²³])"
    rf"(?: \((?:{_NUMBER} (?:and|to) )?{_NUMBER}[ \u00a0](?:{_UNIT})\))?"  # the same in another unit: worked out anew
)
_TINY = re.compile(r"(?<![\w.])(0\.0\d+|\d(?:\.\d+)?e-\d+|0)(?![\w.%])")


def quantity_of(found: Finding) -> Quantity | None:
    """What kind of figure a finding measures; None for a bare number, a word, a yes or no."""
    name = found.quantity or ""
    if re.search(r"_chance(?:_[a-z_]+)?$", name):
        return "chance"
    return BY_NAME.get(name) or BY_UNIT.get(found.si_unit)


def in_readers_units(text: str, of: Quantity | None = None) -> Words:
    """The text with each figure that has a unit turned into one of the reader's; `of` tells wind from other speeds.

    >>> in_readers_units("Nobody comes nearer than 10 m.")  # doctest: +NORMALIZE_WHITESPACE
    ('Nobody comes nearer than ',
     AsPrinted(amounts=(Amount(value=10.0, quantity='length', spread=None, why_unknown=''),), printed='10 m', unit='m',
     join=' and '), '.')
    >>> in_readers_units("A countdown of at least 5 s.")
    'A countdown of at least 5 s.'
    """
    parts: tuple[Part, ...] = tuple(_parts(text, of)) if of != "small_chance" else tuple(_in_a_million(text))
    return text if all(isinstance(part, str) for part in parts) else parts


def _in_a_million(text: str) -> Iterator[Part]:
    """The text with each tiny number as so many in a million: 3.17e-06 is read by nobody at a table."""
    for piece in _TINY.split(text):
        yield Amount(float(piece), "small_chance") if _TINY.fullmatch(piece) else piece


def _parts(text: str, of: Quantity | None) -> Iterator[Part]:
    end = 0
    for found in _FIGURE.finditer(text):
        sign = found["unit"]
        unit = UNITS[_SIGNS[sign]]
        quantity = KINDS[unit.kind]
        if of is not None and unit.kind == {"wind_speed": "speed", "far_length": "length"}.get(of):
            quantity = of
        numbers = [float(found[name].replace(",", "")) for name in ("low", "high") if found[name]]
        join = found["join"] or ""
        printed = f"{found['low']}{join}{found['high']} {sign}" if join else f"{found['high']} {sign}"
        amounts = tuple(Amount(convert(each, _SIGNS[sign], SI[unit.kind]), quantity) for each in numbers)
        if found.start() > end:
            yield text[end : found.start()]
        yield AsPrinted(amounts, printed, sign, join or " and ")
        end = found.end()
    if end < len(text):
        yield text[end:]


def rule_words(text: str, found: Finding) -> Words:
    """A finding's sentence, its limit from the figure itself rather than from its rounded text."""
    quantity = quantity_of(found)
    printed, limit = _limit_in(found, quantity)
    before, figure, after = _split(text, printed) if limit else (text, "", "")
    if limit is None or not figure:
        return in_readers_units(text, quantity)
    return (*_parts(before, quantity), limit, *_parts(after, quantity))


def _limit_in(found: Finding, quantity: Quantity | None) -> tuple[str, Part | None]:
    """The limit as the sentence has it, and as a part in the reader's units; None where no reader needs another."""
    if found.limit is None or found.limit_si is None or found.unit not in UNITS or quantity is None:
        return "", None
    amount, as_said = Amount(found.limit_si, quantity), in_words(found.limit, found.unit)
    if quantity in ("chance", "small_chance"):
        exact: Quantity = "percent" if quantity == "chance" else "small_chance"
        return (as_said, AsPrinted((Amount(found.limit_si, exact),))) if found.unit in ("1", "%") else ("", None)
    if quantity not in (*KINDS.values(), "wind_speed", "far_length", "percent"):
        return "", None
    # a limit of few digits is one that is printed somewhere; any other was worked out for this entry
    is_printed = float(f"{found.limit:.3g}") == found.limit
    return as_said, AsPrinted((amount,), as_said if is_printed else "", UNITS[found.unit].sign.strip())


def _split(text: str, figure: str) -> tuple[str, str, str]:
    """The text around a figure, and around the same figure in SI behind it in brackets."""
    found = re.search(rf"(?<![\w.,-]){re.escape(figure)}(?![\w/·²³]|[.,]\d)(?: \([^()]*\d[^()]*\))?", text)
    return (text[: found.start()], figure, text[found.end() :]) if found else (text, "", "")

