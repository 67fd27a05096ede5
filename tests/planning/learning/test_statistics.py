"""Intervals and odd ones out against scipy.stats, and what they promise against drawn samples."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from service.planning.learning.statistics import (
    chi_square_points,
    deviation_bounds,
    esd_test,
    mean_bounds,
    odd_ones,
    sample_deviation,
)


@pytest.mark.parametrize("count", [2, 5, 9, 40])
def test_mean_and_deviation_as_scipy(count):
    values = np.random.default_rng(count).normal(3.0, 2.0, count)
    mean, deviation = float(values.mean()), sample_deviation(values)
    low, high = stats.t.interval(0.95, count - 1, loc=mean, scale=stats.sem(values))
    found = mean_bounds(mean, deviation, count)
    assert (found.low, found.high) == (pytest.approx(low), pytest.approx(high))
    points = stats.chi2.ppf([0.025, 0.975], count - 1)
    assert chi_square_points(count - 1) == pytest.approx(tuple(points))
    spread = deviation_bounds(deviation, count - 1)
    assert (spread.low, spread.high) == pytest.approx(tuple(np.sqrt((count - 1) * deviation**2 / points[::-1])))


def test_one_value_has_no_interval():
    with pytest.raises(ValueError, match="two values or more, found 1"):
        mean_bounds(1.0, 0.0, 1)
    with pytest.raises(ValueError, match="found 0"):
        deviation_bounds(1.0, 0)


@pytest.mark.parametrize(("count", "risk"), [(8, 0.05), (30, 0.01)])
def test_seldom_is_a_good_value_called_odd(count, risk):
    """Two-sided Grubbs' test at its own risk, over 2,000 normal samples: the share called odd, to four sigma."""
    rng = np.random.default_rng(7)
    called = sum(esd_test(rng.normal(size=count), 1, risk)[0][1] > esd_test_limit(count, risk) for _ in range(2000))
    assert abs(called / 2000 - risk) < 4.0 * np.sqrt(risk * (1.0 - risk) / 2000)


def esd_test_limit(count: int, risk: float) -> float:
    """Critical value by scipy's own t: (n-1)/sqrt(n) sqrt(t²/(n-2+t²)), t at risk/(2n) with n-2 degrees of freedom."""
    t = stats.t.ppf(1.0 - risk / (2.0 * count), count - 2)
    return (count - 1) / np.sqrt(count) * np.sqrt(t**2 / (count - 2 + t**2))


def test_a_slip_is_found_and_only_it():
    values = [0.01, -0.02, 0.0, 0.03, -0.01, 0.02, 0.27]
    assert list(odd_ones(values, 5)) == [6]
    assert odd_ones(values[3:], 5) == {}  # among four it cannot be told
    assert odd_ones([1.0] * 8, 5) == {}  # no spread at all


def test_two_slips_among_many_are_found():
    values = [*np.random.default_rng(3).normal(0.0, 1.0, 28), 7.0, 7.5]
    assert sorted(odd_ones(values, 5)) == [28, 29]
