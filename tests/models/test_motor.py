"""Figures of a motor worked out from its thrust curve, against areas of triangles and rectangles."""

from __future__ import annotations

import pytest

from service.models.motor import AdjustableDelay, FixedDelays, Motor, listed
from tests.builders import small_day


def motor(**changes) -> Motor:
    return Motor.model_validate({**small_day()["motors"][0], **changes})


def test_impulse_is_the_area_under_the_curve():
    """A trapezoid, 10 N for 0.8 s between slopes of 0.1 s each: 0.5 + 8 + 0.5 = 9 N s."""
    found = motor(designation="C9", thrust_curve=[[0, 0], [0.1, 10], [0.9, 10], [1.0, 0]])
    assert found.impulse_ns == pytest.approx(9.0, rel=1e-12)
    assert found.letter == "C"
    assert found.peak_thrust_n == 10.0


def test_burn_time_runs_between_the_five_percent_points():
    """NFPA 1125, from memory: on slopes of 0.1 s the 5 % points lie 0.005 s inside the ends."""
    found = motor(designation="C9", thrust_curve=[[0, 0], [0.1, 10], [0.9, 10], [1.0, 0]])
    assert found.burn_time_s == pytest.approx(0.99, rel=1e-12)
    assert found.average_thrust_n == pytest.approx(9.0 / 0.99, rel=1e-12)


def test_an_impulse_on_the_bound_belongs_to_the_lower_class():
    """Exactly 10 N s is a C (5 to 10 N s inclusive), as NFPA 1125 is quoted."""
    assert motor(designation="C10", thrust_curve=[[0, 0], [0.1, 10], [1.0, 10], [1.1, 0]], propellant_mass_kg=0.012)


def test_delays_drilled_from_the_longest():
    delays = AdjustableDelay(kind="adjustable", longest_s=14.0, shortest_s=5.0, step_s=2.0)
    assert delays.offered_s() == (6.0, 8.0, 10.0, 12.0, 14.0)
    tenths = AdjustableDelay(kind="adjustable", longest_s=0.3, shortest_s=0.0, step_s=0.1)
    assert tenths.offered_s() == (0.0, 0.1, 0.2, 0.3)


def test_delays_in_words():
    assert listed(FixedDelays(kind="fixed", seconds=(3, 5, 7)).offered_s()) == "3, 5 or 7 s"
    assert listed((6.0,)) == "6 s"
    assert listed(tuple(float(s) for s in range(4, 15))) == "4 to 14 s in steps of 1 s"


@pytest.mark.parametrize(("effect", "sparking"), [(None, False), ("white smoke", False), ("Sparks", True)])
def test_sparks_are_read_from_the_effect(effect, sparking):
    assert motor(effect=effect).sparking is sparking
