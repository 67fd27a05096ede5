"""The units that codes print their figures in, and how a figure reads in a sentence.

Codes mix feet, miles, metres and ounces. A figure is kept in the unit it was printed in and compared in that
unit, unrounded; the SI figure stands beside it for the reader.
"""

import difflib
import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Unit:
    """A unit: what it measures, its size in the first unit of that kind, how it is written after a number."""

    kind: str
    size: float
    sign: str


UNITS: dict[str, Unit] = {
    "m": Unit("length", 1.0, " m"),
    "km": Unit("length", 1000.0, " km"),
    "ft": Unit("length", 0.3048, " ft"),  # exact, international foot, 1959
    "mi": Unit("length", 1609.344, " mi"),  # exact, 5280 ft
    "nmi": Unit("length", 1852.0, " NM"),  # exact, international nautical mile, 1929
    "m/s": Unit("speed", 1.0, " m/s"),
    "km/h": Unit("speed", 1.0 / 3.6, " km/h"),
    "mph": Unit("speed", 0.44704, " mph"),  # exact
    "ft/s": Unit("speed", 0.3048, " ft/s"),
    "kt": Unit("speed", 1852.0 / 3600.0, " kt"),
    "kg": Unit("mass", 1.0, " kg"),
    "g": Unit("mass", 0.001, " g"),
    "oz": Unit("mass", 0.028349523125, " oz"),  # exact, avoirdupois
    "N": Unit("force", 1.0, " N"),
    "N*s": Unit("impulse", 1.0, " N·s"),
    "lbf*s": Unit("impulse", 4.4482216152605, " lbf·s"),  # exact, pound 0.45359237 kg at 9.80665 m/s²
    "J": Unit("energy", 1.0, " J"),
    "ft*lbf": Unit("energy", 1.3558179483314004, " ft·lbf"),  # exact, foot times pound-force
    "s": Unit("time", 1.0, " s"),
    "min": Unit("time", 60.0, " min"),
    "h": Unit("time", 3600.0, " h"),
    "deg": Unit("angle", 1.0, "°"),
    "cal": Unit("static margin", 1.0, " cal"),
    "1": Unit("number", 1.0, ""),
    "%": Unit("number", 0.01, " %"),
    "tenths": Unit("number", 0.1, " tenths"),
}

ROUNDING = 1e-9
"""Relative slack of a comparison: far above the rounding of a conversion, far below what any code prints."""


def convert(value: float, unit: str, to: str) -> float:
    """A figure in another unit of the same kind; untouched when the unit is the same.

    >>> convert(1500.0, "ft", "m")
    457.20000000000005
    """
    if unit == to:
        return value
    if UNITS[unit].kind != UNITS[to].kind:
        raise ValueError(f"{UNITS[unit].kind} ({unit}) cannot be given as {UNITS[to].kind} ({to})")
    return value * UNITS[unit].size / UNITS[to].size


def up_to(value: float, limit: float) -> bool:
    """True when a value does not exceed a limit; met exactly counts. NaN on either side is False."""
    return value <= limit + ROUNDING * max(abs(value), abs(limit))


def above(value: float, limit: float) -> bool:
    """True when a value exceeds a limit by more than rounding. NaN on either side is False."""
    return value > limit + ROUNDING * max(abs(value), abs(limit))


def in_words(value: float, unit: str) -> str:
    """A figure with its unit as it is read aloud: four figures at most, thousands marked.

    >>> in_words(1500.0, "ft"), in_words(8.9408, "m/s"), in_words(20.0, "deg")
    ('1,500 ft', '8.941 m/s', '20°')
    """
    if not math.isfinite(value):
        return "no figure"
    figure = f"{value:,.0f}" if abs(value) >= 1000.0 else f"{value:.4g}"
    return figure + UNITS[unit].sign


def nearest_name(name: str, known: list[str] | tuple[str, ...]) -> str:
    """'; did you mean ...?' for a name spelt nearly like a known one, else an empty string."""
    close = difflib.get_close_matches(name, known, n=1, cutoff=0.6)
    return f"; did you mean {close[0]!r}?" if close else ""
