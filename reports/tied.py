"""Figures held on one line with their units, in running text."""

from __future__ import annotations

import re

NO_BREAK = "\N{NO-BREAK SPACE}"
SIGNS = (
    "m", "mm", "cm", "km", "ft", "in", "mi", "NM", "m²", "ft²",
    "m/s", "km/h", "ft/s", "mph", "kt", "kn", "m/s²", "ft/s²",
    "g", "kg", "oz", "lb", "N", "lbf", "N·s", "lbf·s", "J", "ft·lbf", "hPa", "inHg",
    "s", "ms", "min", "h", "%", "cal", "°", "°C", "°F", "UTC",
)  # fmt: skip
_SIGN = "|".join(sorted(map(re.escape, SIGNS), key=len, reverse=True))
# Between a figure and its unit; around ±; behind a sign that says more or less, which a page writes as an entity.
GAP = rf"(?:(?<=\d)\s+(?=±|(?:{_SIGN})(?![\w/·²³]))|(?:(?<=[±<>≤≥])|(?<=&[lg]t;))\s+(?=\d))"
_GAP = re.compile(GAP)


def tied(text: str) -> str:
    """Numbers and their units held on one line.

    >>> tied("apogee 410 ± 30 m, at most 6.1 m/s") == "apogee 410\u00a0±\u00a030\u00a0m, at most 6.1\u00a0m/s"
    True
    """
    return _GAP.sub(NO_BREAK, text)
