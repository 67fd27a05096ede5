"""How tall things are before they are placed, and which of them a page still has room for."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import Flowable

ENDLESS = 1e6


def height(flowables: Sequence[Flowable], wide: float) -> float:
    """How much of a page things take one under another, the space between them included. [pt]"""
    return sum(f.wrap(wide, ENDLESS)[1] + f.getSpaceBefore() + f.getSpaceAfter() for f in flowables)


def how_many_fit(heights: Sequence[float], room: float) -> int:
    """How many of the first things fit, at least one.

    >>> how_many_fit([10.0, 10.0, 10.0], 25.0), how_many_fit([10.0], 5.0)
    (2, 1)
    """
    taken, count = 0.0, 0
    for each in heights:
        taken += each
        if taken > room:
            break
        count += 1
    return max(count, 1)


def stretched(least: Sequence[float], most: Sequence[float], room: float) -> list[float]:
    """Sizes between their least and their most that share out the room evenly by how far they can grow.

    >>> stretched([10.0, 20.0], [20.0, 40.0], 45.0)
    [15.0, 30.0]
    """
    spare = max(0.0, room - sum(least))
    growth = sum(most) - sum(least)
    share = min(1.0, spare / growth) if growth > 0.0 else 0.0
    return [low + share * (high - low) for low, high in zip(least, most, strict=True)]


def balanced(heights: Sequence[float], count: int) -> list[list[int]]:
    """Indices dealt out in order to so many columns, the tallest as short as it can be.

    >>> balanced([1.0, 1.0, 1.0, 3.0], 2)
    [[0, 1, 2], [3]]
    """
    low, high = max(heights, default=0.0), sum(heights)
    for _ in range(24):
        half = (low + high) / 2
        low, high = (low, half) if len(_filled(heights, half)) <= count else (half, high)
    columns = _filled(heights, high)
    return columns + [[] for _ in range(count - len(columns))]


def _filled(heights: Sequence[float], tall: float) -> list[list[int]]:
    columns: list[list[int]] = [[]]
    taken = 0.0
    for i, each in enumerate(heights):
        if columns[-1] and taken + each > tall + 1e-9:
            columns.append([])
            taken = 0.0
        columns[-1].append(i)
        taken += each
    return columns
