"""The statistics of the flight log against worked examples that are printed elsewhere.

All figures: NIST/SEMATECH, e-Handbook of Statistical Methods, the section named beside each; recalled, not re-read.
Data sets are those of the examples: Tietjen and Moore (1972), Rosner (1983).
"""

from __future__ import annotations

import math

import pytest

from geo.containment import clopper_pearson
from service.planning.learning.statistics import (
    chi_square_points,
    deviation_bounds,
    esd_test,
    mean_bounds,
    odd_ones,
    student,
)

# uranium, by mass spectrometer; 1.3.5.17.1
MASS_SPECTROMETER = (199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57)
# 1.3.5.17.3
ROSNER = (
    -0.25, 0.68, 0.94, 1.15, 1.20, 1.26, 1.26, 1.34, 1.38, 1.43, 1.49, 1.49, 1.55, 1.56, 1.58, 1.65, 1.69, 1.70, 1.76,
    1.77, 1.81, 1.91, 1.94, 1.96, 1.99, 2.06, 2.09, 2.10, 2.14, 2.15, 2.23, 2.24, 2.26, 2.35, 2.37, 2.40, 2.47, 2.54,
    2.62, 2.64, 2.90, 2.92, 2.92, 2.93, 3.21, 3.26, 3.30, 3.59, 3.68, 4.30, 4.64, 5.34, 5.42, 6.01,
)  # fmt: skip
ROSNER_STEPS = (
    (3.118, 3.158), (2.942, 3.151), (3.179, 3.143), (2.810, 3.136), (2.815, 3.128), (2.848, 3.120), (2.279, 3.111),
    (2.310, 3.103), (2.101, 3.094), (2.067, 3.085),
)  # fmt: skip
ONE_OFF = 1.01e-3  # the last printed digit, which the handbook cuts off in some places and rounds in others


def test_confidence_limits_of_a_mean():
    """1.3.5.2, heat flow meter: 195 values, mean 9.261460, standard deviation 0.2278881E-01; 95 % limits printed."""
    found = mean_bounds(9.261460, 0.2278881e-01, 195)
    assert (found.low, found.high) == (pytest.approx(9.258242, abs=1e-6), pytest.approx(9.264679, abs=1e-6))
    assert student(194) == pytest.approx(1.9723, abs=5e-5)


def test_chi_square_of_a_standard_deviation():
    """1.3.5.8, gear diameters: 100 values, standard deviation 0.6278908E-02 held against 0.1."""
    statistic = 99 * (0.6278908e-02 / 0.1) ** 2
    assert statistic == pytest.approx(0.3903044, abs=5e-7)
    low, high = chi_square_points(99)
    assert (low, high) == (pytest.approx(73.361, abs=5e-4), pytest.approx(128.422, abs=5e-4))
    bounds = deviation_bounds(0.6278908e-02, 99)
    assert not bounds.holds(0.1) and bounds.low == pytest.approx(0.6278908e-02 * math.sqrt(99 / high))


def test_grubbs_test_of_one_outlier():
    """1.3.5.17.1: G = 2.469 for 245.57; the upper one-tailed critical value at 5 % is 2.032 (ours at 10 %, two)."""
    ((place, off, limit),) = esd_test(MASS_SPECTROMETER, 1, 0.10)
    assert MASS_SPECTROMETER[place] == 245.57
    assert off == pytest.approx(2.469, abs=5e-4) and limit == pytest.approx(2.032, abs=5e-4)
    assert list(odd_ones(MASS_SPECTROMETER, 5)) == [7]


def test_generalized_esd_of_many():
    """1.3.5.17.3: ten steps; the third is the last beyond its critical value, so there are three outliers."""
    steps = esd_test(ROSNER, 10, 0.05)
    for (_, off, limit), (printed_off, printed_limit) in zip(steps, ROSNER_STEPS, strict=True):
        assert off == pytest.approx(printed_off, abs=ONE_OFF) and limit == pytest.approx(printed_limit, abs=ONE_OFF)
    beyond = [number for number, (_, off, limit) in enumerate(steps, start=1) if off > limit]
    assert beyond == [3] and {ROSNER[place] for place, *_ in steps[:3]} == {6.01, 5.42, 5.34}


def test_interval_of_a_proportion():
    """7.2.4.1: 4 defects among 20; the exact 90 % interval is 0.071354 to 0.401029."""
    low, high = clopper_pearson(4, 20, 0.90)
    assert (low, high) == (pytest.approx(0.071354, abs=1e-6), pytest.approx(0.401029, abs=1e-6))
