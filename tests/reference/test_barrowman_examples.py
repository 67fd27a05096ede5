"""Normal force, centre of pressure, damping and roll against hand-worked examples of Barrowman's method.

The method is that of J. S. Barrowman's 1967 thesis; the figures were worked by hand from its equations, on
geometries of our own and on the basic finner, the standard aeroballistic research shape. None is an experiment.
"""

import math

import numpy as np
import pytest

from service.flight.aerodynamics import aerodynamics, centre_of_pressure, normal_forces, static_margin_cal
from service.flight.airframe import Airframe, FinSet, Nose, Transition
from service.flight.atmosphere import standard_air
from service.flight.bodies import body_parts as parts_of
from service.flight.bodies import side_area, volume_m3, wetted_area_m2
from service.flight.fins import chord_moment_m4
from tests.reference.printed import printed_table

SLIM = Airframe(
    0.56, 0.034, Nose("ogive", 0.102), 20.0, (), (FinSet(3, 0.060, 0.035, 0.045, 0.025, 0.003, "square", 0.495),)
)
STEPPED = Airframe(
    1.30,
    0.076,
    Nose("cone", 0.20),
    60.0,
    (Transition(0.65, 0.05, 0.066, 0.076), Transition(1.25, 0.05, 0.076, 0.060)),
    (FinSet(4, 0.120, 0.050, 0.075, 0.060, 0.003, "rounded", 1.12),),
)
TWO_SETS = Airframe(
    2.0,
    0.098,
    Nose("haack", 0.49, 0.0),
    60.0,
    (),
    (
        FinSet(4, 0.060, 0.030, 0.040, 0.030, 0.003, "rounded", 0.75),
        FinSet(4, 0.200, 0.080, 0.100, 0.130, 0.003, "rounded", 1.75),
    ),
)
# basic finner, in calibers: 10-degree cone, length 10, four square fins of one caliber
FINNER = Airframe(
    10.0, 1.0, Nose("cone", 0.5 / math.tan(math.radians(10.0))), 60.0, (), (FinSet(4, 1, 1, 1, 0, 0.08, "rounded", 9),)
)
AIR = standard_air()


def force(airframe: Airframe, name: str, mach: float = 0.0) -> tuple[float, float]:
    part = next(part for part in normal_forces(airframe, [mach]) if part.name == name)
    return float(part.slope_per_rad[0]), float(part.station_m[0])


@pytest.mark.parametrize(
    ("airframe", "name", "slope", "station_m"),
    [
        (SLIM, "nose", 2.0, 0.04717023),
        (SLIM, "fins[0]", 11.149, 0.518553),
        (STEPPED, "nose", 1.50831, 0.133333),
        (STEPPED, "shoulder", 0.49169, 0.675587),
        (STEPPED, "boattail", -0.75346, 1.27402),
        (STEPPED, "fins[0]", 8.8016, 1.168333),
        (TWO_SETS, "nose", 2.0, 0.245),
        (TWO_SETS, "fins[0]", 1.7374, 0.775),
        (TWO_SETS, "fins[1]", 9.5148, 1.842857),
        (FINNER, "nose", 2.0, 1.8904),
        (FINNER, "fins[0]", 8.8366, 9.25),
    ],
)
def test_parts(airframe, name, slope, station_m):
    found, at = force(airframe, name)
    assert found == pytest.approx(slope, abs=6e-5)
    assert at == pytest.approx(station_m, rel=2e-5)


@pytest.mark.parametrize(
    ("airframe", "slope", "station_m"),
    [
        (SLIM, 13.149, 0.446854),
        (STEPPED, 10.0481, 0.980934),
        (TWO_SETS, 13.2523, 1.461711),
        (FINNER, 10.8366, 7.89171),
    ],
)
def test_whole_airframes(airframe, slope, station_m):
    tables = aerodynamics(airframe, AIR)
    assert tables.cn_alpha_per_rad[0] == pytest.approx(slope, abs=6e-5)
    assert centre_of_pressure(tables, 0.0) == pytest.approx(station_m, rel=1e-5)


def test_static_margin():
    assert static_margin_cal(aerodynamics(SLIM, AIR), 0.330, 0.0) == pytest.approx(3.4369, abs=1e-4)


@pytest.mark.parametrize(
    ("airframe", "mach", "slope"),
    [(SLIM, 0.5, 11.5779), (SLIM, 0.8, 12.3942), (SLIM, 2.0, 8.8084), (FINNER, 2.0, 6.7094)],
)
def test_fins_over_mach(airframe, mach, slope):
    # Prandtl-Glauert inside the root below Mach 1; linear theory of a rectangular panel above
    assert force(airframe, "fins[0]", mach)[0] == pytest.approx(slope, abs=6e-5)


def test_supersonic_centre_of_pressure_of_a_rectangular_panel():
    # linearised supersonic theory, closed form: 0.47189 of the chord at Mach 2, aspect ratio 2
    assert force(FINNER, "fins[0]", 2.0)[1] - 9.0 == pytest.approx(0.47189, abs=5e-6)


def test_a_rectangular_panel_at_high_speed_nears_ackerets_plate():
    # Ackeret 1925, closed form: 4/beta per unit of plan area, less the tips
    wide = Airframe(2.0, 0.05, Nose("cone", 0.3), 60.0, (), (FinSet(4, 0.05, 0.05, 1.0, 0.0, 0.002, "sharp", 1.9),))
    plate = 4.0 / math.sqrt(3.0**2 - 1.0) * 0.05 * 1.0 / wide.reference_area_m2
    interference = 1.0 + 0.025 / 1.025
    assert force(wide, "fins[0]", 3.0)[0] == pytest.approx(2.0 * plate * interference, rel=0.01)


@pytest.mark.parametrize(("airframe", "cg_m", "printed"), [(SLIM, 0.330, -962.554), (FINNER, 6.1, -246.24)])
def test_pitch_damping_derivative(airframe, cg_m, printed):
    tables = aerodynamics(airframe, AIR)
    about = tables.cn_alpha_x2_m2[0] - 2.0 * cg_m * tables.cn_alpha_x_m[0] + cg_m**2 * tables.cn_alpha_per_rad[0]
    assert -2.0 * about / airframe.diameter_m**2 == pytest.approx(printed, rel=2e-5)


def test_damping_moment_at_60_metres_a_second():
    tables = aerodynamics(SLIM, AIR)
    about = tables.cn_alpha_x2_m2[0] - 0.66 * tables.cn_alpha_x_m[0] + 0.33**2 * tables.cn_alpha_per_rad[0]
    assert 0.5 * 1.225 * 60.0 * SLIM.reference_area_m2 * about == pytest.approx(0.0185634, abs=1e-6)


def test_roll():
    # chord moment integral: closed form, and quadrature of the same integral here
    fins, radius = SLIM.fins[0], 0.017
    y = np.linspace(0.0, fins.span_m, 20_001)
    chord = fins.root_chord_m + (fins.tip_chord_m - fins.root_chord_m) * y / fins.span_m
    assert chord_moment_m4(fins, radius) == pytest.approx(3.362456e-06, abs=5e-13)
    assert chord_moment_m4(fins, radius) == pytest.approx(np.trapezoid(chord * (y + radius) ** 2, y), rel=1e-8)
    # steady roll rate for 1 degree of cant at 60 m/s, forcing against damping
    tables = aerodynamics(SLIM, AIR)
    ratio = tables.roll_forcing_m3_per_rad[0] / tables.roll_damping_m4[0]
    assert ratio * math.radians(1.0) * 60.0 == pytest.approx(24.9812, abs=1e-4)


def test_body_lift():
    # cross-flow form after Galejs, K = 1.1: side area 0.0175 m², d 34 mm, 10 degrees: CN 0.63933, worked by hand
    side, centroid = side_area(SLIM)
    tables = aerodynamics(SLIM, AIR)
    found = tables.body_lift_area_m2 / SLIM.reference_area_m2 * math.sin(math.radians(10.0)) ** 2
    assert found * 0.0175 / side == pytest.approx(0.63933, abs=5e-6)
    assert tables.body_lift_from_nose_m == centroid
    # side area of the ogive from the circular segment, closed form, plus the tube
    arc = (0.017**2 + 0.102**2) / 0.034
    segment = arc**2 * math.asin(0.102 / arc) - 0.102 * (arc - 0.017)
    assert side == pytest.approx(segment + 0.034 * (0.56 - 0.102), rel=1e-5)


@pytest.mark.parametrize("row", printed_table("nose_centres.csv"), ids=lambda row: f"{row['shape']} {row['parameter']}")
def test_nose_centres_of_pressure(row):
    length = float(row["length_over_diameter"])
    parameter = float(row["parameter"]) if row["parameter"] else None
    airframe = Airframe(length * 2.0, 1.0, Nose(row["shape"], length, parameter))
    assert force(airframe, "nose")[1] / length == pytest.approx(float(row["share"]), abs=1e-5)


def test_ogive_volume_and_surface():
    # closed forms of a circular arc turned about the axis
    nose = parts_of(SLIM)[0]
    length, radius = 0.102, 0.017
    arc = (radius**2 + length**2) / (2.0 * radius)
    angle = math.asin(length / arc)
    volume = math.pi * (arc**2 * length - length**3 / 3.0 - (arc - radius) * arc**2 * angle)
    assert volume_m3(nose) == pytest.approx(volume, rel=2e-5)
    assert wetted_area_m2(nose) == pytest.approx(2.0 * math.pi * arc * (length - (arc - radius) * angle), rel=2e-5)
    assert wetted_area_m2(nose) == pytest.approx(0.0073836, abs=5e-8)
