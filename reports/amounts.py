"""Numbers as they are handed over to be printed: SI value, kind of quantity, spread."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

Quantity = Literal[
    "length",  # m
    "far_length",  # m, printed in km or mi
    "short_length",  # m, printed in mm or in
    "area",  # m²
    "speed",  # m/s
    "wind_speed",  # m/s, printed in m/s or mph
    "acceleration",  # m/s²
    "mass",  # kg
    "force",  # N
    "impulse",  # N s
    "energy",  # J
    "temperature",  # °C
    "pressure",  # hPa
    "time",  # s
    "angle",  # °
    "chance",  # 0 to 1, from samples: never printed as all or as nothing
    "percent",  # 0 to 1, exact
    "small_chance",  # 0 to 1, printed as a power of ten
    "ratio",  # a pure number
    "calibers",  # body diameters
    "mach",
    "count",  # whole things
]
Standing = Literal["clear", "caution", "stop", "unknown"]
Mode = Literal["planned", "no_deployment", "drogue_only", "main_at_apogee", "one_unlit"]

STANDINGS_WORST_FIRST: tuple[Standing, ...] = ("stop", "unknown", "caution", "clear")


@dataclass(frozen=True)
class Amount:
    """A value with its spread, in the SI unit of its quantity; a value that is None or not finite is unknown.

    `spread` is the half-width of what is known about the value, in the same unit; `why_unknown` is
    printed where the value is missing.
    """

    value: float | None
    quantity: Quantity
    spread: float | None = None
    why_unknown: str = ""

    @property
    def known(self) -> bool:
        return self.value is not None and math.isfinite(self.value)


@dataclass(frozen=True)
class Limit:
    """What a value is held against."""

    sense: Literal["at_most", "at_least", "below", "above", "about"]
    amount: Amount


@dataclass(frozen=True)
class AsPrinted:
    """Figures of a rule, in the reader's units; as the rule prints them they follow in brackets, where that differs.

    ``AsPrinted((Amount(13.4112, "speed"),), "30 mph", "mph")`` reads '13.4 m/s (30 mph)'. An empty `printed` leaves
    the brackets out: for a limit that is worked out, and printed nowhere. `join` stands between two figures.
    """

    amounts: tuple[Amount, ...]
    printed: str = ""
    unit: str = ""
    join: str = " and "


@dataclass(frozen=True)
class Against:
    """A value and its limit, with as many digits as it takes to tell them apart: '1,739 m (at most 1,500 m)'."""

    amount: Amount
    limit: Limit


Part = str | Amount | Limit | AsPrinted | Against
Words = str | tuple[Part, ...]
"""A sentence; given as a tuple, the amounts in it print in the reader's units:
``("apogee ", Amount(1620, "length", 90), " is over the ceiling")``."""


def joined(*parts: Words) -> Words:
    """Several pieces of a sentence as one; plain text stays plain text.

    >>> joined("Found: ", "41 %"), joined("Found: ", ("at ", "41 %"))
    ('Found: 41 %', ('Found: ', 'at ', '41 %'))
    """
    if all(isinstance(part, str) for part in parts):
        return "".join(part for part in parts if isinstance(part, str))
    return tuple(piece for part in parts for piece in ((part,) if isinstance(part, str) else part))
