"""Numbers and units as people type them beside a meter, with the span in which each makes sense."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass

from service.codes.units import UNITS, convert
from service.models.base import shown
from service.planning.weather.errors import WeatherFault

HPA_PER_INHG = 33.86389  # mercury at 0 degrees C under standard gravity: the altimetry convention, from memory
HPA_PER_MMHG = HPA_PER_INHG / 25.4

_NUMBER = re.compile(r"[+-]?(\d{1,9}(\.\d{0,20})?|\.\d{1,20})", re.ASCII)


@dataclass(frozen=True)
class Kind:
    """A quantity: its unit inside, the units it may be given in, and the span that can be meant."""

    unit: str
    low: float
    high: float
    scales: dict[str, Callable[[float], float]]


def _times(size: float) -> Callable[[float], float]:
    return lambda value: value * size


def _of(names: dict[str, str], to: str) -> dict[str, Callable[[float], float]]:
    return {name: _times(convert(1.0, ours, to)) for name, ours in names.items() if ours in UNITS}


SPEED = Kind("m/s", 0.0, 60.0, _of({"m/s": "m/s", "kt": "kt", "mph": "mph", "km/h": "km/h"}, "m/s"))
GUST = Kind("m/s", 0.0, 100.0, SPEED.scales)
LENGTH_UNITS = _of({"m": "m", "km": "km", "ft": "ft", "mi": "mi"}, "m")
BASE = Kind("m", 0.0, 25_000.0, LENGTH_UNITS)
VISIBILITY = Kind("m", 0.0, 500_000.0, LENGTH_UNITS)
READ_AT = Kind("m", 0.5, 20.0, LENGTH_UNITS)
TEMPERATURE = Kind("°C", -60.0, 60.0, {"C": _times(1.0), "F": lambda value: (value - 32.0) / 1.8})
DEW_POINT = Kind("°C", -90.0, 40.0, TEMPERATURE.scales)
PRESSURE_UNITS = {
    "hPa": _times(1.0),
    "kPa": _times(10.0),
    "inHg": _times(HPA_PER_INHG),
    "mmHg": _times(HPA_PER_MMHG),
}
PRESSURE = Kind("hPa", 300.0, 1100.0, PRESSURE_UNITS)
ALTIMETER = Kind("hPa", 870.0, 1085.0, PRESSURE_UNITS)  # the sea-level records (WMO archive, from memory)
DIRECTION = Kind("°", 0.0, 360.0, {"deg": _times(1.0)})
ARC = Kind("°", 0.0, 360.0, {"deg": _times(1.0)})
PERCENT = Kind("%", 0.0, 100.0, {"%": _times(1.0)})
OKTAS = Kind("oktas", 0.0, 8.0, {"oktas": _times(1.0)})


def number(value: object) -> float | None:
    """A finite number from a number or its text; None if it is none.

    >>> number("3.5"), number("-.5"), number(" 12 "), number("3,5"), number("1e3"), number(True), number("nan")
    (3.5, -0.5, 12.0, None, None, None, None)
    """
    if isinstance(value, bool):
        return None
    if isinstance(value, int | float):
        try:
            found = float(value)
        except OverflowError:
            return None
        return found if math.isfinite(found) else None
    if isinstance(value, str) and _NUMBER.fullmatch(value.strip()):
        return float(value)
    return None


def measured(where: str, value: object, unit: object, kind: Kind, faults: list[WeatherFault]) -> float | None:
    """A value in the unit inside; None, with a fault added, when it cannot be meant."""
    if not isinstance(unit, str) or unit not in kind.scales:
        faults.append(WeatherFault(where, f"the unit {shown(unit)}", f"one of {', '.join(kind.scales)}"))
        return None
    span = f"{_span(kind)}"
    found = number(value)
    if found is None:
        said = f"a number, with a point before decimals, {span}"
        faults.append(WeatherFault(where, shown(value), said))
        return None
    inside = kind.scales[unit](found)
    if not kind.low <= inside <= kind.high:
        given = f"{found:g} {unit}" + ("" if kind.scales[unit](1.0) == 1.0 else f" ({inside:.4g} {kind.unit})")
        faults.append(WeatherFault(where, given, f"{span}; is the unit right?"))
        return None
    return inside


def _span(kind: Kind) -> str:
    return f"from {kind.low:,g} to {kind.high:,g} {kind.unit}"
