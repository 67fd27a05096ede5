"""Where each part of the conditions came from, kept inside the one line that they have for their source.

    hand meter at the pads; kept T p 151400Z; aloft 151200Z FB XQA 40 km

Conditions carry one time and one source, those of the surface wind. A reading that gives only the wind keeps
the rest from before; the line says what was kept and since when, so that many small readings in a row cannot
make an old visibility look fresh.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import datetime

from service.models.conditions import Conditions
from service.planning.weather.times import day_time, written

LONGEST = 120  # as the document allows
SHORTEST_NAME = 12
PARTS = ("T", "p", "RH", "cloud", "vis")

_STAMP = r"\d{6}Z"
_KEPT = re.compile(rf"; kept ((?:(?:T|p|RH|cloud|vis) )+{_STAMP}(?:, (?:(?:T|p|RH|cloud|vis) )+{_STAMP})*)", re.ASCII)
_ALOFT = re.compile(rf"; aloft ({_STAMP}) (.+)$", re.ASCII)


@dataclass(frozen=True)
class Provenance:
    """Source of the surface wind; since when the parts kept from before stand; time and source of the upper winds."""

    surface: str
    kept: dict[str, datetime] = field(default_factory=dict)
    aloft: tuple[datetime, str] | None = None

    def line(self) -> str:
        """The source in one line of at most 120 characters; long names are cut."""
        kept = ""
        if self.kept:
            by_time: dict[str, list[str]] = {}
            for part in PARTS:
                if part in self.kept:
                    by_time.setdefault(written(self.kept[part]), []).append(part)
            kept = "; kept " + ", ".join(f"{' '.join(parts)} {stamp}" for stamp, parts in by_time.items())
        surface, aloft = _name(self.surface), ""
        if self.aloft:
            head = f"; aloft {written(self.aloft[0])} "
            room = LONGEST - len(kept) - len(head) - min(len(surface), 40)
            aloft = head + _cut(_name(self.aloft[1]), max(SHORTEST_NAME, room))
        return _cut(surface, LONGEST - len(kept) - len(aloft)) + kept + aloft


def provenance_of(conditions: Conditions) -> Provenance:
    """Read the line back; any other source is taken whole, as that of everything."""
    text, aloft = conditions.source, None
    match = _ALOFT.search(text)
    if match:
        valid_at = day_time(match[1], conditions.observed_at)
        aloft = (valid_at, match[2]) if valid_at else None
        text = text[: match.start()] if valid_at else text
    kept: dict[str, datetime] = {}
    match = _KEPT.search(text)
    if match and match.end() == len(text):
        for group in match[1].split(", "):
            *parts, stamp = group.split(" ")
            since = day_time(stamp, conditions.observed_at)
            if since:
                kept.update(dict.fromkeys(parts, since))
        text = text[: match.start()]
    return Provenance(text or "not told", kept, aloft)


def _name(text: str) -> str:
    """A name on one line, without the mark that parts the line."""
    name = "".join(letter if letter.isprintable() else " " for letter in text).replace(";", ",")
    return " ".join(name.split()) or "not told"


def _cut(text: str, room: int) -> str:
    return text if len(text) <= room else text[: max(1, room - 3)].rstrip() + "..."
