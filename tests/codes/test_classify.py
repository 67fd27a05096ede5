"""The two classes, at their borders. Figures: 14 CFR 101.22 and 101.21(b); NFPA 1122 (2018) 4.4 and 4.5; the
definitions of NFPA 1127 as exam texts restate them."""

import math

import pytest

from service.codes.classify import category, faa_class, with_classes

SMALL = {"liftoff_mass_kg": 1.5, "propellant_mass_kg": 0.125, "impulse_ns": 160.0, "motor_impulse_ns": 160.0,
         "motor_average_thrust_n": 80.0, "hybrid": False, "sparking": False}


@pytest.mark.parametrize("change, expected", [
    ({}, 1),
    ({"liftoff_mass_kg": 1.5001}, 2),
    ({"propellant_mass_kg": 0.12501}, 2),
    ({"substantial_metal": True}, 2),
    ({"substantial_metal": False}, 1),
    ({"impulse_ns": 300.0}, 1),
    ({"liftoff_mass_kg": 9.0, "impulse_ns": 40960.0}, 2),
    ({"liftoff_mass_kg": 9.0, "impulse_ns": 40960.01}, 3),
    ({"liftoff_mass_kg": 900.0, "impulse_ns": 889600.01}, 3),
    ({"liftoff_mass_kg": None}, None),
    ({"propellant_mass_kg": math.nan}, None),
    ({"liftoff_mass_kg": 9.0, "impulse_ns": None}, None),
    ({"liftoff_mass_kg": 9.0, "propellant_mass_kg": None}, 2),
])
def test_faa_class(change, expected):
    assert faa_class(SMALL | change) == expected


@pytest.mark.parametrize("change, expected", [
    ({}, "model"),
    ({"impulse_ns": 320.0}, "model"),
    ({"impulse_ns": 320.01}, "high_power"),
    ({"liftoff_mass_kg": 1.5001}, "high_power"),
    ({"propellant_mass_kg": 0.12501}, "high_power"),
    ({"motor_impulse_ns": 160.01}, "high_power"),
    ({"motor_average_thrust_n": 80.01}, "high_power"),
    ({"hybrid": True}, "high_power"),
    ({"sparking": True}, "high_power"),
    ({"sparking": None}, None),
    ({"motor_average_thrust_n": math.inf}, None),
    ({"sparking": None, "hybrid": True}, "high_power"),
])
def test_category(change, expected):
    assert category(SMALL | change) == expected


def test_the_axes_are_independent():
    """A 1,500 g rocket on an H motor: Class 1 under federal law, high power under the sport's code."""
    found = with_classes(SMALL | {"impulse_ns": 200.0, "motor_impulse_ns": 200.0})
    assert (found["faa_class"], found["category"]) == (1, "high_power")


def test_a_class_already_known_is_kept():
    assert with_classes(SMALL | {"faa_class": 3})["faa_class"] == 3
