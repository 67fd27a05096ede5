"""What planning refuses, and why.

PlanningError
├── DocumentRefused      a launch-day document has faults; all of them are listed
└── NoCluster            a cluster that cannot be reached (executors.py)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Fault:
    """One thing wrong with a document.

    `pointer` is a JSON pointer (RFC 6901) to it, "" for the whole document; a missing field is pointed to where
    it should stand.
    """

    pointer: str
    found: str
    expected: str

    def __str__(self) -> str:
        return f"{self.pointer or 'the document'}: found {self.found}; expected {self.expected}"


class PlanningError(ValueError):
    """Base of everything this package raises on purpose."""


class DocumentRefused(PlanningError):
    """A launch-day document cannot be used. `faults` lists everything that is wrong with it, `name` says which."""

    def __init__(self, faults: Sequence[Fault], name: str = "the document") -> None:
        self.faults = tuple(faults)
        self.name = name
        count = len(self.faults)
        head = f"{name} has {count} fault{'' if count == 1 else 's'}"
        super().__init__("\n".join([head, *map(str, self.faults)]))


def pointer(path: Sequence[str | int]) -> str:
    """Write a path as a JSON pointer.

    >>> pointer(("field", "pads", 0, "a/b~c"))
    '/field/pads/0/a~1b~0c'
    """
    return "".join("/" + str(step).replace("~", "~0").replace("/", "~1") for step in path)
