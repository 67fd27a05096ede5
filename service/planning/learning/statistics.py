"""Mean, spread and odd ones out of a few measurements, with intervals.

References
----------
NIST/SEMATECH, e-Handbook of Statistical Methods: 1.3.5.2 (confidence limits for the mean), 1.3.5.8 (chi-square test
for the standard deviation), 1.3.5.17.1 and 1.3.5.17.3 (Grubbs' test, generalized ESD test); from memory, not re-read.
B. Rosner, Percentage points for a generalized ESD many-outlier procedure, Technometrics 25 (1983) 165-172.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import chdtri, stdtrit

CONFIDENCE = 0.95
MANY = 15  # from this many on, more than one odd one out is looked for
ODD_RISK = (0.05, 0.01)  # of calling one odd where none is, among few and among many: few hide a slip at 1 %
ODD_SHARE = 0.1  # at most, of many


@dataclass(frozen=True)
class Bounds:
    """An estimate with its two-sided interval."""

    estimate: float
    low: float
    high: float

    def holds(self, value: float) -> bool:
        return self.low <= value <= self.high


def mean_bounds(mean: float, deviation: float, count: int, confidence: float = CONFIDENCE) -> Bounds:
    """Interval of a mean by Student's t. `deviation` is the standard deviation of the sample.

    Examples
    --------
    >>> found = mean_bounds(10.0, 2.0, 16)
    >>> round(found.low, 3), round(found.high, 3)
    (8.934, 11.066)
    """
    if count < 2:
        raise ValueError(f"an interval of a mean needs two values or more, found {count}")
    half = student(count - 1, confidence) * deviation / math.sqrt(count)
    return Bounds(mean, mean - half, mean + half)


def student(freedom: int, confidence: float = CONFIDENCE) -> float:
    """Two-sided point of Student's t."""
    return float(stdtrit(freedom, 0.5 + confidence / 2.0))


def deviation_bounds(deviation: float, freedom: int, confidence: float = CONFIDENCE) -> Bounds:
    """Interval of a standard deviation by chi-square, the values being normal."""
    if freedom < 1:
        raise ValueError(f"an interval of a deviation needs a degree of freedom or more, found {freedom}")
    low, high = chi_square_points(freedom, confidence)
    return Bounds(deviation, deviation * math.sqrt(freedom / high), deviation * math.sqrt(freedom / low))


def chi_square_points(freedom: int, confidence: float = CONFIDENCE) -> tuple[float, float]:
    """What chi-square lies between by chance, two-sided."""
    tail = (1.0 - confidence) / 2.0
    return float(chdtri(freedom, 1.0 - tail)), float(chdtri(freedom, tail))


def esd_test(values: Sequence[float], most: int, risk: float) -> list[tuple[int, float, float]]:
    """The generalized ESD test: for each of `most` steps the place farthest from the mean, how far in standard
    deviations, and how far is too far. With `most` at 1 this is the two-sided Grubbs' test.
    """
    left = list(range(len(values)))
    data = np.asarray(values, dtype=float)
    steps: list[tuple[int, float, float]] = []
    for _ in range(min(most, len(values) - 2)):
        part = data[left]
        deviation = float(part.std(ddof=1))
        if not deviation > 0.0:
            break
        off = np.abs(part - part.mean()) / deviation
        place = int(np.argmax(off))
        count = len(left)
        point = float(stdtrit(count - 2, 1.0 - risk / (2.0 * count)))
        limit = (count - 1) * point / math.sqrt((count - 2 + point**2) * count)
        steps.append((left.pop(place), float(off[place]), limit))
    return steps


def odd_ones(values: Sequence[float], least: int) -> dict[int, tuple[float, float]]:
    """Places of the odd ones out, each with how far off it is and what would be too far; none among fewer than
    `least` values, where one cannot be told.
    """
    if len(values) < least:
        return {}
    many = len(values) >= MANY
    steps = esd_test(values, max(1, int(ODD_SHARE * len(values))) if many else 1, ODD_RISK[many])
    beyond = max((number for number, (_, off, limit) in enumerate(steps, start=1) if off > limit), default=0)
    return {place: (off, limit) for place, off, limit in steps[:beyond]}


def sample_deviation(values: Sequence[float]) -> float:
    """Standard deviation of a sample, n - 1 in the denominator."""
    return float(np.std(np.asarray(values, dtype=float), ddof=1))
