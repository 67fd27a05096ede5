"""Aerodynamic tables: finite and continuous for any shape, right about symmetry, clear about refusals."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.flight import aerodynamics as aero
from service.flight.airframe import FIN_EDGES, NOSE_SHAPES, Airframe, FinSet, Lugs, Nose, Transition
from service.flight.atmosphere import standard_air
from service.flight.drag import PARTS, drag_breakdown, drag_coefficient
from service.flight.errors import OutsideModel
from service.flight.fins import crowding, panel_slope
from service.flight.friction import mean_friction
from service.flight.tables import mach_grid

AIR = standard_air()
FINS = FinSet(4, 0.09, 0.05, 0.06, 0.03, 0.0032, "rounded", 0.75)
PLAIN = Airframe(0.86, 0.041, Nose("ogive", 0.14), 60.0, (), (FINS,))
COLUMNS = (
    "cn_alpha_per_rad", "cn_alpha_x_m", "cn_alpha_x2_m2", "axial_coasting", "axial_burning",
    "roll_forcing_m3_per_rad", "roll_damping_m4",
)  # fmt: skip


def assert_sound(tables, length_m):
    for name in COLUMNS:
        column = getattr(tables, name)
        assert column.shape == (151,) and np.isfinite(column).all(), name
    assert (tables.cn_alpha_per_rad > 0.0).all() and (tables.axial_burning > 0.0).all()
    assert (tables.axial_burning <= tables.axial_coasting).all()
    # neighbouring nodes 0.02 Mach apart; friction at rest apart
    step = np.abs(np.diff(tables.axial_coasting))[3:] / tables.axial_coasting[3:-1]
    assert step.max() < 0.10
    assert (np.abs(np.diff(tables.cn_alpha_per_rad)) / tables.cn_alpha_per_rad[1:]).max() < 0.06
    centre = tables.cn_alpha_x_m / tables.cn_alpha_per_rad
    assert np.abs(np.diff(centre)).max() < 0.015 * length_m


@pytest.mark.parametrize("shape", NOSE_SHAPES)
@pytest.mark.parametrize("edge", FIN_EDGES)
def test_every_nose_and_edge_gives_sound_tables(shape, edge):
    airframe = replace(PLAIN, nose=Nose(shape, 0.14), fins=(replace(FINS, edge=edge),))
    assert_sound(aero.aerodynamics(airframe, AIR, 0.024, 1), 0.86)


@settings(max_examples=60, deadline=None)
@given(
    shape=st.sampled_from(NOSE_SHAPES),
    fineness=st.floats(2.0, 6.0),
    slenderness=st.floats(8.0, 30.0),
    count=st.integers(3, 8),
    root=st.floats(1.0, 3.0),
    taper=st.floats(0.0, 1.0),
    span=st.floats(0.4, 1.5),
    sweep=st.floats(0.0, 2.0),
    finish=st.just(0.0) | st.floats(1e-300, 300.0),
    tail=st.floats(0.7, 1.0),
)
def test_any_rocket_gives_sound_tables(shape, fineness, slenderness, count, root, taper, span, sweep, finish, tail):
    d = 0.054
    length = slenderness * d
    fins = FinSet(count, root * d, taper * root * d, span * d, sweep * d, 0.002, "rounded", length - (root + 1.0) * d)
    boat = () if tail > 0.99 else (Transition(length - 0.8 * d, 0.7 * d, d, tail * d),)
    airframe = Airframe(length, d, Nose(shape, fineness * d), finish, boat, (fins,))
    assert_sound(aero.aerodynamics(airframe, AIR, 0.029, 1), length)


def test_the_fin_slope_stays_positive_just_past_mach_1():
    # linear theory alone turns negative there
    mach = np.linspace(0.9, 1.5, 601)
    slope = panel_slope(FINS, 1.0, mach)
    assert (slope > 0.0).all()
    assert np.abs(np.diff(slope)).max() / slope.max() < 0.01


def test_a_burning_motor_fills_its_share_of_the_base():
    off = drag_breakdown(PLAIN, [0.3], AIR, 0.029, 1)
    on = drag_breakdown(PLAIN, [0.3], AIR, 0.029, 1, burning=True)
    assert set(off) == set(on) == set(PARTS)
    assert on["base"][0] / off["base"][0] == pytest.approx(1.0 - (0.029 / 0.041) ** 2)
    assert all(on[name][0] == off[name][0] for name in PARTS if name != "base")
    crowd = drag_breakdown(PLAIN, [0.3], AIR, 0.029, 7, burning=True)
    assert crowd["base"][0] == 0.0  # never thrust from the base


def test_drag_moves_the_right_way():
    def at(airframe, mach=0.3):
        return float(drag_coefficient(airframe, mach, AIR)[0])

    plain = at(PLAIN)
    assert at(replace(PLAIN, finish_um=200.0)) > plain > at(replace(PLAIN, finish_um=5.0))
    assert at(replace(PLAIN, finish_um=0.5)) < at(replace(PLAIN, finish_um=5.0))
    square = at(replace(PLAIN, fins=(replace(FINS, edge="square"),)))
    shaped = at(replace(PLAIN, fins=(replace(FINS, edge="airfoil"),)))
    assert square > plain > shaped
    assert at(replace(PLAIN, lugs=(Lugs("lug", 2, 0.006, 0.03),))) > plain
    assert at(replace(PLAIN, lugs=(Lugs("button", 2, 0.011, 0.008),))) > plain
    tail = Transition(0.80, 0.06, 0.041, 0.030)
    assert at(replace(PLAIN, transitions=(tail,), fins=(replace(FINS, leading_edge_from_nose_m=0.70),))) < plain
    steep = Transition(0.85, 0.005, 0.041, 0.030)  # flow does not follow it: hardly a gain
    assert at(replace(PLAIN, transitions=(steep,))) == pytest.approx(plain, rel=0.01)
    assert at(replace(PLAIN, nose=Nose("cone", 0.03))) > at(replace(PLAIN, nose=Nose("cone", 0.14)))


def test_friction_has_no_step_where_roughness_takes_over():
    reynolds = np.geomspace(1e4, 1e9, 4001)
    for roughness in (0.0, 0.5e-6, 20e-6, 200e-6):
        friction = mean_friction(reynolds, roughness, 0.5, 0.3)
        assert np.isfinite(friction).all()
        assert (np.abs(np.diff(friction)) / friction[1:]).max() < 0.012


def test_more_fins_help_less_and_less():
    force = [count * crowding(count) for count in range(3, 25)]
    assert (np.diff(force) >= -1e-12).all()
    assert crowding(3) == crowding(4) == 1.0 > crowding(5) > crowding(6) > crowding(8) > crowding(12)


def test_scaling_a_rocket_scales_its_stations_and_nothing_else():
    k = 3.0
    big_fins = FinSet(4, 0.09 * k, 0.05 * k, 0.06 * k, 0.03 * k, 0.0032 * k, "rounded", 0.75 * k)
    big = Airframe(0.86 * k, 0.041 * k, Nose("ogive", 0.14 * k), 60.0 * k, (), (big_fins,))
    one, other = aero.aerodynamics(PLAIN, AIR), aero.aerodynamics(big, AIR)
    assert other.cn_alpha_per_rad == pytest.approx(one.cn_alpha_per_rad, rel=1e-9)
    assert other.cn_alpha_x_m == pytest.approx(k * one.cn_alpha_x_m, rel=1e-9)
    assert other.cn_alpha_x2_m2 == pytest.approx(k**2 * one.cn_alpha_x2_m2, rel=1e-9)
    assert other.roll_damping_m4 == pytest.approx(k**4 * one.roll_damping_m4, rel=1e-9)
    assert other.body_lift_area_m2 == pytest.approx(k**2 * one.body_lift_area_m2, rel=1e-9)


def test_known_figures_override():
    tables = aero.aerodynamics(
        PLAIN, AIR, known_cn_alpha_per_rad=10.0, known_cp_from_nose_m=0.6, known_drag_coefficient=0.5
    )
    computed = aero.aerodynamics(PLAIN, AIR)
    at = 15  # Mach 0.3
    assert tables.cn_alpha_per_rad[at] == pytest.approx(10.0)
    assert aero.centre_of_pressure(tables) == pytest.approx(0.6)
    assert (tables.axial_coasting == 0.5).all() and (tables.axial_burning == 0.5).all()
    # the change over Mach, and the spread of the force about its centre, are kept
    assert tables.cn_alpha_per_rad / 10.0 == pytest.approx(computed.cn_alpha_per_rad / computed.cn_alpha_per_rad[at])

    def spread(t):
        return t.cn_alpha_x2_m2 / t.cn_alpha_per_rad - (t.cn_alpha_x_m / t.cn_alpha_per_rad) ** 2

    assert spread(tables) == pytest.approx(spread(computed))
    curve = aero.aerodynamics(PLAIN, AIR, known_drag_coefficient=([0.0, 0.8, 1.2], [0.5, 0.55, 0.9]))
    assert curve.axial_coasting[50] == pytest.approx(0.725)  # Mach 1
    assert curve.axial_coasting[-1] == pytest.approx(0.9)  # held


@pytest.mark.parametrize(
    "known",
    [
        {"known_cn_alpha_per_rad": math.nan},
        {"known_cn_alpha_per_rad": -1.0},
        {"known_cp_from_nose_m": math.inf},
        {"known_drag_coefficient": ([0.0, 0.0], [0.5, 0.6])},
        {"known_drag_coefficient": ([0.0, 1.0], [0.5, math.nan])},
        {"known_drag_coefficient": ([0.0, 1.0], [0.5])},
        {"known_drag_coefficient": ([0.0], [0.5], [0.6])},
    ],
)
def test_known_figures_that_cannot_be_are_refused(known):
    with pytest.raises(OutsideModel):
        aero.aerodynamics(PLAIN, AIR, **known)


def test_given_tables_hold_what_was_given():
    tables = aero.given_aerodynamics(
        0.066, 10.0, 0.732, ([0.0, 1.0], [0.5, 0.8]), axial_burning=0.4, damping_sum_m2=2.2, damping_about_m=0.6
    )
    about = tables.cn_alpha_x2_m2 - 1.2 * tables.cn_alpha_x_m + 0.36 * tables.cn_alpha_per_rad
    assert about == pytest.approx(2.2)
    assert tables.cn_alpha_x_m / tables.cn_alpha_per_rad == pytest.approx(0.732)
    assert tables.axial_coasting[25] == pytest.approx(0.65) and (tables.axial_burning == 0.4).all()
    assert tables.body_lift_area_m2 == 0.0
    # with no damping sum given, all the force at the centre of pressure
    plain = aero.given_aerodynamics(0.066, 10.0, 0.732, 0.5)
    assert plain.cn_alpha_x2_m2 == pytest.approx(10.0 * 0.732**2)
    assert (plain.axial_burning == plain.axial_coasting).all()
    again = aero.given_aerodynamics(0.066, 10.0, 0.732, tables.axial_coasting)
    assert (again.axial_coasting == tables.axial_coasting).all()
    good = {"diameter_m": 0.066, "cn_alpha_per_rad": 10.0, "cp_from_nose_m": 0.7, "axial_coasting": 0.5}
    for wrong in ({"diameter_m": math.nan}, {"cn_alpha_per_rad": math.nan}, {"axial_coasting": [0.1, 0.2, 0.3]}):
        with pytest.raises(OutsideModel):
            aero.given_aerodynamics(**(good | wrong))


@pytest.mark.parametrize("margin", [1.0, 1.7, 3.0])
@pytest.mark.parametrize(("length_m", "diameter_m"), [(0.3, 0.025), (0.86, 0.041), (2.4, 0.098)])
def test_a_generic_rocket_has_the_margin_asked_for(length_m, diameter_m, margin):
    cg = 0.55 * length_m
    tables = aero.generic_aerodynamics(length_m, diameter_m, margin, cg)
    assert aero.static_margin_cal(tables, cg) == pytest.approx(margin, abs=1e-9)
    assert_sound(tables, length_m)
    assert (aero.generic_aerodynamics(length_m, diameter_m, margin, cg, 0.6).axial_coasting == 0.6).all()


def test_a_generic_rocket_refuses_what_fins_cannot_do():
    with pytest.raises(OutsideModel, match="no fins at the tail do that"):
        aero.generic_aerodynamics(0.86, 0.041, 1.0, 0.001)
    with pytest.raises(OutsideModel, match="too far aft"):
        aero.generic_aerodynamics(0.86, 0.041, 6.0, 0.85)
    limit = aero.generic_margin_limit_cal(0.3, 0.1, 0.165)  # a stubby one: 3 calibers would lie past its tail
    assert 1.0 < limit < 3.0
    edge = aero.generic_aerodynamics(0.3, 0.1, limit - 1e-9, 0.165)
    assert edge.cn_alpha_per_rad[15] == pytest.approx(32.0, rel=1e-6)
    with pytest.raises(OutsideModel, match="too far aft"):
        aero.generic_aerodynamics(0.3, 0.1, limit + 0.01, 0.165)
    with pytest.raises(OutsideModel):
        aero.generic_aerodynamics(0.86, 0.041, math.nan, 0.5)
    with pytest.raises(OutsideModel, match="less than the diameter"):
        aero.generic_aerodynamics(0.05, 0.1, 1.0, 0.02)


def test_forward_fins_are_told():
    assert aero.forward_fin_share(PLAIN) == 0.0
    small = FinSet(4, 0.06, 0.03, 0.04, 0.03, 0.003, "rounded", 0.3)
    assert aero.forward_fin_share(replace(PLAIN, fins=(small, FINS))) > aero.FORWARD_SHARE


@pytest.mark.parametrize(
    ("change", "text"),
    [
        ({"length_m": math.nan}, "length_m is nan m"),
        ({"diameter_m": 0.05}, None),
        ({"finish_um": -1.0}, "finish_um is -1 um"),
        ({"nose": Nose("bullet", 0.1)}, "nose.shape is 'bullet'; one of cone, ogive"),
        ({"nose": Nose("ogive", 0.9)}, "nose.length_m is 0.9 m, longer than the airframe, 0.86 m"),
        ({"nose": Nose("haack", 0.1, 0.9)}, "nose.parameter is 0.9"),
        ({"fins": (replace(FINS, count=2),)}, r"fins\[0\].count is 2; 3 to 24 is wanted"),
        ({"fins": (replace(FINS, span_m=0.0),)}, r"fins\[0\].span_m is 0 m"),
        ({"fins": (replace(FINS, sweep_m=math.inf),)}, r"fins\[0\].sweep_m is inf"),
        ({"fins": (replace(FINS, edge="fluffy"),)}, r"fins\[0\].edge is 'fluffy'"),
        ({"fins": (replace(FINS, leading_edge_from_nose_m=0.8),)}, r"fins\[0\] ends 0.89 m from the nose tip"),
        ({"transitions": (Transition(0.1, 0.05, 0.03, 0.041),)}, r"transitions\[0\] runs from 0.1 to 0.15 m"),
        ({"transitions": (Transition(0.2, 0.05, 0.03, 0.038),)}, "the widest part of the body is 0.038 m"),
        (
            {"transitions": (Transition(0.2, 0.05, 0.03, 0.041), Transition(0.5, 0.05, 0.03, 0.041))},
            r"transitions\[1\].fore_diameter_m is 0.03 m where the body before it has 0.041 m",
        ),
        ({"lugs": (Lugs("hook", 1, 0.01, 0.01),)}, r"lugs\[0\].kind is 'hook'"),
    ],
)
def test_shapes_that_cannot_be_are_refused(change, text):
    if text is None:  # a change that is fine
        replace(PLAIN, **change)
        return
    with pytest.raises(OutsideModel, match=text):
        replace(PLAIN, **change)


def test_mach_numbers_outside_are_refused():
    for mach in (-0.1, 3.5, math.nan):
        with pytest.raises(OutsideModel):
            drag_coefficient(PLAIN, mach, AIR)
    assert mach_grid()[-1] == pytest.approx(3.0)
