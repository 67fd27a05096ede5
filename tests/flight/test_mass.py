"""Mass tables against the mechanics of composite bodies, and what they refuse."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.flight.errors import OutsideModel
from service.flight.mass import MotorBody, estimated_pitch_inertia_kgm2, given_mass, mass_table

MOTOR = MotorBody(0.044, 0.024, 0.070, 0.024, 0.86)
ROCKET = {"dry_mass_kg": 0.165, "dry_cg_from_nose_m": 0.47, "length_m": 0.86, "diameter_m": 0.041}


def test_mass_falls_by_the_propellant_in_proportion():
    table = mass_table(**ROCKET, motor=MOTOR)
    assert table.mass_kg[0] == pytest.approx(0.209) and table.mass_kg[-1] == pytest.approx(0.185)
    assert table.mass_kg[32] == pytest.approx(0.197)
    assert table.propellant_mass_kg == pytest.approx(0.024)
    assert table.dry_mass_kg == 0.165 and table.nozzle_from_nose_m == 0.86


def test_the_burnt_out_centre_of_gravity_is_that_of_two_bodies():
    table = mass_table(**ROCKET, motor=MOTOR)
    casing = 0.86 - 0.035
    assert table.cg_from_nose_m[-1] == pytest.approx((0.165 * 0.47 + 0.020 * casing) / 0.185)
    # two bodies about their common centre: reduced mass times distance squared, plus their own
    own = estimated_pitch_inertia_kgm2(0.165, 0.86, 0.041) + 0.020 * (6 * 0.012**2 + 0.07**2) / 12
    pair = 0.165 * 0.020 / 0.185 * (casing - 0.47) ** 2
    assert table.pitch_inertia_kgm2[-1] == pytest.approx(own + pair)


def test_the_grain_is_a_hollow_cylinder_by_quadrature():
    # a motor of nothing but grain, far heavier than the rocket: inertia by summing thin rings here
    motor = MotorBody(1.0 + 1e-9, 1.0, 0.5, 0.08, 1.0)
    table = mass_table(1e-6, 0.5, 1.0, 0.08, motor, dry_pitch_inertia_kgm2=1e-12, dry_roll_inertia_kgm2=1e-12)
    outer, length = 0.88 * 0.04, 0.85 * 0.5
    inner = math.sqrt(outer**2 - 1.0 / 1700.0 / (math.pi * length))
    r = np.linspace(inner, outer, 4001)
    roll = np.trapezoid(2.0 * math.pi * r**3 * length, r) * 1700.0
    assert table.roll_inertia_kgm2[0] == pytest.approx(roll, rel=1e-5)
    assert table.pitch_inertia_kgm2[0] == pytest.approx(roll / 2.0 + length**2 / 12.0, rel=1e-5)


def test_an_end_burner_carries_its_propellant_forward():
    bored = mass_table(**ROCKET, motor=MOTOR)
    end = mass_table(**ROCKET, motor=replace(MOTOR, end_burner=True))
    assert (bored.mass_kg == end.mass_kg).all()
    assert end.cg_from_nose_m[-1] == pytest.approx(bored.cg_from_nose_m[-1])
    assert end.cg_from_nose_m[48] < bored.cg_from_nose_m[48] + 1e-3
    moved = np.diff(end.cg_from_nose_m)
    assert (moved < 0.0).all()  # always towards the nose as the tail lightens


def test_an_end_burners_grain_recedes_from_the_nozzle():
    # a motor of nothing but grain: a solid cylinder whose fore end stays where it is, worked here from its volume
    motor = MotorBody(1.0 + 1e-9, 1.0, 0.5, 0.08, 1.0, end_burner=True)
    table = mass_table(1e-6, 0.5, 1.0, 0.08, motor, dry_pitch_inertia_kgm2=1e-12, dry_roll_inertia_kgm2=1e-12)
    whole = 1.0 / 1700.0 / (math.pi * (0.88 * 0.04) ** 2)
    fore = 1.0 - 0.05 - whole
    assert table.cg_from_nose_m[0] == pytest.approx(fore + whole / 2.0, rel=1e-5)
    assert table.cg_from_nose_m[32] == pytest.approx(fore + whole / 4.0, rel=1e-5)
    assert table.pitch_inertia_kgm2[0] == pytest.approx((3.0 * 0.0352**2 + whole**2) / 12.0, rel=1e-4)


def test_a_cluster_weighs_as_much_as_its_motors_and_rolls_slower():
    one = mass_table(**ROCKET, motor=replace(MOTOR, diameter_m=0.013))
    three = mass_table(**ROCKET, motor=replace(MOTOR, diameter_m=0.013), motor_count=3)
    assert three.mass_kg[0] - 0.165 == pytest.approx(3.0 * (one.mass_kg[0] - 0.165))
    alone = one.roll_inertia_kgm2[0] - 0.165 * 0.0205**2
    ring = 0.0065 / math.sin(math.pi / 3.0)
    assert three.roll_inertia_kgm2[0] == pytest.approx(0.165 * 0.0205**2 + 3.0 * (alone + 0.044 * ring**2))
    # a ring of masses has half its polar inertia across: against one motor three times as heavy on the axis
    heavy = replace(MOTOR, diameter_m=0.013, loaded_mass_kg=0.132, propellant_mass_kg=0.024)
    lone, trio = (
        mass_table(**ROCKET, motor=heavy),
        mass_table(**ROCKET, motor=replace(heavy, loaded_mass_kg=0.044, propellant_mass_kg=0.008), motor_count=3),
    )
    assert trio.mass_kg == pytest.approx(lone.mass_kg)
    difference = trio.pitch_inertia_kgm2[-1] - lone.pitch_inertia_kgm2[-1]
    assert difference == pytest.approx(0.108 * ring**2 / 2.0, rel=1e-6)


def test_a_motor_that_does_not_light_stays_full():
    table = mass_table(**ROCKET, motor=MOTOR, motor_count=3, unlit_count=1)
    assert table.mass_kg[0] == pytest.approx(0.165 + 3 * 0.044)
    assert table.mass_kg[-1] == pytest.approx(0.165 + 3 * 0.044 - 2 * 0.024)
    assert table.propellant_mass_kg == pytest.approx(0.048)


@settings(max_examples=50, deadline=None)
@given(st.floats(0.01, 50.0), st.floats(0.1, 0.9), st.floats(0.01, 0.95), st.booleans(), st.integers(1, 6))
def test_any_table_is_finite_positive_and_inside(mass_kg, share, propellant, end_burner, count):
    motor = MotorBody(0.3, 0.3 * propellant, 0.2, 0.029, 1.0, end_burner)
    table = mass_table(mass_kg, share, 1.0, 0.1, motor, count)
    for column in (table.mass_kg, table.cg_from_nose_m, table.pitch_inertia_kgm2, table.roll_inertia_kgm2):
        assert column.shape == (65,) and np.isfinite(column).all() and (column > 0.0).all()
    assert (table.cg_from_nose_m <= 1.0).all()
    assert (np.diff(table.mass_kg) < 0.0).all()


@pytest.mark.parametrize(
    ("rocket", "motor", "more", "text"),
    [
        ({"dry_mass_kg": math.nan}, {}, {}, "dry_mass_kg is nan kg"),
        ({"dry_mass_kg": 0.0}, {}, {}, "dry_mass_kg is 0 kg"),
        ({"dry_cg_from_nose_m": 0.9}, {}, {}, "dry_cg_from_nose_m is 0.9 m; the model holds from 0 to 0.86 m"),
        ({}, {"propellant_mass_kg": 0.044}, {}, "propellant 0.044 kg is not lighter than the loaded motor, 0.044 kg"),
        ({}, {"propellant_mass_kg": math.nan}, {}, "propellant_mass_kg is nan"),
        ({}, {"length_m": 1.0}, {}, "reaches ahead of the nose tip"),
        ({}, {"diameter_m": -1.0}, {}, "motor diameter_m is -1 m"),
        ({}, {}, {"motor_count": 0}, "motor_count is 0"),
        ({}, {}, {"motor_count": 2, "unlit_count": 2}, "2 of 2 motors do not light"),
        ({}, {}, {"dry_pitch_inertia_kgm2": 0.0}, "dry_pitch_inertia_kgm2 is 0"),
    ],
)
def test_bodies_that_cannot_be_are_refused(rocket, motor, more, text):
    with pytest.raises(OutsideModel, match=text):
        mass_table(**(ROCKET | rocket), motor=replace(MOTOR, **motor), **more)


def test_given_tables():
    table = given_mass(1.2, 0.5, [0.12, 0.10], 0.0012, 0.2, 0.9)
    assert table.mass_kg[[0, -1]].tolist() == pytest.approx([1.2, 1.0])
    assert table.pitch_inertia_kgm2[32] == pytest.approx(0.11)
    assert table.dry_mass_kg == pytest.approx(1.0)
    with pytest.raises(OutsideModel, match="mass_kg falls to"):
        given_mass(1.0, 0.5, 0.1, 0.01, 1.5, 0.9)
    with pytest.raises(OutsideModel, match="pitch_inertia_kgm2"):
        given_mass(1.0, 0.5, math.nan, 0.01, 0.1, 0.9)
