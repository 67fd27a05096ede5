"""Finding the smallest change that works, among changes in order of size."""

from __future__ import annotations

import math
from collections.abc import Callable

GROWTH = 1.5


def gallop(count: int, start: int = 1) -> list[int]:
    """Places to look at, further and further apart, the last one included.

    >>> gallop(20)
    [1, 2, 3, 5, 8, 12, 18, 20]
    """
    places, at = [], max(start, 1)
    while at < count:
        places.append(at)
        at = max(at + 1, math.ceil(at * GROWTH))
    return [*places, count] if count >= max(start, 1) else []


def first_that_works(works: Callable[[int], bool], count: int) -> int | None:
    """The smallest k in 1..count with works(k), found by widening steps and then bisection; None without one.

    k = 0, the present state, does not work. What is returned works and the next smaller does not; were there a gap
    below in which it works too, it could be missed, so callers say what they tried.

    >>> first_that_works(lambda k: k >= 7, 20), first_that_works(lambda k: False, 20)
    (7, None)
    """
    below = 0
    for place in gallop(count):
        if works(place):
            return _bisected(works, below, place)
        below = place
    return None


def _bisected(works: Callable[[int], bool], below: int, above: int) -> int:
    while above - below > 1:
        middle = (below + above) // 2
        if works(middle):
            above = middle
        else:
            below = middle
    return above


def settled(works: Callable[[int], bool], guess: int, count: int, most: int) -> int | None:
    """The smallest k around a guess, by a dearer test: works(k), and not works(k - 1).

    None if nothing that works is found in `most` tests.

    >>> settled(lambda k: k >= 7, 4, 20, 9), settled(lambda k: k >= 7, 12, 20, 9)
    (7, 7)
    """
    asked: dict[int, bool] = {0: False}

    def ask(k: int) -> bool:
        if k not in asked:
            asked[k] = works(k)
        return asked[k]

    step = 1
    if ask(guess):
        above = guess
        while ask(above - 1):
            above, step = max(above - step, 1), step * 2
            if not ask(above):
                return _bisected(ask, above, min(k for k, good in asked.items() if good and k > above))
        return above
    below = guess
    while below < count and len(asked) <= most:
        place = min(below + step, count)
        if ask(place):
            return _bisected(ask, below, place)
        below, step = place, step * 2
    return None
