"""Whether flights scatter as the dispersion predicts, and the spread with which they would."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from service.models.learning import Between, Scatter
from service.planning.error_sources import SOURCES
from service.planning.learning.compare import Seen
from service.planning.learning.drag import log_ratio
from service.planning.learning.reflights import Reflights
from service.planning.learning.statistics import chi_square_points, deviation_bounds

DEFAULTS = {source.name: source.default for source in SOURCES}
MOST = {source.name: source.most for source in SOURCES}
LEAST_FREEDOM = 9  # ten flights of one rocket: with fewer a spread is known to no better than a factor of two
TOLERANCE = 0.02  # of the scale that is sought


@dataclass(frozen=True)
class Axis:
    """One kind of scatter: of the apogee, or of the landing point along or across the wind.

    `sources` are scaled together to meet the measured scatter: those of which it tells most. `side` is 0 along and 1
    across the wind.
    """

    name: str
    sources: tuple[str, ...]
    side: int | None = None

    @property
    def by_rocket(self) -> bool:
        return self.side is None


APOGEE = Axis("apogee from flight to flight", ("impulse",))
ALONG = Axis("landing point along the wind", ("wind_speed_mps", "wind_speed_fraction"), 0)
ACROSS = Axis("landing point across the wind", ("wind_direction_deg",), 1)
AXES = (APOGEE, ALONG, ACROSS)


@dataclass(frozen=True)
class Sample:
    """Values that should scatter about a mean of their own group, each by its predicted spread."""

    numbers: tuple[int, ...]
    values: tuple[float, ...]
    groups: tuple[str, ...]
    factors: tuple[float, ...]

    @property
    def freedom(self) -> int:
        return len(self.values) - len(set(self.groups))


def sample_of(
    flights: Reflights, seen: Sequence[Seen], axis: Axis, spreads: Mapping[str, float], with_odd: bool = False
) -> Sample:
    """The values of one kind of scatter among the flights that count; the odd ones out among them if asked.

    A flight whose own spread cannot be predicted is left out: there is nothing to hold its scatter against.
    """
    if axis.side is None:
        own = [each for each in seen if each.counts or (with_odd and each.odd)]
        own = [each for each in own if _predicted(flights, each.number, each.factor, axis, spreads)]
        values = [log_ratio(flights, each.number, each.factor) for each in own]
    else:
        own = [each for each in seen if each.landing_counts or (with_odd and each.landing_odd)]
        own = [each for each in own if _predicted(flights, each.number, each.factor, axis, spreads)]
        values = [each.offset_m[axis.side] for each in own if each.offset_m is not None]
    return Sample(
        tuple(each.number for each in own), tuple(values),
        tuple(each.rocket if axis.by_rocket else "all" for each in own), tuple(each.factor for each in own),
    )  # fmt: skip


def chi_square(flights: Reflights, sample: Sample, axis: Axis, spreads: Mapping[str, float]) -> tuple[float, float]:
    """Sum of squares about the groups' means in units of the predictions, and the predictions' root mean square."""
    sigmas = []
    for number, factor in zip(sample.numbers, sample.factors, strict=True):
        sigmas.append(_predicted(flights, number, factor, axis, spreads) or math.nan)
    sigma, value, group = np.array(sigmas), np.array(sample.values), np.array(sample.groups)
    total = 0.0
    for name in dict.fromkeys(sample.groups):
        mine = group == name
        weight = 1.0 / sigma[mine] ** 2
        mean = float(np.sum(weight * value[mine]) / np.sum(weight))
        total += float(np.sum(weight * (value[mine] - mean) ** 2))
    return total, float(np.sqrt(np.mean(sigma**2)))


def _predicted(
    flights: Reflights, number: int, factor: float, axis: Axis, spreads: Mapping[str, float]
) -> float | None:
    if axis.side is None:
        return flights.apogee_spread(number, factor, spreads)
    both = flights.landing_spread_m(number, factor, spreads)
    return both[axis.side] if both else None


def scatter_of(flights: Reflights, sample: Sample, axis: Axis, spreads: Mapping[str, float]) -> Scatter | None:
    """Measured scatter beside the predicted; None with too few flights for any."""
    if sample.freedom < 2:
        return None
    found, predicted = chi_square(flights, sample, axis, spreads)
    if not math.isfinite(found):
        return None
    return judged(found, sample.freedom, predicted)


def judged(chi_square: float, freedom: int, predicted: float) -> Scatter:
    """A sum of squares in units of the predictions, as a scatter beside the predicted.

    The scatter is the predicted one times what chi-square says it is off by, so that every flight is weighed alike in
    both: the interval then holds the prediction if, and only if, chi-square lies where chance leaves it.

    >>> found = judged(40.0, 10, 150.0)
    >>> round(found.measured.estimate), found.differs, round(found.measured.low) > 150
    (300, True, True)
    """
    measured = deviation_bounds(predicted * math.sqrt(chi_square / freedom), freedom)
    low, high = chi_square_points(freedom)
    return Scatter(
        measured=Between(estimate=measured.estimate, low=measured.low, high=measured.high), predicted=predicted,
        chi_square=chi_square, freedom=freedom, by_chance_low=low, by_chance_high=high,
        differs=not low <= chi_square <= high,
    )  # fmt: skip


def better_spreads(
    flights: Reflights, seen: Sequence[Seen], axis: Axis, spreads: Mapping[str, float]
) -> tuple[Scatter, dict[str, float], int] | None:
    """The scatter that speaks for other spreads, those spreads, and the flights it is of; None where none does.

    Wider ones are put forward where flights without the odd ones out scatter more than chance allows: those that
    meet the scatter. Narrower ones only where all flights, the odd ones among them, scatter less; and then no
    narrower than the top of the interval.
    """
    for with_odd in (False, True):
        sample = sample_of(flights, seen, axis, spreads, with_odd)
        scatter = scatter_of(flights, sample, axis, spreads)
        if scatter is None or sample.freedom < LEAST_FREEDOM or not scatter.differs:
            continue
        wider = scatter.chi_square > scatter.by_chance_high
        if wider == with_odd:
            continue
        target = float(sample.freedom) if wider else scatter.by_chance_low
        found = matching_spreads(flights, sample, axis, spreads, target)
        if found is not None:
            return scatter, found, len(sample.numbers)
    return None


def matching_spreads(
    flights: Reflights, sample: Sample, axis: Axis, spreads: Mapping[str, float], target: float
) -> dict[str, float] | None:
    """Spreads of the axis' sources, scaled together, with which chi-square comes to a target.

    None where no scale does: the other sources alone predict more, or even the largest that is allowed less.
    """
    from scipy.optimize import brentq

    start = {name: spreads.get(name, DEFAULTS[name]) for name in axis.sources}
    if not all(start.values()):
        return None
    most = min(MOST[name] / value for name, value in start.items())

    def scaled(scale: float) -> dict[str, float]:
        return {name: float(f"{scale * value:.2g}") for name, value in start.items()}

    def off(scale: float) -> float:
        exact = {name: scale * value for name, value in start.items()}
        return chi_square(flights, sample, axis, {**spreads, **exact})[0] / target - 1.0

    low, high = 0.0, 1.0
    if off(1.0) > 0.0:  # more is wanted: double the spread until it is enough
        low, high = 1.0, min(2.0, most)
        while off(high) > 0.0:
            if high >= most:
                return None
            low, high = high, min(2.0 * high, most)
    elif off(0.0) < 0.0:
        return None
    return scaled(float(brentq(off, low, high, xtol=TOLERANCE)))
