"""What the store refuses, and why.

StoreError
├── NotFound        nothing is kept under that name, or the link or token is not valid
├── AlreadyThere    something is kept under that name already
│   ├── AlreadyLogged   the flight log tells of that flight already
│   └── AlreadyTicked   somebody has ticked that item already
├── Conflict        somebody else changed it first; says who, when and what
│   └── DayMoved    something of the whole day was changed first
├── Refused         it does not go together with what is kept; lists every problem
│   └── OutOfStock  more motors are asked for than are left
├── TooLarge        longer than the store takes
├── Busy            others kept the database for too long; try again
└── Unavailable     the database cannot be reached, read or written
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from service.models.base import Problem


class StoreError(Exception):
    """Base of everything this package raises on purpose."""


class NotFound(StoreError):
    """Nothing is kept under that name. The text says what was looked for."""


class AlreadyThere(StoreError):
    """Something is kept under that name already."""


class AlreadyTicked(AlreadyThere):
    """Somebody answers for that item of a checklist already. Nothing was written."""

    def __init__(self, rule: str, by: str, at: datetime) -> None:
        self.rule, self.by, self.at = rule, by, at
        super().__init__(f'"{rule}" was attested by {by} at {at.isoformat()} already')


class AlreadyLogged(AlreadyThere):
    """The flight log tells of a flight of that entry at about that time already. Nothing was written."""

    def __init__(self, number: int, entry_id: str, at: datetime, within_min: float) -> None:
        self.number, self.entry_id, self.at = number, entry_id, at
        super().__init__(
            f"flight {number} of the log is {entry_id} at {at.isoformat()} already, within {within_min:g} min of this "
            "one; expected another flight to be said to be one"
        )


@dataclass(frozen=True)
class Revised:
    """One revision that somebody else made: which, who, when, why, and the places it touched (JSON pointers)."""

    revision: int
    by: str
    at: str
    why: str
    changed: tuple[str, ...]


class Conflict(StoreError):
    """A change rests on a revision that is no longer the newest. Nothing was written."""

    def __init__(self, subject: str, based_on: int, current: int, since: Sequence[Revised] = ()) -> None:
        self.subject = subject
        self.based_on = based_on
        self.current = current
        self.since = tuple(since)
        told = "; ".join(
            f"revision {each.revision} by {each.by} at {each.at}"
            + (f" changed {', '.join(each.changed)}" if each.changed else "")
            for each in self.since
        )
        super().__init__(
            f"{subject}: found revision {current}, expected {based_on}, on which this change rests"
            + (f" ({told})" if told else "")
        )


class DayMoved(Conflict):
    """A whole day was to be replaced that is no longer the one that was seen. Nothing was written."""

    def __init__(self, subject: str, based_on: str, current: str) -> None:
        super().__init__(subject, 0, 0)
        self.args = (
            f'{subject}: found the mark "{current}", expected "{based_on}": something of it was changed since',
        )


class Refused(StoreError):
    """It contradicts what is kept. `problems` lists where, what was found and what would be right."""

    def __init__(self, subject: str, problems: Iterable[Problem]) -> None:
        self.subject = subject
        self.problems = tuple(problems)
        super().__init__(
            f"{subject}: "
            + "; ".join(
                f"{'/' + '/'.join(map(str, each.at)) + ': ' if each.at else ''}"
                f"found {each.found}, expected {each.expected}"
                for each in self.problems
            )
        )


class OutOfStock(Refused):
    """More motors are asked for than are left."""

    def __init__(self, motor_id: str, asked: int, left: int) -> None:
        self.motor_id = motor_id
        self.asked = asked
        self.left = left
        super().__init__(
            f'motor "{motor_id}"', [Problem(("motor_count",), f"{asked} asked for", f"at most the {left} left")]
        )


class TooLarge(StoreError):
    """Longer than the store takes."""

    def __init__(self, subject: str, size: int, limit: int) -> None:
        super().__init__(f"{subject}: found {size:,} bytes, expected at most {limit:,}")


class Busy(StoreError):
    """Others kept the database for longer than this change could wait; nothing was written."""


class Unavailable(StoreError):
    """The database cannot be reached, read or written; nothing was written."""
