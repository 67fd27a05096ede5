"""The dispersion against plain reasoning: one source at a time, closed forms drawn at random, symmetry."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from service.flight import disperse, simulate
from service.flight.error_sources import DEFAULTS
from service.flight.setup import Guide
from tests.flight.vehicles import STILL, bare_setup, club_rocket, even_mass, plain_body, steady_thrust

NOTHING = dict.fromkeys(DEFAULTS, 0.0)
UPRIGHT = dict(wind=STILL, guide=Guide(0.01))


def only(**spreads):
    return NOTHING | spreads


def closed_apogee_m(drag_scale, thrust_scale=1.0):
    """Upright flight of 1 kg on 50 N for 2 s against quadratic drag, constant mass and density (closed form)."""
    g, mass, thrust = 9.80665, 1.0, 50.0 * thrust_scale
    k = 0.5 * 1.225 * 0.6 * math.pi / 4.0 * 0.05**2 * drag_scale
    a, b = np.sqrt((thrust - mass * g) / k), np.sqrt(k * (thrust - mass * g)) / mass
    speed, height = a * np.tanh(2.0 * b), mass / k * np.log(np.cosh(2.0 * b))
    return height + mass / (2.0 * k) * np.log(1.0 + k * speed**2 / (mass * g))


def upright():
    return bare_setup(plain_body(0.6), even_mass(1.0, 1.0), steady_thrust(50.0, 2.0))


@pytest.mark.parametrize("source, argument", [("drag", "drag_scale"), ("impulse", "thrust_scale")])
def test_one_source_spreads_the_apogee_as_the_closed_form_does(source, argument):
    # brute Monte Carlo of the closed form: 200 000 draws, cut at three deviations as the dispersion's are
    sigma = 0.1
    found = disperse(upright(), samples=1024, seed=9, spreads=only(**{source: sigma})).figures["apogee_m"]
    draws = 1.0 + sigma * np.clip(np.random.default_rng(1).normal(size=200_000), -3.0, 3.0)
    plain = closed_apogee_m(**({"drag_scale": 1.0} | {argument: draws}))
    assert found.mean() == pytest.approx(plain.mean(), rel=5e-4)
    assert found.std() == pytest.approx(plain.std(), rel=0.02)
    for share in (0.05, 0.5, 0.95):
        assert np.quantile(found, share) == pytest.approx(np.quantile(plain, share), rel=3e-3)


def test_replicates_scatter_less_than_plain_draws_would():
    # plain Monte Carlo: the mean of 64 draws scatters by sigma / 8; evenly spread points by far less (Owen 1997)
    found = disperse(upright(), samples=1024, seed=9, spreads=only(drag=0.1))
    apogees = found.figures["apogee_m"].reshape(16, 64)
    assert apogees.mean(axis=1).std() < 0.2 * apogees.std() / 8.0


def test_tilt_off_either_way_spreads_the_apogee_evenly_round_the_pad():
    setup = club_rocket(**UPRIGHT, devices=())
    found = disperse(setup, samples=1024, seed=3, spreads=only(guide_tilt_deg=1.0))
    east, north = found.figures["apogee_east_m"], found.figures["apogee_north_m"]
    assert east.std() == pytest.approx(north.std(), rel=0.05)
    assert abs(np.corrcoef(east, north)[0, 1]) < 0.1
    assert abs(east.mean()) < 0.05 * east.std() and abs(north.mean()) < 0.05 * north.std()


def test_canopy_drag_spreads_the_time_under_it_by_half():
    # closed form: time goes as the square root of the drag area, so 10 % of the area is 5 % of the time
    setup = club_rocket(
        wind=STILL, guide=Guide(1.5), devices=(replace(club_rocket().devices[0], trigger="apogee", value=0.0),)
    )
    found = disperse(replace(setup, body_drag_area_m2=0.0), samples=512, seed=3, spreads=only(canopy_drag=0.1))
    hanging = found.landings["planned"][:, 2] - found.figures["apogee_s"]
    assert hanging.std() / hanging.mean() == pytest.approx(0.05, rel=0.04)
    assert found.figures["apogee_m"].std() < 1e-9


def test_wind_error_moves_the_landing_by_the_time_in_the_air():
    # the mean error of the wind over the fall times the time of the fall; the levels agree by 0.7, so the spread lies
    # between root 0.7 and one times that of a wind wrong by the same amount at every height
    setup = club_rocket(devices=(replace(club_rocket().devices[0], trigger="apogee", value=0.0),))
    nominal = simulate(setup, history=False)
    found = disperse(setup, samples=512, seed=3, spreads=only(wind_speed_mps=1.0))
    hanging_s = nominal.landings["planned"].time_s - nominal.figures["apogee_s"]
    drift = found.landings["planned"][:, :2] - [nominal.landings["planned"].east_m, nominal.landings["planned"].north_m]
    spread_m = np.sqrt(np.sum(drift**2, axis=1).mean())
    assert 0.6 * hanging_s < spread_m < 1.15 * hanging_s


def test_more_spread_in_every_source_spreads_the_landing_more():
    setup = club_rocket()
    narrow = disperse(setup, samples=256, seed=3, spreads={name: 0.3 * value for name, value in DEFAULTS.items()})
    wide = disperse(setup, samples=256, seed=3)
    for axis in (0, 1):
        assert narrow.landings["planned"][:, axis].std() < wide.landings["planned"][:, axis].std()
    assert wide.flown.all()
