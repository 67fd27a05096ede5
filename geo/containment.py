"""The chance of landing inside a shape, with an interval that suits how the samples were drawn.

The interval covers sampling error only. That the flight model errs too has to be said beside it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike
from scipy.special import bdtr, betaincinv, stdtrit

from geo.errors import BadChance, BadGeometry, BadSamples
from geo.inside import lie_inside

CONFIDENCE = 0.95
FEW_EVENTS = 10  # engineering choice: with fewer landings on one side the t-interval is skewed and too short


@dataclass(frozen=True)
class Interval:
    """An estimated chance and its two-sided interval.

    `method` says how: "replicates" (Student's t over independent scrambles), "replicates, widened" (few
    events; see `replicate_interval`) or "independent" (Clopper-Pearson).
    """

    estimate: float
    low: float
    high: float
    standard_error: float
    confidence: float
    inside: int
    samples: int
    replicates: int
    method: str

    def complement(self) -> Interval:
        """The same for the chance of landing outside."""
        return Interval(
            1.0 - self.estimate, 1.0 - self.high, 1.0 - self.low, self.standard_error, self.confidence,
            self.samples - self.inside, self.samples, self.replicates, self.method,
        )  # fmt: skip


def _check_confidence(confidence: float) -> None:
    if not 0.0 < confidence < 1.0:
        raise BadChance(f"a confidence of {confidence} is none; give a number between 0 and 1, such as 0.95")


def _check_count(inside: int, samples: int) -> None:
    if not (samples >= 1 and 0 <= inside <= samples):
        raise BadChance(f"{inside} of {samples} samples is no share; the count needs to be within 0 to {samples}")


def clopper_pearson(inside: int, samples: int, confidence: float = CONFIDENCE) -> tuple[float, float]:
    """Two-sided interval for a share counted among independent samples.

    Parameters
    ----------
    inside, samples : int
        How many of how many.
    confidence : float
        Least chance that the interval holds the true share. [-]

    Returns
    -------
    tuple of float
        Low and high end. [-]

    References
    ----------
    .. [1] Clopper and Pearson (1934), Biometrika 26, 404-413, doi:10.1093/biomet/26.4.404.

    Examples
    --------
    >>> low, high = clopper_pearson(980, 1000)
    >>> round(low, 6), round(high, 6)
    (0.96928, 0.987742)
    """
    _check_confidence(confidence)
    alpha = 1.0 - confidence
    return lower_bound(inside, samples, 1.0 - alpha / 2.0), upper_bound(inside, samples, 1.0 - alpha / 2.0)


def lower_bound(inside: int, samples: int, confidence: float = CONFIDENCE) -> float:
    """One-sided lower bound of a share counted among independent samples. [-]

    Examples
    --------
    >>> round(lower_bound(59, 59), 6)
    0.950492
    """
    _check_confidence(confidence)
    _check_count(inside, samples)
    return 0.0 if inside == 0 else float(betaincinv(inside, samples - inside + 1, 1.0 - confidence))


def upper_bound(inside: int, samples: int, confidence: float = CONFIDENCE) -> float:
    """One-sided upper bound of a share counted among independent samples. [-]"""
    _check_confidence(confidence)
    _check_count(inside, samples)
    return 1.0 if inside == samples else float(betaincinv(inside + 1, samples - inside, confidence))


def samples_needed(share: float, outside: int = 0, confidence: float = CONFIDENCE) -> int:
    """Fewest independent samples that show at least `share` inside although `outside` of them fell outside.

    Examples
    --------
    >>> samples_needed(0.95), samples_needed(0.95, outside=3), samples_needed(0.99)
    (59, 153, 299)
    """
    _check_confidence(confidence)
    if not (0.0 < share < 1.0 and outside >= 0):
        raise BadChance(f"a share of {share} with {outside} outside cannot be asked for; give a share between 0 and 1")
    low, high = outside, outside + 1
    while bdtr(outside, high, 1.0 - share) > 1.0 - confidence:
        low, high = high, 2 * high
    while high - low > 1:
        middle = (low + high) // 2
        if bdtr(outside, middle, 1.0 - share) > 1.0 - confidence:
            low = middle
        else:
            high = middle
    return high


def per_look_confidence(confidence: float, looks: int) -> float:
    """Confidence for each of several looks at a growing sample, so that all of them together keep their word.

    Whoever draws more samples until a verdict falls has that many chances to be wrong; each look then gets an
    equal part of the error (Bonferroni). [-]
    """
    _check_confidence(confidence)
    if looks < 1:
        raise BadChance(f"{looks} looks are none; give 1 or more")
    return 1.0 - (1.0 - confidence) / looks


def replicate_interval(shares: ArrayLike, samples_each: int, confidence: float = CONFIDENCE) -> Interval:
    """Interval for a chance from independently scrambled quasi-random replicates of equal size.

    Points of one scramble are not independent of each other, so their count is not binomial; the means of
    the scrambles are independent, so Student's t over them holds. Where fewer than `FEW_EVENTS` samples fell
    on one side, or all scrambles agree exactly, the spread over scrambles says too little (none outside in any
    gives a width of zero). The interval is then widened to cover that of Clopper and Pearson on all samples
    as well. For no event at all that is conservative for stratified points: if sample i falls outside with
    chance p_i, the chance of seeing none is the product of (1 - p_i), which is at most (1 - mean p)^n.

    Parameters
    ----------
    shares : array_like, shape (R,)
        Share inside, of each scramble. R at least 2. [-]
    samples_each : int
        Points in each scramble.
    confidence : float
        [-]

    References
    ----------
    .. [1] L'Ecuyer, Nakayama, Owen, Tuffin (2023), Confidence intervals for randomized quasi-Monte Carlo
       estimators, Winter Simulation Conference: the t-interval over replicates is the one to rely on
       (from memory, not re-read).
    """
    _check_confidence(confidence)
    shares = np.asarray(shares, dtype=float)
    if shares.ndim != 1 or shares.size < 2:
        raise BadSamples(
            f"{shares.size} scramble(s) cannot show their own error; give at least 2 independent ones, better 16"
        )
    if not ((shares >= 0.0) & (shares <= 1.0)).all():
        raise BadChance("every share needs to be within 0 to 1")
    replicates, samples = shares.size, shares.size * samples_each
    inside = round(float(shares.sum()) * samples_each)
    estimate = inside / samples
    standard_error = float(shares.std(ddof=1)) / math.sqrt(replicates)
    reach = float(stdtrit(replicates - 1, 0.5 + confidence / 2.0)) * standard_error
    low, high, method = estimate - reach, estimate + reach, "replicates"
    if min(inside, samples - inside) < FEW_EVENTS or np.ptp(shares) == 0.0:
        exact_low, exact_high = clopper_pearson(inside, samples, confidence)
        low, high, method = min(low, exact_low), max(high, exact_high), "replicates, widened"
    return Interval(
        estimate, max(low, 0.0), min(high, 1.0), standard_error, confidence, inside, samples, replicates, method
    )


def independent_interval(inside: int, samples: int, confidence: float = CONFIDENCE) -> Interval:
    """Clopper-Pearson interval, for plain Monte Carlo samples only."""
    low, high = clopper_pearson(inside, samples, confidence)
    estimate = inside / samples
    error = math.sqrt(estimate * (1.0 - estimate) / samples)
    return Interval(estimate, low, high, error, confidence, inside, samples, 1, "independent")


def _grouped(east_m: ArrayLike, north_m: ArrayLike, replicate_ids: ArrayLike | None) -> tuple[np.ndarray, np.ndarray]:
    east, north = np.asarray(east_m, dtype=float), np.asarray(north_m, dtype=float)
    if east.shape != north.shape or east.ndim not in (1, 2) or east.size == 0:
        raise BadSamples(f"east {east.shape} and north {north.shape} need one shape, (n,) or (scrambles, n), not empty")
    lost = int(np.count_nonzero(~(np.isfinite(east) & np.isfinite(north))))
    if lost:
        raise BadSamples(
            f"{lost} of {east.size} landing points are not finite; a flight that did not land is no landing"
        )
    if replicate_ids is None:
        return east, north
    ids = np.asarray(replicate_ids)
    if east.ndim != 1 or ids.shape != east.shape:
        raise BadSamples(f"replicate numbers {ids.shape} need the shape of the landing points {east.shape}, one axis")
    _, counts = np.unique(ids, return_counts=True)
    if np.ptp(counts) != 0:
        raise BadSamples(f"scrambles of {counts.min()} to {counts.max()} points; all need the same number")
    order = np.argsort(ids, kind="stable")
    return east[order].reshape(len(counts), -1), north[order].reshape(len(counts), -1)


def chance_inside(
    east_m: ArrayLike,
    north_m: ArrayLike,
    polygon: shapely.Geometry,
    *,
    replicate_ids: ArrayLike | None = None,
    confidence: float = CONFIDENCE,
) -> Interval:
    """Chance of landing inside a shape given in the same local metres.

    Parameters
    ----------
    east_m, north_m : array_like, shape (R, n) or (n,)
        Landing points. With two axes, or with `replicate_ids`, each of the R groups is an independent scramble
        of a quasi-random sequence; with one axis and no ids the points are plain Monte Carlo. [m]
    polygon : shapely geometry
        A point on its edge counts as outside. [m]
    replicate_ids : array_like, shape (n,), optional
        To which scramble each point belongs.

    Raises
    ------
    BadSamples
        If a point is not finite, the shapes differ, or there is only one scramble.
    BadGeometry
        If the polygon is empty or crosses itself.

    Examples
    --------
    >>> field = shapely.box(-100.0, -100.0, 100.0, 100.0)
    >>> found = chance_inside([[0.0, 10.0], [20.0, 130.0]], [[0.0, 0.0], [0.0, 0.0]], field)
    >>> found.estimate, found.inside, found.replicates
    (0.75, 3, 2)
    """
    east, north = _grouped(east_m, north_m, replicate_ids)
    if polygon.is_empty or not polygon.is_valid:
        raise BadGeometry(f"nothing can be inside this shape: {shapely.is_valid_reason(polygon)}; it needs an area")
    inside = lie_inside(polygon, east, north)
    if east.ndim == 1:
        return independent_interval(int(inside.sum()), inside.size, confidence)
    return replicate_interval(inside.mean(axis=1), inside.shape[1], confidence)


def chance_per_zone(
    east_m: ArrayLike,
    north_m: ArrayLike,
    zones: Mapping[str, shapely.Geometry],
    *,
    replicate_ids: ArrayLike | None = None,
    confidence: float = CONFIDENCE,
) -> dict[str, Interval]:
    """Chance of landing in each zone, by name. Lines and points need a width first: `measures.as_area`."""
    for name, zone in zones.items():
        if not zone.area > 0.0:
            raise BadSamples(f"zone {name!r} has no area, so nothing ever lands in it; widen it first")
    return {
        name: chance_inside(east_m, north_m, zone, replicate_ids=replicate_ids, confidence=confidence)
        for name, zone in zones.items()
    }


def call_threshold(interval: Interval, caution: float, stop: float) -> str:
    """Where a chance of something unwanted lies, judged by its whole interval.

    Returns
    -------
    str
        "below" both limits, "between" them, "above" both, or "undecided" where the interval straddles a limit
        or is not finite: then draw more samples, or say that it is not known. A chance equal to a limit has
        not passed it.

    Examples
    --------
    >>> call_threshold(independent_interval(0, 1024), caution=0.01, stop=0.05)
    'below'
    >>> call_threshold(independent_interval(11, 1024), caution=0.01, stop=0.05)
    'undecided'
    """
    if not 0.0 <= caution <= stop <= 1.0:
        raise BadChance(f"limits {caution} and {stop} need 0 <= caution <= stop <= 1")
    if interval.high <= caution:
        return "below"
    if interval.low > stop:
        return "above"
    if interval.low > caution and interval.high <= stop:
        return "between"
    return "undecided"
