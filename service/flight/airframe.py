"""The shape of a rocket as plain values, checked once. Stations run aft from the nose tip; lengths in metres."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from .checks import not_negative, positive, within
from .errors import OutsideModel

NOSE_SHAPES = ("cone", "ogive", "ellipsoid", "parabolic", "power", "haack")
# what `Nose.parameter` means, its range, and what stands in when it is left out
NOSE_PARAMETERS = {
    "parabolic": (0.0, 1.0, 1.0),  # K': 0 a cone, 1 tangent to the body
    "power": (0.1, 1.0, 0.5),  # exponent n
    "haack": (0.0, 2.0 / 3.0, 0.0),  # C: 0 von Karman (least drag for length and diameter), 1/3 for length and volume
}
FIN_EDGES = ("square", "rounded", "airfoil", "sharp")
LUG_KINDS = ("lug", "button")
JOIN_SLACK_M = 6e-4  # what a caliper over paint, and rounding in a drawing, may do


@dataclass(frozen=True)
class Nose:
    """Nose cone: one of `NOSE_SHAPES`, its length, and the parameter of the shapes that have one."""

    shape: str
    length_m: float
    parameter: float | None = None


@dataclass(frozen=True)
class Transition:
    """A conical change of diameter: a shoulder where it widens, a boattail where it narrows."""

    from_nose_m: float
    length_m: float
    fore_diameter_m: float
    aft_diameter_m: float


@dataclass(frozen=True)
class FinSet:
    """Equal, evenly spaced trapezoidal fins. `span_m` is from the body to the tip; `sweep_m` how far the
    tip's leading edge lies aft of the root's."""

    count: int
    root_chord_m: float
    tip_chord_m: float
    span_m: float
    sweep_m: float
    thickness_m: float
    edge: str
    leading_edge_from_nose_m: float


@dataclass(frozen=True)
class Lugs:
    """Launch lugs (tubes: outer diameter, length) or rail buttons (diameter, height in `length_m`)."""

    kind: str
    count: int
    diameter_m: float
    length_m: float


@dataclass(frozen=True)
class Airframe:
    """A whole rocket's outside. `diameter_m` is its greatest body diameter and the reference of all coefficients.

    `finish_um` is the equivalent sand roughness: polished 0.5, smooth paint 5 to 20, ordinary paint
    30 to 60, bare or rough 100 to 250 (handbook ranges, from memory, not re-read).
    """

    length_m: float
    diameter_m: float
    nose: Nose
    finish_um: float = 60.0
    transitions: tuple[Transition, ...] = field(default=())
    fins: tuple[FinSet, ...] = field(default=())
    lugs: tuple[Lugs, ...] = field(default=())

    def __post_init__(self) -> None:
        positive("length_m", self.length_m, "m")
        positive("diameter_m", self.diameter_m, "m")
        within("finish_um", self.finish_um, 0.0, 2000.0, "um")
        _check_nose(self.nose, self.length_m)
        _check_body(self)
        for i, fins in enumerate(self.fins):
            _check_fins(f"fins[{i}]", fins, self.length_m)
        for i, lugs in enumerate(self.lugs):
            _check_lugs(f"lugs[{i}]", lugs)

    @property
    def reference_area_m2(self) -> float:
        """pi d² / 4. [m²]"""
        return math.pi * self.diameter_m**2 / 4.0

    @property
    def nose_base_diameter_m(self) -> float:
        """Body diameter where the nose ends. [m]"""
        return self.transitions[0].fore_diameter_m if self.transitions else self.diameter_m

    @property
    def base_diameter_m(self) -> float:
        """Body diameter at the tail. [m]"""
        return self.transitions[-1].aft_diameter_m if self.transitions else self.diameter_m


def nose_parameter(nose: Nose) -> float:
    """The shape's parameter, or what stands in for it; 0 for the shapes that have none. [-]"""
    if nose.shape not in NOSE_PARAMETERS:
        return 0.0
    return NOSE_PARAMETERS[nose.shape][2] if nose.parameter is None else nose.parameter


def _check_nose(nose: Nose, length_m: float) -> None:
    if nose.shape not in NOSE_SHAPES:
        raise OutsideModel(f"nose.shape is '{nose.shape}'; one of {', '.join(NOSE_SHAPES)} is wanted")
    positive("nose.length_m", nose.length_m, "m")
    if nose.length_m > length_m:
        raise OutsideModel(f"nose.length_m is {nose.length_m:g} m, longer than the airframe, {length_m:g} m")
    if nose.shape in NOSE_PARAMETERS:
        low, high, _ = NOSE_PARAMETERS[nose.shape]
        within("nose.parameter", nose_parameter(nose), low, high, f"for {nose.shape}")


def _check_body(airframe: Airframe) -> None:
    at, diameter = airframe.nose.length_m, airframe.nose_base_diameter_m
    widest = diameter
    slack = JOIN_SLACK_M
    for i, part in enumerate(airframe.transitions):
        name = f"transitions[{i}]"
        positive(f"{name}.length_m", part.length_m, "m")
        positive(f"{name}.fore_diameter_m", part.fore_diameter_m, "m")
        positive(f"{name}.aft_diameter_m", part.aft_diameter_m, "m")
        end = part.from_nose_m + part.length_m
        if not (part.from_nose_m >= at - slack and end <= airframe.length_m + slack):
            raise OutsideModel(
                f"{name} runs from {part.from_nose_m:g} to {end:g} m; it needs to start after {at:g} m, where the "
                f"part before it ends, and end by {airframe.length_m:g} m"
            )
        if abs(part.fore_diameter_m - diameter) > slack:
            raise OutsideModel(
                f"{name}.fore_diameter_m is {part.fore_diameter_m:g} m where the body before it has {diameter:g} m"
            )
        at, diameter = end, part.aft_diameter_m
        widest = max(widest, diameter)
    if abs(widest - airframe.diameter_m) > slack:
        raise OutsideModel(
            f"diameter_m is {airframe.diameter_m:g} m but the widest part of the body is {widest:g} m; "
            "they need to agree"
        )


def _check_fins(name: str, fins: FinSet, length_m: float) -> None:
    if not 3 <= fins.count <= 24:
        raise OutsideModel(f"{name}.count is {fins.count}; 3 to 24 is wanted (one or two fins do not stabilise)")
    for key in ("root_chord_m", "span_m", "thickness_m"):
        positive(f"{name}.{key}", getattr(fins, key), "m")
    not_negative(f"{name}.tip_chord_m", fins.tip_chord_m, "m")
    not_negative(f"{name}.leading_edge_from_nose_m", fins.leading_edge_from_nose_m, "m")
    if not math.isfinite(fins.sweep_m):
        raise OutsideModel(f"{name}.sweep_m is {fins.sweep_m:g} m; it needs to be finite")
    if fins.edge not in FIN_EDGES:
        raise OutsideModel(f"{name}.edge is '{fins.edge}'; one of {', '.join(FIN_EDGES)} is wanted")
    end = fins.leading_edge_from_nose_m + fins.root_chord_m
    if end > length_m + JOIN_SLACK_M:
        raise OutsideModel(f"{name} ends {end:g} m from the nose tip, aft of the airframe's end at {length_m:g} m")


def _check_lugs(name: str, lugs: Lugs) -> None:
    if lugs.kind not in LUG_KINDS:
        raise OutsideModel(f"{name}.kind is '{lugs.kind}'; one of {', '.join(LUG_KINDS)} is wanted")
    if not 0 <= lugs.count <= 20:
        raise OutsideModel(f"{name}.count is {lugs.count}; 0 to 20 is wanted")
    positive(f"{name}.diameter_m", lugs.diameter_m, "m")
    positive(f"{name}.length_m", lugs.length_m, "m")
