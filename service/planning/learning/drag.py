"""The drag factor that brings estimated apogees to the measured ones, by root finding over real flights."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from service.models.correction import LEAST_FACTOR, MOST_FACTOR
from service.planning.learning.reflights import Reflights
from service.planning.learning.statistics import Bounds, sample_deviation, student

TOLERANCE = 1e-4
Groups = Sequence[Sequence[int]]  # numbers of flights; each group counts once, by its mean


def group_means(flights: Reflights, groups: Groups, factor: float) -> list[float]:
    """Mean ln(measured / estimated) of each group with the drag times a factor."""
    return [float(np.mean([log_ratio(flights, number, factor) for number in group])) for group in groups]


def log_ratio(flights: Reflights, number: int, factor: float) -> float:
    """ln(measured / estimated) of a flight's apogee with the drag times a factor."""
    return math.log((flights.cases[number].flight.apogee_m or math.nan) / flights.apogee_m(number, factor))


def matching_factor(flights: Reflights, groups: Groups, shift: float = 0.0, middle: bool = False) -> float | None:
    """The drag factor at which the mean over the groups (the median with `middle`) equals `shift`.

    More drag lowers the estimate, so the mean rises with the factor: one root at most. None where it lies outside
    the factors that are allowed, or where a flight cannot be flown with one of them.
    """
    from scipy.optimize import brentq

    over = np.median if middle else np.mean

    def off(factor: float) -> float:
        return float(over(group_means(flights, groups, factor))) - shift

    ends = off(LEAST_FACTOR), off(MOST_FACTOR)
    if not (ends[0] <= 0.0 <= ends[1]):  # NaN lands here too
        return None
    return float(brentq(off, LEAST_FACTOR, MOST_FACTOR, xtol=TOLERANCE))


def factor_bounds(flights: Reflights, groups: Groups) -> Bounds | None:
    """The factor with its 95 % interval: where the mean over the groups lies within Student's t of nothing.

    Every group is one observation: with one flight a group the interval is that of these flights; with one rocket a
    group it is that of rockets like them, however many flights each has.
    """
    factor = matching_factor(flights, groups)
    if factor is None or len(groups) < 2:
        return None
    means = group_means(flights, groups, factor)
    half = student(len(means) - 1) * sample_deviation(means) / math.sqrt(len(means))

    def end(shift: float, otherwise: float) -> float:
        found = matching_factor(flights, groups, shift)
        return otherwise if found is None else found

    return Bounds(factor, end(-half, LEAST_FACTOR), end(half, MOST_FACTOR))
