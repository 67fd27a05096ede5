"""Thrust curves: read, refused, scaled."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.flight import thrust
from service.flight.errors import OutsideModel

GOOD = "time_s,thrust_n\n0.0,0.0\n0.3,24.0\n0.6,8.0\n1.9,7.5\n2.0,0.0\n"


def test_a_curve_is_read():
    curve = thrust.read_thrust_csv("\ufeff# a note\n" + GOOD.replace("\n", "\r\n"))
    assert curve.time_s.tolist() == [0.0, 0.3, 0.6, 1.9, 2.0]
    assert thrust.total_impulse_ns(curve) == pytest.approx(3.6 + 4.8 + 10.075 + 0.375)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "the file is empty"),
        ("# only a note\n", "the file is empty"),
        ("time,thrust\n0,0\n", "line 1: the header is 'time,thrust'; 'time_s,thrust_n' is wanted"),
        ("time_s,thrust_n\n", "0 points; a thrust curve needs at least two"),
        ("time_s,thrust_n\n0,0\n0.1,fast\n", "line 3: thrust_n is 'fast'; a finite number is wanted"),
        ("time_s,thrust_n\n0,0\n0.1,nan\n", "line 3: thrust_n is 'nan'"),
        ("time_s,thrust_n\n0,0\n0.1,inf\n", "line 3: thrust_n is 'inf'"),
        ("time_s,thrust_n\n0,0\n0.1\n", "line 3: 1 values; a time and a thrust are wanted"),
        ("time_s,thrust_n\n0,0\n0.1,5,6\n", "line 3: 3 values"),
        ("time_s,thrust_n\n0,0\n0.2,5\n0.2,6\n", "line 4: time 0.2 s after 0.2 s; times need to increase"),
        ("time_s,thrust_n\n0,0\n0.2,-5\n", "line 3: 0.2 s, -5 N; neither may be below zero"),
        ("time_s,thrust_n\n0,0\n0.2,0\n", "the thrust curve delivers no impulse"),
    ],
)
def test_a_bad_file_is_refused_with_its_line(text, message):
    with pytest.raises(OutsideModel) as refusal:
        thrust.read_thrust_csv(text)
    assert message in str(refusal.value)


def test_a_huge_file_is_refused():
    rows = "\n".join(f"{i / 1000},1" for i in range(25_000))
    with pytest.raises(OutsideModel, match="more than 20000 points"):
        thrust.read_thrust_csv("time_s,thrust_n\n" + rows)


def test_a_curve_that_starts_late_starts_from_nothing():
    curve = thrust.thrust_curve([0.1, 0.5], [10.0, 10.0])
    assert curve.time_s.tolist() == [0.0, 0.1, 0.5]
    assert thrust.total_impulse_ns(curve) == pytest.approx(0.5 + 4.0)


@pytest.mark.parametrize(
    ("times", "thrusts", "text"),
    [
        ([0.0, 1.0], [1.0], "2 times and 1 thrusts"),
        ([-1.0, 1.0], [1.0, 1.0], r"time_s\[0\] is -1 s"),
        ([0.0, 1.0], [1.0, -1.0], r"thrust_n\[1\] is -1 N"),
        ([0.0, math.nan], [1.0, 1.0], r"time_s\[1\] is nan"),
        ([0.0, 0.0], [1.0, 1.0], "values need to increase"),
    ],
)
def test_curves_that_cannot_be_are_refused(times, thrusts, text):
    with pytest.raises(OutsideModel, match=text):
        thrust.thrust_curve(times, thrusts)


@given(st.floats(0.5, 1.5), st.floats(0.5, 2.0))
def test_scaling_scales_impulse_and_stretching_keeps_it(scale, stretch):
    curve = thrust.read_thrust_csv(GOOD)
    other = thrust.scaled(curve, scale, stretch)
    assert thrust.total_impulse_ns(other) == pytest.approx(scale * thrust.total_impulse_ns(curve))
    assert thrust.burn_time_s(other) == pytest.approx(stretch * thrust.burn_time_s(curve))


def test_the_share_delivered_runs_from_none_to_all():
    curve = thrust.read_thrust_csv(GOOD)
    times = np.linspace(-0.5, 3.0, 701)
    share = thrust.impulse_fraction(curve, times)
    assert share[0] == 0.0 and share[-1] == 1.0 and (np.diff(share) >= 0.0).all()
    # the derivative of the share is the thrust over the impulse
    inside = (times > 0.01) & (times < 1.99)
    slope = np.gradient(share, times) * thrust.total_impulse_ns(curve)
    assert slope[inside] == pytest.approx(np.interp(times, curve.time_s, curve.thrust_n)[inside], abs=0.3)


def test_a_curve_that_starts_and_ends_high_burns_from_end_to_end():
    curve = thrust.thrust_curve([0.0, 1.0, 2.0], [10.0, 12.0, 10.0])
    assert thrust.burn_span_s(curve) == (0.0, 2.0)
    assert thrust.average_thrust_n(curve) == pytest.approx(11.0)
