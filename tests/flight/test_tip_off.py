"""A rocket on its aft guide alone, against the compound pendulum.

theta'' = g sin(lean) l / (k² + l²), l from the centre of mass to the pivot, k the radius of gyration: the equation of
a physical pendulum, as any textbook of mechanics has it.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from service.flight import simulate
from service.flight.errors import OutsideModel
from service.flight.plain import fly_plain
from service.flight.setup import Guide, pack
from service.flight.wind import constant_wind
from tests.flight.vehicles import VACUUM, bare_setup, club_rocket, even_mass, plain_body, steady_thrust

LEAN, BEHIND_M, APART_M, GYRATION2_M2 = math.radians(5.0), 0.4, 0.5, 0.04
STILL = constant_wind(0.0, 0.0)


def tipped(azimuth_rad: float = 0.0, apart_m: float = APART_M, behind_m: float = BEHIND_M, lean: float = LEAN):
    """Flown in a vacuum from a 2 m guide; plain bodies have their centre of gravity at 0.5 m."""
    guide = Guide(2.0, lean, azimuth_rad, pivot_from_nose_m=0.5 + behind_m, pivot_travel_m=apart_m)
    return bare_setup(
        plain_body(0.0), even_mass(1.0, 1.0, GYRATION2_M2, 0.001), steady_thrust(60.0, 1.0), air=VACUUM, guide=guide
    )


def lean_later(setup, seconds: float) -> float:
    """The lean of the axis towards the guide's azimuth, some time after the guide's end. [rad]"""
    flight = simulate(setup)
    rows = flight.history
    time_s = rows[:, 0]
    row = rows[int(np.argmin(abs(time_s - flight.figures["guide_end_s"] - seconds)))]
    turned = math.atan2(math.hypot(row[7], row[8]), row[9])
    return turned, row[0] - flight.figures["guide_end_s"]


@pytest.mark.parametrize("azimuth_rad", [0.0, 1.1, math.pi, 5.0])
def test_the_nose_drops_at_the_rate_of_a_compound_pendulum(azimuth_rad):
    setup = tipped(azimuth_rad)
    speed = simulate(setup).figures["exit_speed_mps"]
    rate = 9.80665 * math.sin(LEAN) * BEHIND_M / (GYRATION2_M2 + BEHIND_M**2) * APART_M / speed
    lean, since_s = lean_later(setup, 0.3)
    assert since_s > 0.2
    assert lean - LEAN == pytest.approx(rate * since_s, rel=2e-3)


@pytest.mark.parametrize("changes", [dict(apart_m=0.0), dict(lean=0.0), dict(behind_m=0.0)])
def test_one_guide_an_upright_one_or_one_at_the_centre_of_gravity_tips_nothing(changes):
    lean, _since = lean_later(tipped(**changes), 0.3)
    assert lean == pytest.approx(changes.get("lean", LEAN), abs=1e-9)


def test_tipping_takes_the_landing_further_down_the_lean():
    guide = replace(club_rocket().guide, friction=0.0)
    held = club_rocket(wind=STILL, guide=guide)
    loose = club_rocket(wind=STILL, guide=replace(guide, pivot_from_nose_m=0.85, pivot_travel_m=0.3))

    def along(setup) -> float:
        landing = simulate(setup).landings["no_deployment"]
        return landing.east_m * math.sin(guide.azimuth_rad) + landing.north_m * math.cos(guide.azimuth_rad)

    assert along(loose) > along(held) + 1.0


def test_the_plain_equations_tip_alike():
    guide = Guide(1.2, 0.1, 2.0, 0.05, pivot_from_nose_m=0.85, pivot_travel_m=0.35)
    setup = club_rocket(guide=guide)
    compiled = simulate(setup).landings["no_deployment"]
    plain = fly_plain(setup, "DOP853", 1e-9, 1e-9).landings["no_deployment"]
    assert math.hypot(compiled.east_m - plain[0], compiled.north_m - plain[1]) < 0.05


@pytest.mark.parametrize(
    "changes", [dict(pivot_travel_m=-0.1), dict(pivot_travel_m=math.nan), dict(pivot_from_nose_m=math.inf)]
)
def test_an_aft_guide_that_makes_no_sense_is_refused(changes):
    with pytest.raises(OutsideModel, match="aft guide"):
        pack(club_rocket(guide=Guide(1.0, **changes)))
