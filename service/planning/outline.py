"""A rocket's outline with its balance point and centre of pressure, drawn while somebody still types."""

from __future__ import annotations

from reports.drawings.rocket_outline import Outline, rocket_outline
from service.flight.aerodynamics import normal_forces
from service.flight.airframe import Airframe as Shape
from service.flight.errors import FlightError
from service.flight.nose import nose_outline
from service.models.motor import Motor
from service.models.rocket import Rocket
from service.planning.flight_inputs import masses_of, shape_of
from service.planning.pictures import Size, Units, svg_text

SLOW_MACH = 0.3  # where centres of pressure are quoted
OUTLINE_WIDE: Size = (520.0, 170.0)
OUTLINE_NARROW: Size = (290.0, 130.0)
NOSE_STEP = 20  # of the 400 panels of a nose


def outline_of(rocket: Rocket, motor: Motor | None = None, motor_count: int = 1) -> Outline:
    """What the drawing shows. Without a motor the balance point is that of the rocket alone, which is not how it flies.

    Raises
    ------
    FlightError
        If the rocket has no airframe, or one that cannot be worked with; the text says why.
    """
    shape = shape_of(rocket)
    x_m, r_m = nose_outline(shape.nose, shape.nose_base_diameter_m)
    profile = [(float(x), float(r)) for x, r in zip(x_m, r_m)][::NOSE_STEP]
    for part in shape.transitions:
        profile += [
            (part.from_nose_m, part.fore_diameter_m / 2.0),
            (part.from_nose_m + part.length_m, part.aft_diameter_m / 2.0),
        ]
    profile.append((shape.length_m, shape.base_diameter_m / 2.0))
    cp_m, cg_m, box, why = None, None, None, ""
    try:
        cp_m = _centre_of_pressure_m(rocket, shape)
    except FlightError as error:
        why = str(error)
    if motor is None:
        why = why or "choose a motor"
    else:
        cg_m = float(masses_of(rocket, motor, motor_count).cg_from_nose_m[0])
        box = (shape.length_m - motor.length_m, shape.length_m, motor.diameter_m / 2.0)
    margin = None if cg_m is None or cp_m is None else round((cp_m - cg_m) / shape.diameter_m, 1)
    return Outline(tuple(profile), tuple(_fin(rocket, i) for i in range(len(shape.fins))), box, cg_m, cp_m, margin, why)


def outline_picture(outline: Outline, units: Units, size: Size = OUTLINE_WIDE, name: str = "outline") -> str:
    """The drawing as SVG."""
    return svg_text(rocket_outline(outline, units, *size, title="The rocket from the side"), name)


def _centre_of_pressure_m(rocket: Rocket, shape: Shape) -> float:
    if rocket.known.cp_from_nose_m is not None:
        return rocket.known.cp_from_nose_m
    parts = normal_forces(shape, [SLOW_MACH])
    slope = sum(float(part.slope_per_rad[0]) for part in parts)
    if slope <= 0.0:
        raise FlightError("the normal force of the whole airframe is not above zero")
    return sum(float(part.slope_per_rad[0] * part.station_m[0]) for part in parts) / slope


def _fin(rocket: Rocket, index: int) -> tuple[tuple[float, float], ...]:
    assert rocket.airframe is not None  # shape_of() refused it otherwise
    fins = rocket.airframe.fins[index]
    front_m, back_m = fins.leading_edge_from_nose_m, fins.leading_edge_from_nose_m + fins.root_chord_m
    at_front, at_back = (rocket.airframe.diameter_at_m(each) / 2.0 for each in (front_m, back_m))
    tip_m, out_m = front_m + fins.sweep_m, max(at_front, at_back) + fins.span_m
    return (front_m, at_front), (tip_m, out_m), (tip_m + fins.tip_chord_m, out_m), (back_m, at_back)
