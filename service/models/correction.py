"""A correction of the drag that the organiser has accepted, with what it rests on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Annotated

from service.models.base import Model, Problem
from service.models.types import Bounded, Instant, Name, Text

LEAST_FACTOR, MOST_FACTOR = 0.5, 2.0  # beyond these it is not the drag that is wrong


class Correction(Model):
    """The computed drag of a rocket times a factor, learnt from its flights."""

    rocket: Name | None = None
    """Name of the rocket it holds for; null for every rocket without one of its own."""
    drag_factor: Annotated[float, Bounded(LEAST_FACTOR, MOST_FACTOR)]
    """What the drag on the way up is multiplied by. [-]"""
    flights: Annotated[int, Bounded(1, 100_000, "flights")]
    """How many flights it rests on. [count]"""
    evidence: Annotated[str, Text(500)]
    """What those flights show, in words."""
    by: Name
    """Who accepted it."""
    at: Instant
    """When it was accepted. [RFC 3339]"""


def correction_for(corrections: Sequence[Correction], rocket: str) -> Correction | None:
    """The one that bears on a rocket: its own, else the one for all; None without either."""
    own = next((each for each in corrections if each.rocket == rocket), None)
    return own or next((each for each in corrections if each.rocket is None), None)


def correction_problems(corrections: Sequence[Correction]) -> Iterable[Problem]:
    """Two corrections for one rocket contradict each other."""
    seen: set[str | None] = set()
    for index, each in enumerate(corrections):
        if each.rocket in seen:
            called = "every rocket" if each.rocket is None else f'"{each.rocket}"'
            yield Problem(("corrections", index, "rocket"), f"{called} again", "one correction a rocket, one for all")
        seen.add(each.rocket)
