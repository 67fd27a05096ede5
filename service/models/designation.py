"""Motor designations as the trade writes them, and the impulse classes their letters stand for.

The letter bounds the total impulse, each letter double the one before (NFPA 1125 and 1122; the bands are
quoted widely, the standards themselves were not re-read). The figure after it is the average thrust in
newtons; after a dash comes the delay in seconds, or P for a plugged motor. Figures before the letter are the
total impulse. Letters after the average thrust or the delay are the maker's own.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

A_UP_TO_NS = 2.5
LETTERS = ("1/8A", "1/4A", "1/2A", *"ABCDEFGHIJKLMNOPQRST")
_A_INDEX = LETTERS.index("A")

_DESIGNATION = re.compile(
    r"(?P<impulse>[1-9][0-9]{0,5}(?:\.[0-9]+)?)?"
    r"(?P<letter>1/[248]A|[A-T])"
    r"(?P<average>[0-9]{1,5}(?:\.[0-9]+)?)"
    r"(?P<maker>[A-Za-z]{0,4})"
    r"(?:-(?:(?P<delay>[0-9]{1,2}(?:\.[0-9]+)?)(?P<charge>[A-Za-z]{0,3})|(?P<plugged>P)))?"
)
_FRACTIONS = {"\u215b": "1/8", "\u00bc": "1/4", "\u00bd": "1/2"}


@dataclass(frozen=True)
class Designation:
    """What a designation says. None where it says nothing."""

    letter: str
    average_n: float
    delay_s: float | None = None
    plugged: bool = False
    impulse_ns: float | None = None
    maker_letters: str = ""


def read_designation(text: str) -> Designation:
    """Read a designation such as D9, 1/2A3-2, F37-6, H120-P or 320H120RL-14A.

    Raises
    ------
    ValueError
        If the text is not one.

    Examples
    --------
    >>> read_designation("F37-6")
    Designation(letter='F', average_n=37.0, delay_s=6.0, plugged=False, impulse_ns=None, maker_letters='')
    """
    plain = text.strip()
    for sign, spelt in _FRACTIONS.items():
        plain = plain.replace(sign, spelt)
    match = _DESIGNATION.fullmatch(plain)
    if match is None or not float(match["average"]) > 0.0:
        raise ValueError(f"{text!r} is not a motor designation; expected one such as D9-5, 1/2A3-2 or H120-P")
    return Designation(
        letter=match["letter"],
        average_n=float(match["average"]),
        delay_s=None if match["delay"] is None else float(match["delay"]),
        plugged=match["plugged"] is not None,
        impulse_ns=None if match["impulse"] is None else float(match["impulse"]),
        maker_letters=match["maker"] + (match["charge"] or ""),
    )


def class_bounds_ns(letter: str) -> tuple[float, float]:
    """Total impulse of a letter class: over the first figure, up to and including the second. [N s]

    >>> class_bounds_ns("D"), class_bounds_ns("1/8A")
    ((10.0, 20.0), (0.0, 0.3125))
    """
    if letter not in LETTERS:
        raise ValueError(f"{letter!r} is not an impulse class; expected one of {', '.join(LETTERS)}")
    steps = LETTERS.index(letter) - _A_INDEX
    upper_ns = A_UP_TO_NS * 2.0**steps
    return (0.0 if letter == LETTERS[0] else upper_ns / 2.0), upper_ns


def impulse_class(impulse_ns: float) -> str:
    """Letter class of a total impulse. [N s]

    >>> impulse_class(20.0), impulse_class(20.01), impulse_class(0.7)
    ('D', 'E', '1/2A')
    """
    if not (math.isfinite(impulse_ns) and impulse_ns > 0.0):
        raise ValueError(f"an impulse of {impulse_ns:g} N s has no class; expected a number above zero")
    for letter in LETTERS:
        if impulse_ns <= class_bounds_ns(letter)[1]:
            return letter
    raise ValueError(f"an impulse of {impulse_ns:g} N s is beyond class {LETTERS[-1]}")
