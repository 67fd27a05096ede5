"""What the kernel does at its edges: refusals, odd recoveries, odd rockets; and the shape of what it hands back."""

from __future__ import annotations

import math
import os
import subprocess
import sys
from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest

from service.flight import disperse, simulate
from service.flight.craft import FIGURES
from service.flight.errors import FlightError, OutsideModel
from service.flight.kernel import MODES
from service.flight.nominal import NeverLeftGuide
from service.flight.setup import Device, Guide
from service.flight.tables import Thrust
from tests.flight.vehicles import DUAL, SEA_LEVEL, STILL, bare_setup, club_rocket, even_mass, plain_body, steady_thrust


@pytest.mark.parametrize("part", ["aerodynamics", "thrust", "mass", "air", "wind"])
@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_a_value_that_is_not_finite_is_refused_in_every_table(part, bad):
    setup = club_rocket()
    table = getattr(setup, part)
    for field in fields(table):
        column = getattr(table, field.name)
        if isinstance(column, np.ndarray) and (part, field.name) != ("air", "viscosity_pas"):
            spoilt = column.copy()
            spoilt[column.size // 2] = bad
            with pytest.raises(OutsideModel):
                simulate(replace(setup, **{part: replace(table, **{field.name: spoilt})}))


def test_tables_of_the_wrong_length_are_refused():
    setup = club_rocket()
    with pytest.raises(OutsideModel, match="shape"):
        simulate(replace(setup, wind=replace(setup.wind, east_mps=setup.wind.east_mps[:-1])))


@pytest.mark.parametrize(
    "change, words",
    [
        ({"guide": Guide(0.0)}, "guide"),
        ({"guide": Guide(1.0, math.pi / 2)}, "guide"),
        ({"guide": Guide(math.nan)}, "guide"),
        ({"devices": (Device("main", -0.1, "apogee", 0.0),)}, "drag area"),
        ({"devices": (Device("main", 0.1, "apogee", math.nan),)}, "drag area"),
        ({"devices": (Device("main", 0.1, "whistle", 0.0),)}, "whistle"),
        ({"thrust": Thrust(np.array([0.0, 1.0]), np.array([0.0, 0.0]))}, "impulse"),
        ({"thrust": Thrust(np.array([0.1, 1.0]), np.array([9.0, 9.0]))}, "start at 0"),
        ({"thrust": Thrust(np.array([0.0, 1.0, 0.5]), np.array([9.0, 9.0, 9.0]))}, "increase"),
    ],
)
def test_what_cannot_be_flown_is_refused_in_words(change, words):
    with pytest.raises(OutsideModel, match=words):
        simulate(club_rocket(**change))


def test_a_rocket_too_heavy_never_leaves_the_guide():
    setup = bare_setup(plain_body(0.5), even_mass(10.0, 9.9), steady_thrust(50.0, 2.0), guide=Guide(1.0))
    with pytest.raises(NeverLeftGuide, match="the guide's end"):
        simulate(setup)
    with pytest.raises(NeverLeftGuide):
        disperse(setup, samples=16)


def test_a_guide_longer_than_the_push_lasts():
    # closed form: 20 m/s² net for 0.2 s gives 4 m/s at 0.4 m, then 0.815 m more against gravity
    thrust = steady_thrust(20.0 + 9.80665, 0.2)
    body, mass = plain_body(0.0), even_mass(1.0, 1.0)
    with pytest.raises(NeverLeftGuide):
        simulate(bare_setup(body, mass, thrust, guide=Guide(1.3)))
    figures = simulate(bare_setup(body, mass, thrust, guide=Guide(1.0))).figures
    assert figures["exit_speed_mps"] == pytest.approx(math.sqrt(16.0 - 2.0 * 9.80665 * 0.6), rel=1e-6)
    assert figures["guide_end_s"] > figures["burnout_s"]
    assert figures["apogee_m"] == pytest.approx(0.4 + 16.0 / (2.0 * 9.80665), rel=1e-6)


def test_past_mach_three_and_past_the_tables_is_refused():
    with pytest.raises(OutsideModel, match="Mach 3"):
        simulate(bare_setup(plain_body(0.0), even_mass(1.0, 1.0), steady_thrust(5000.0, 1.0)))
    with pytest.raises(OutsideModel, match="32 km"):
        slow = steady_thrust(60.0, 60.0)
        simulate(
            bare_setup(
                plain_body(0.0), even_mass(2.0, 1.9), slow, air=replace(SEA_LEVEL, sound_mps=np.full(801, 3000.0))
            )
        )


def test_every_mode_is_there_when_it_can_happen():
    assert set(simulate(club_rocket(devices=DUAL)).landings) == set(MODES)
    assert set(simulate(club_rocket()).landings) == {"planned", "no_deployment"}
    alone = simulate(club_rocket(devices=()))
    assert repr(alone.landings["planned"]) == repr(alone.landings["no_deployment"])  # NaN is not equal to itself
    assert alone.landings["planned"].opened == 0 and math.isnan(alone.figures["deploy_s"])


def test_modes_come_down_in_the_order_of_their_drag():
    landings = simulate(club_rocket(devices=DUAL)).landings
    times = [landings[m].time_s for m in ("no_deployment", "drogue_only", "planned", "main_at_apogee")]
    assert times == sorted(times) and len(set(times)) == 4
    assert [landings[m].opened for m in MODES] == [2, 0, 1, 2]
    assert landings["planned"].second_open_mps == pytest.approx(landings["planned"].first_speed_mps, rel=0.02)


def test_a_main_set_above_the_apogee_opens_there():
    flight = simulate(club_rocket(devices=(Device("main", 0.3, "altitude", 5000.0),)))
    assert flight.figures["deploy_height_m"] == pytest.approx(flight.figures["apogee_m"], abs=1e-6)
    same = simulate(club_rocket(devices=(Device("main", 0.3, "apogee", 0.0),)))
    assert flight.landings["planned"].east_m == pytest.approx(same.landings["planned"].east_m, abs=1e-6)


def test_a_main_set_at_a_height_opens_at_it():
    flight = simulate(club_rocket(devices=(Device("main", 0.3, "altitude", 150.0),)))
    assert flight.figures["deploy_height_m"] == pytest.approx(150.0, abs=1e-6)
    assert flight.figures["deploy_s"] > flight.figures["apogee_s"]


def test_no_delay_opens_at_the_end_of_thrust():
    flight = simulate(club_rocket(devices=(Device("main", 0.3, "motor_delay", 0.0),)))
    figures = flight.figures
    assert figures["deploy_s"] == figures["burnout_s"] < figures["apogee_s"]
    assert figures["deploy_airspeed_mps"] > 60.0
    assert figures["apogee_m"] > flight.history[:, 3].max()  # the apogee is the one of the flight without an opening


def test_a_delay_that_outlasts_the_flight_comes_down_hard():
    flight = simulate(club_rocket(devices=(Device("main", 0.3, "motor_delay", 500.0),)))
    assert repr(flight.landings["planned"]) == repr(flight.landings["no_deployment"])
    assert flight.landings["planned"].down_mps > 40.0


def test_a_long_stable_rocket_comes_back_nose_down():
    # 22 diameters long, where cross-flow on the body outweighs the fins broadside on; closed form for a fall from the
    # apogee at the drag of small incidence: vt sqrt(1 - exp(-2 g h / vt²)), less what tumbling over the top has cost
    setup = club_rocket(devices=())
    found = disperse(setup, samples=64, seed=2)
    falls = found.landings["no_deployment"][:, 3]
    spent_kg, body = setup.mass.mass_kg[-1], setup.aerodynamics
    drag_area = body.axial_coasting[10] * math.pi / 4.0 * body.diameter_m**2
    steady = math.sqrt(2.0 * spent_kg * 9.80665 / (setup.air.density_kgm3[0] * drag_area))
    top = found.figures["apogee_m"]
    vertical = steady * np.sqrt(1.0 - np.exp(-2.0 * 9.80665 * top / steady**2))
    assert np.all(falls > 0.75 * vertical)


def test_nothing_hanging_out_falls_freely_until_something_opens():
    # the first device waits for a height, the second opens at the apogee: with the second lost, the body falls bare
    devices = (Device("drogue", 0.1, "altitude", 100.0), Device("main", 0.3, "apogee", 0.0))
    flight = simulate(club_rocket(devices=devices, body_drag_area_m2=0.0))
    bare = flight.landings["drogue_only"]
    assert bare.opened == 1 and math.isfinite(bare.east_m)
    top = flight.figures["apogee_m"]
    assert bare.time_s > flight.figures["apogee_s"] + math.sqrt(2.0 * (top - 100.0) / 9.80665)


@pytest.mark.parametrize("full_kg, thrust_n", [(0.004, 0.6), (400.0, 40_000.0)])
def test_very_light_and_very_heavy(full_kg, thrust_n):
    # closed form once more: vacuum, constant thrust and mass
    air = replace(SEA_LEVEL, density_kgm3=np.full(801, 1e-15))
    inertia = 0.01 * full_kg
    setup = bare_setup(
        plain_body(0.5), even_mass(full_kg, full_kg, inertia, 0.01 * inertia), steady_thrust(thrust_n, 0.5), air=air
    )
    push = thrust_n / full_kg - 9.80665
    figures = simulate(setup).figures
    assert figures["apogee_m"] == pytest.approx(0.125 * push * (1.0 + push / 9.80665), rel=1e-6)


def test_figures_agree_with_each_other():
    flight = simulate(club_rocket())
    f, history = flight.figures, flight.history
    assert set(f) == set(FIGURES)
    assert f["liftoff_s"] < f["guide_end_s"] < f["burnout_s"] < f["apogee_s"]
    assert f["greatest_speed_mps"] >= f["burnout_speed_mps"] > f["exit_speed_mps"] > 10.0
    assert f["least_margin_cal"] <= f["exit_margin_cal"]
    assert history[history[:, 0] < f["burnout_s"], 13].max() > 60.0  # thrust at its peak
    assert np.all(history[history[:, 0] > f["burnout_s"], 13] == 0.0)
    assert f["greatest_acceleration_mps2"] == pytest.approx(np.nanmax(history[:, 16]), rel=0.05)


def test_calm_air_disperses_about_the_pad():
    found = disperse(club_rocket(wind=STILL, guide=Guide(1.5)), samples=512, seed=4)
    place = found.landings["planned"][:, :2]
    assert found.flown.all() and np.isfinite(place).all()
    assert np.abs(place.mean(axis=0)).max() < 0.25 * place.std(axis=0).min()
    assert set(found.replicate) == set(range(16)) and np.bincount(found.replicate).tolist() == [32] * 16


@pytest.mark.parametrize("samples", [0, 8, 100, -16])
def test_samples_come_in_powers_of_two(samples):
    with pytest.raises(OutsideModel, match="power of two"):
        disperse(club_rocket(), samples=samples)


@pytest.mark.parametrize("spreads", [{"luck": 0.1}, {"drag": -0.1}, {"drag": math.nan}, {"drag": 50.0}])
def test_absurd_spreads_are_refused(spreads):
    with pytest.raises(OutsideModel):
        disperse(club_rocket(), samples=16, spreads=spreads)


def test_errors_share_one_root():
    assert issubclass(NeverLeftGuide, FlightError) and issubclass(OutsideModel, FlightError)


def test_the_kernel_runs_uncompiled_too():
    script = (
        "from dataclasses import replace\n"
        "import numpy as np\n"
        "from service.flight import simulate\n"
        "from service.flight.setup import Device\n"
        "from service.flight.tables import Thrust\n"
        "from tests.flight.vehicles import club_rocket\n"
        "short = Thrust(np.array([0.0, 0.3]), np.array([60.0, 50.0]))\n"
        "devices = (Device('drogue', 0.05, 'apogee', 0.0), Device('main', 0.3, 'altitude', 15.0))\n"
        "flight = simulate(club_rocket(thrust=short, devices=devices, body_drag_area_m2=0.0))\n"
        "print(flight.figures['apogee_m'], *(flight.landings[m].east_m for m in sorted(flight.landings)))\n"
    )
    root = Path(__file__).resolve().parents[2]
    found = []
    for off in ("1", "0"):
        done = subprocess.run(
            [sys.executable, "-c", script], cwd=root, capture_output=True, text=True, timeout=120,
            env={**os.environ, "NUMBA_DISABLE_JIT": off, "PYTHONPATH": str(root)}, check=False,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr[-2000:]
        found.append([float(word) for word in done.stdout.split()])
    assert found[0] == pytest.approx(found[1], abs=1e-6)
