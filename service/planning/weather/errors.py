"""What the weather intake refuses, and why.

PlanningError
└── WeatherRefused       a reading or a text cannot be used; all its faults are listed
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.models.base import shown
from service.planning.errors import PlanningError

LISTED_FAULTS = 100


@dataclass(frozen=True)
class WeatherFault:
    """One thing wrong. `where` is a field of a form, a group of a report, a line and column, or a JSON pointer."""

    where: str
    found: str
    expected: str

    def __str__(self) -> str:
        return f"{self.where}: found {self.found}; expected {self.expected}"


class WeatherRefused(PlanningError):
    """A reading or a weather text cannot be used. `faults` lists what is wrong with it, `name` says what it was."""

    def __init__(self, faults: Sequence[WeatherFault], name: str) -> None:
        listed = tuple(faults[:LISTED_FAULTS])
        if len(faults) > LISTED_FAULTS:
            more = f"{len(faults) - LISTED_FAULTS:,} more faults"
            listed = (*listed, WeatherFault(name, more, "none; mend those above first"))
        self.faults = listed
        self.name = name
        super().__init__("\n".join([f"{name} cannot be used", *map(str, listed)]))


def refuse(name: str, where: str, found: str, expected: str) -> WeatherRefused:
    """The refusal of a single fault."""
    return WeatherRefused([WeatherFault(where, found, expected)], name)


def plain_text(text: object, name: str, longest: int) -> str:
    """A text from outside, short enough and of ordinary characters.

    Raises
    ------
    WeatherRefused
        If it is no text, empty, too long, or holds anything but ASCII letters, digits, marks and line breaks.
    """
    if not isinstance(text, str):
        raise refuse(name, name, shown(text), "a text")
    if not text.strip():
        raise refuse(name, name, "nothing", "a text")
    if len(text) > longest:
        raise refuse(name, name, f"{len(text):,} characters", f"at most {longest:,}")
    text = text.replace("\r\n", "\n").replace("\r", "\n").replace("\N{NO-BREAK SPACE}", " ")
    for number, line in enumerate(text.split("\n"), start=1):
        for column, letter in enumerate(line, start=1):
            if not (" " <= letter <= "~" or letter == "\t"):
                found = f"the character U+{ord(letter):04X} in line {number}, column {column}"
                raise refuse(name, name, found, "plain letters, digits and marks, as weather offices send them")
    return text
