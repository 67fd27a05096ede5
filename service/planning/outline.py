"""A rocket's outline with its balance point and centre of pressure, drawn while somebody still types."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from reports.drawings.rocket_outline import Outline, rocket_outline
from service.flight.aerodynamics import normal_forces
from service.flight.airframe import Airframe as Shape
from service.flight.errors import FlightError
from service.flight.nose import nose_outline
from service.models.airframe import Airframe
from service.models.motor import Motor
from service.models.rocket import Rocket
from service.planning.errors import DocumentRefused, Fault
from service.planning.flight_inputs import masses_of, shape_of
from service.planning.part import read_part
from service.planning.pictures import Size, Units, svg_text

SLOW_MACH = 0.3  # where centres of pressure are quoted
OUTLINE_WIDE: Size = (520.0, 170.0)
OUTLINE_NARROW: Size = (208.0, 125.0)
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


@dataclass(frozen=True)
class Drawn:
    """The drawing in two sizes, empty where there is too little to draw; `lacking` says what is missing or wrong."""

    wide: str = ""
    narrow: str = ""
    lacking: tuple[Fault, ...] = ()


ROCKET = ("entries", 0, "rocket")
AIRFRAME = (*ROCKET, "airframe")


def drawn_outline(rocket: Any, motor: Motor | None, motor_count: int, units: Units) -> Drawn:
    """Draw what there is of a rocket's document, while it is still being typed.

    With the airframe alone its shape and centre of pressure are drawn; mass and balance point and a motor add the
    centre of gravity.
    """
    lacking: tuple[Fault, ...] = ()
    try:
        read = read_part(Rocket, rocket, ROCKET)
        if read.airframe is None:
            return Drawn(lacking=(Fault("/airframe", "no geometry", "the nose's length and the fins, to draw it"),))
        outline = outline_of(read, motor, motor_count)
    except FlightError as error:
        return Drawn(lacking=(Fault("/airframe", "a shape that cannot be worked with", str(error)),))
    except DocumentRefused as refused:
        lacking = refused.faults
        try:
            outline = _shape_alone(read_part(Airframe, rocket.get("airframe"), AIRFRAME))
        except (DocumentRefused, FlightError):
            return Drawn(lacking=lacking)
    wide = outline_picture(outline, units, OUTLINE_WIDE, "outline-wide")
    return Drawn(wide, outline_picture(outline, units, OUTLINE_NARROW, "outline-narrow"), lacking)


def _shape_alone(frame: Airframe) -> Outline:
    """The outline of an airframe whose masses are not known yet."""
    mount = {"diameter_m": min(0.01, frame.diameter_m), "length_m": min(0.01, frame.length_m)}
    bare = {"name": "?", "mass_kg": 1.0, "cg_from_nose_m": 0.5 * frame.length_m, "mount": mount}
    outline = outline_of(Rocket.model_validate({**bare, "airframe": frame}))
    return replace(outline, cg_from_nose_m=None, margin_cal=None, why_unknown="mass and balance point are missing")


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
