"""The spread of the drag from rocket to rocket, on factors made by hand.

Expected spreads come from the textbook identity that with equal errors e the sum of squares over (s² + e²) equals
chi-square, so that s = sqrt(SS / chi-square - e²).
"""

from __future__ import annotations

import math

import pytest
from scipy import stats

from service.models.learning import Factor, RocketLearning
from service.planning.learning.drag_spread import DRAG, better_drag_spread
from service.planning.learning.proposals import spread_proposal

ERROR = 0.03
FLIGHTS = 9


def rocket(name: str, log_factor: float) -> RocketLearning:
    """A rocket whose factor has a standard error of 3 % by its nine flights."""
    half = ERROR * stats.t.ppf(0.975, FLIGHTS - 1)
    factor = Factor(
        factor=math.exp(log_factor), low=math.exp(log_factor - half), high=math.exp(log_factor + half),
        flights=FLIGHTS, in_force=1.0, ratio_before=1.0, ratio_after=1.0,
    )  # fmt: skip
    return RocketLearning(
        rocket=name, flights=FLIGHTS, ratio=None, difference_m=None, scatter=None, factor=factor, words=""
    )


def rockets(*logs: float) -> list[RocketLearning]:
    return [rocket(str(number), each) for number, each in enumerate(logs)]


WIDE = (-0.4, -0.2, 0.0, 0.2, 0.4)  # sum of squares 0.4 about a mean of 0
NARROW = (-0.02, -0.01, 0.0, 0.01, 0.02, 0.0)  # sum of squares 0.001


def test_factors_far_apart_widen_it():
    scatter, values, flights = better_drag_spread(rockets(*WIDE), {})
    assert values["drag"] == pytest.approx(math.sqrt(0.4 / 4 - ERROR**2), rel=0.02) and flights == 45
    assert scatter.chi_square == pytest.approx(0.4 / (0.1**2 + ERROR**2))
    assert scatter.measured.estimate == pytest.approx(math.sqrt(0.4 / 4))
    proposal = spread_proposal(DRAG, scatter, values, flights, {})
    assert proposal.id == "spread-drag" and proposal.before == {"drag": 0.1} and proposal.flights == 45


def test_factors_close_together_narrow_it_no_further_than_the_interval():
    """With six rockets 0.001 / chi-square's 2.5 % point (0.831) is 0.0012; less the errors' 0.0009 leaves 0.0174²."""
    _, values, _ = better_drag_spread(rockets(*NARROW), {})
    low = stats.chi2.ppf(0.025, 5)
    assert values["drag"] == pytest.approx(math.sqrt(0.001 / low - ERROR**2), rel=0.03)


def test_what_fits_or_is_too_few_is_left_alone():
    assert better_drag_spread(rockets(-0.15, -0.05, 0.0, 0.05, 0.15), {}) is None
    assert better_drag_spread(rockets(*WIDE[:4]), {}) is None
    assert better_drag_spread(rockets(*WIDE), {"drag": 0.3}) is None
