"""Bias, spread and drag factor of one rocket and of all together; offsets of the landing points."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from service.models.learning import Between, Factor, LandingLearning, RocketLearning, Scatter
from service.planning.learning import wording
from service.planning.learning.compare import LEAST_FLIGHTS, Seen
from service.planning.learning.drag import factor_bounds, group_means, log_ratio
from service.planning.learning.reflights import Reflights
from service.planning.learning.statistics import mean_bounds, sample_deviation

LEAST_ROCKETS = 3  # fewer say nothing about rockets that have not flown yet
PLACES = 3  # decimals of a factor that is put forward


def rocket_learning(flights: Reflights, seen: Sequence[Seen], rocket: str, scatter: Scatter | None) -> RocketLearning:
    """One rocket, each of its flights counting once."""
    own = [each for each in seen if each.rocket == rocket and each.counts]
    ratios = [log_ratio(flights, each.number, each.factor) for each in own]
    off = [_off_m(flights, each) for each in own]
    enough = len(own) >= LEAST_FLIGHTS
    factor = _factor(flights, [[each.number] for each in own], own[0].factor) if enough else None
    ratio = _between([*ratios], exponential=True)
    return RocketLearning(
        rocket=rocket,
        flights=len(own),
        ratio=ratio,
        difference_m=_between(off),
        scatter=scatter,
        factor=factor,
        words=wording.rocket_verdict(len(own), factor, LEAST_FLIGHTS),
    )


def overall_learning(
    flights: Reflights, seen: Sequence[Seen], scatter: Scatter | None, in_force: float
) -> RocketLearning:
    """All rockets, each counting once by its mean: flights of one rocket share what is wrong with it.

    `in_force` is the factor of rockets without a correction of their own; theirs is what the found one would replace.
    """
    groups: dict[str, list[Seen]] = {}
    for each in seen:
        if each.counts:
            groups.setdefault(each.rocket, []).append(each)
    count = sum(len(group) for group in groups.values())
    ratios = [float(np.mean([log_ratio(flights, e.number, e.factor) for e in group])) for group in groups.values()]
    off = [float(np.mean([_off_m(flights, e) for e in group])) for group in groups.values()]
    enough = len(groups) >= LEAST_ROCKETS and count >= LEAST_FLIGHTS
    numbers = [[each.number for each in group] for group in groups.values()]
    factor = _factor(flights, numbers, in_force) if enough else None
    ratio = _between(ratios, exponential=True)
    return RocketLearning(
        rocket=None,
        flights=count,
        ratio=ratio,
        difference_m=_between(off),
        scatter=scatter,
        factor=factor,
        words=wording.overall_verdict(len(groups), factor, enough, LEAST_ROCKETS),
    )


def landing_learning(seen: Sequence[Seen], along: Scatter | None, across: Scatter | None) -> LandingLearning:
    """Offsets of all rockets together: weather differs from flight to flight."""
    own = [each.offset_m for each in seen if each.landing_counts and each.offset_m is not None]
    both = [_between([offset[axis] for offset in own]) for axis in (0, 1)]
    return LandingLearning(
        flights=len(own),
        along_m=both[0],
        across_m=both[1],
        along=along,
        across=across,
        words=wording.landing_words(len(own), both[0], both[1]),
    )


def _off_m(flights: Reflights, each: Seen) -> float:
    return (flights.cases[each.number].flight.apogee_m or math.nan) - flights.apogee_m(each.number, each.factor)


def _between(values: Sequence[float], exponential: bool = False) -> Between | None:
    """Mean with its interval; the mean alone of a single value; None of none."""
    shown = math.exp if exponential else float
    if not values:
        return None
    mean = float(np.mean(values))
    if len(values) < 2:
        return Between(estimate=shown(mean))
    found = mean_bounds(mean, sample_deviation(values), len(values))
    return Between(estimate=shown(found.estimate), low=shown(found.low), high=shown(found.high))


def _factor(flights: Reflights, groups: list[list[int]], in_force: float) -> Factor | None:
    found = factor_bounds(flights, groups)
    if found is None:
        return None
    factor = round(found.estimate, PLACES)

    def mean_ratio(at: float) -> float:
        return math.exp(float(np.mean(group_means(flights, groups, at))))

    return Factor(
        factor=factor,
        low=found.low,
        high=found.high,
        flights=sum(len(group) for group in groups),
        in_force=in_force,
        ratio_before=mean_ratio(in_force),
        ratio_after=mean_ratio(factor),
    )
