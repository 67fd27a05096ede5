"""The outside of a rocket: nose, tubes and transitions, fins. Stations are counted from the nose tip."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Literal

from pydantic import Field as Described

from service.models.base import Model, Problem
from service.models.types import Bounded

JOIN_TOLERANCE_M = 0.0005  # half a millimetre: diameters are measured with a caliper over paint
LENGTH_LIMIT_M = 20.0
DIAMETER_LIMIT_M = 1.0
CHORD_LIMIT = 4.0  # a tip chord longer than this many roots is a slip of the decimal point
SPAN_LIMIT = 10.0  # and so is a span of more than this many body diameters

Station = Annotated[float, Bounded(0.0, LENGTH_LIMIT_M, "m")]
Length = Annotated[float, Bounded(0.001, LENGTH_LIMIT_M, "m")]
Diameter = Annotated[float, Bounded(0.003, DIAMETER_LIMIT_M, "m")]

NoseShape = Literal["cone", "ogive", "ellipsoid", "parabolic", "power", "haack"]
_PARAMETER_SPAN = {"parabolic": (0.0, 1.0), "power": (0.25, 1.0), "haack": (0.0, 2.0 / 3.0)}
_PARAMETER_DEFAULT = {"parabolic": 1.0, "power": 0.5, "haack": 0.0}


class Nose(Model):
    """The nose. Its base is as wide as what follows it."""

    shape: NoseShape
    """The curve of its side; haack with parameter 0 is the von Karman shape."""
    length_m: Length
    """From tip to base. [m]"""
    parameter: Annotated[float, Bounded(0.0, 1.0)] | None = None
    """The number of the parabolic (K', 0 to 1), power (exponent) or Haack (C) series; null for 1, 0.5 and 0. [-]"""

    @property
    def series_parameter(self) -> float:
        """The series' number, its default filled in; 0 for shapes that need none. [-]"""
        return _PARAMETER_DEFAULT.get(self.shape, 0.0) if self.parameter is None else self.parameter

    def problems(self) -> Iterable[Problem]:
        if self.parameter is None:
            return
        if self.shape not in _PARAMETER_SPAN:
            yield Problem(("parameter",), f"{self.parameter:g} for a nose of shape {self.shape}", "null")
            return
        low, high = _PARAMETER_SPAN[self.shape]
        if not low <= self.parameter <= high:
            yield Problem(
                ("parameter",), f"{self.parameter:g}", f"a number from {low:g} to {high:.3g} for {self.shape}"
            )


class Transition(Model):
    """A conical change of diameter: a shoulder or a boat tail."""

    from_nose_m: Station
    """Station of its front. [m from the nose tip]"""
    length_m: Length
    """Its length. [m]"""
    fore_diameter_m: Diameter
    """Diameter at its front. [m]"""
    aft_diameter_m: Diameter
    """Diameter at its back. [m]"""


class Fins(Model):
    """One set of equal trapezoidal fins, evenly spaced."""

    count: Annotated[int, Bounded(3, 8, "fins")]
    """How many. [count]"""
    root_chord_m: Length
    """Length along the body. [m]"""
    tip_chord_m: Annotated[float, Bounded(0.0, LENGTH_LIMIT_M, "m")]
    """Length of the outer edge; 0 for a pointed fin. [m]"""
    span_m: Length
    """How far one fin stands out from the body. [m]"""
    sweep_m: Annotated[float, Bounded(-LENGTH_LIMIT_M, LENGTH_LIMIT_M, "m")]
    """How far the tip's leading edge lies aft of the root's. [m]"""
    thickness_m: Annotated[float, Bounded(0.0001, 0.1, "m")]
    """Thickness. [m]"""
    edge: Literal["square", "rounded", "airfoil"]
    """Shape of the edges."""
    leading_edge_from_nose_m: Station
    """Station where the root begins. [m from the nose tip]"""
    cant_deg: Annotated[float, Bounded(-15.0, 15.0, "degrees")] = 0.0
    """Angle set to make the rocket spin. [degrees]"""

    def problems(self) -> Iterable[Problem]:
        if self.tip_chord_m > CHORD_LIMIT * self.root_chord_m:
            yield Problem(
                ("tip_chord_m",),
                f"{self.tip_chord_m:g} m",
                f"at most {CHORD_LIMIT:g} times the root chord, {self.root_chord_m:g} m",
            )
        if self.thickness_m >= self.root_chord_m:
            yield Problem(
                ("thickness_m",), f"{self.thickness_m:g} m", f"less than the root chord, {self.root_chord_m:g} m"
            )


class Airframe(Model):
    """The outside of a rocket."""

    length_m: Annotated[float, Bounded(0.02, LENGTH_LIMIT_M, "m")]
    """From nose tip to the aft end of the body. [m]"""
    diameter_m: Diameter
    """The largest diameter of the body; coefficients and calibers refer to it. [m]"""
    finish_um: Annotated[float, Bounded(0.0, 2000.0, "micrometres")] = 60.0
    """Roughness of the surface; 60 is a plain spray finish. [micrometres]"""
    nose: Nose
    """The nose."""
    transitions: Annotated[tuple[Transition, ...], Described(max_length=20)] = ()
    """Changes of diameter, front to back. Tubes between them are as wide as their neighbours."""
    fins: Annotated[tuple[Fins, ...], Described(max_length=6)] = ()
    """Sets of fins."""
    lugs_from_nose_m: Annotated[tuple[Station, ...], Described(min_length=1, max_length=4)] | None = None
    """Stations of the launch lugs or rail guides, front to back; left out, one is taken at the loaded CG. [m]"""

    @property
    def nose_diameter_m(self) -> float:
        """Diameter of the nose's base. [m]"""
        return self.transitions[0].fore_diameter_m if self.transitions else self.diameter_m

    @property
    def aft_diameter_m(self) -> float:
        """Diameter of the body's aft end. [m]"""
        return self.transitions[-1].aft_diameter_m if self.transitions else self.diameter_m

    def diameter_at_m(self, from_nose_m: float) -> float:
        """Diameter of the tube at a station behind the nose; transitions count as straight cones. [m]"""
        diameter_m = self.nose_diameter_m
        for transition in self.transitions:
            past_m = from_nose_m - transition.from_nose_m
            if past_m <= 0.0:
                break
            share = min(past_m / transition.length_m, 1.0)
            change_m = transition.aft_diameter_m - transition.fore_diameter_m
            diameter_m = transition.fore_diameter_m + share * change_m
        return diameter_m

    def problems(self) -> Iterable[Problem]:
        if self.nose.length_m >= self.length_m:
            yield Problem(
                ("nose", "length_m"), f"{self.nose.length_m:g} m", f"less than the airframe's {self.length_m:g} m"
            )
        if self.length_m < self.diameter_m:
            yield Problem(("length_m",), f"{self.length_m:g} m", f"at least the diameter, {self.diameter_m:g} m")
        yield from self._transition_problems()
        yield from self._fin_problems()
        yield from self._lug_problems()

    def _transition_problems(self) -> Iterable[Problem]:
        end_m, end_of, diameter_m = self.nose.length_m, "the nose", None
        for index, part in enumerate(self.transitions):
            here = ("transitions", index)
            if part.from_nose_m < end_m - JOIN_TOLERANCE_M:
                yield Problem(
                    (*here, "from_nose_m"), f"{part.from_nose_m:g} m", f"at or behind the end of {end_of}, {end_m:g} m"
                )
            if diameter_m is not None and abs(part.fore_diameter_m - diameter_m) > JOIN_TOLERANCE_M:
                yield Problem(
                    (*here, "fore_diameter_m"),
                    f"{part.fore_diameter_m:g} m",
                    f"the {diameter_m:g} m that {end_of} ends with",
                )
            end_m, end_of, diameter_m = part.from_nose_m + part.length_m, f"transition {index}", part.aft_diameter_m
            if end_m > self.length_m + JOIN_TOLERANCE_M:
                yield Problem(
                    (*here, "length_m"), f"an end at {end_m:g} m", f"within the airframe's length, {self.length_m:g} m"
                )
        widths_m = [d for part in self.transitions for d in (part.fore_diameter_m, part.aft_diameter_m)]
        if widths_m and abs(max(widths_m) - self.diameter_m) > JOIN_TOLERANCE_M:
            yield Problem(
                ("diameter_m",),
                f"{self.diameter_m:g} m",
                f"the largest diameter of the transitions, {max(widths_m):g} m",
            )

    def _lug_problems(self) -> Iterable[Problem]:
        before_m = self.nose.length_m
        for index, station_m in enumerate(self.lugs_from_nose_m or ()):
            if not before_m <= station_m <= self.length_m + JOIN_TOLERANCE_M:
                what = "the nose" if index == 0 else f"lug {index - 1}"
                yield Problem(
                    ("lugs_from_nose_m", index),
                    f"{station_m:g} m",
                    f"behind {what}, from {before_m:g} m, and on the airframe, by {self.length_m:g} m",
                )
            before_m = station_m

    def _fin_problems(self) -> Iterable[Problem]:
        for index, fins in enumerate(self.fins):
            here = ("fins", index)
            end_m = fins.leading_edge_from_nose_m + fins.root_chord_m
            if end_m > self.length_m + JOIN_TOLERANCE_M:
                yield Problem(
                    (*here, "leading_edge_from_nose_m"),
                    f"a root from {fins.leading_edge_from_nose_m:g} to {end_m:g} m",
                    f"a root that ends on the airframe, by {self.length_m:g} m",
                )
            if abs(fins.sweep_m) > self.length_m:
                yield Problem(
                    (*here, "sweep_m"), f"{fins.sweep_m:g} m", f"less than the airframe's length, {self.length_m:g} m"
                )
            if fins.span_m > SPAN_LIMIT * self.diameter_m:
                yield Problem(
                    (*here, "span_m"),
                    f"{fins.span_m:g} m",
                    f"at most {SPAN_LIMIT:g} body diameters, {SPAN_LIMIT * self.diameter_m:g} m",
                )
