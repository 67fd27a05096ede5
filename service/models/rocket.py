"""A rocket without its motor: airframe or bare sizes, mass, balance, motor mount, known aerodynamics."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from typing import Annotated, Any

from pydantic import Discriminator, StrictBool, Tag
from pydantic import Field as Described

from service.models.airframe import DIAMETER_LIMIT_M, JOIN_TOLERANCE_M, LENGTH_LIMIT_M, Airframe
from service.models.base import Model, Problem
from service.models.types import Bounded, Name

GYRATION_SHARE = (0.05, 0.5)  # radius of gyration over length: all mass at one spot, all mass at the ends

DragCoefficient = Annotated[float, Bounded(0.01, 10.0)]
MachDrag = tuple[Annotated[float, Bounded(0.0, 10.0, "Mach")], DragCoefficient]
_MachTable = Annotated[tuple[MachDrag, ...], Described(min_length=2, max_length=500)]


def _number_or_table(value: Any) -> str:
    return "table" if isinstance(value, list | tuple) else "number"


KnownDrag = Annotated[
    Annotated[DragCoefficient, Tag("number")] | Annotated[_MachTable, Tag("table")], Discriminator(_number_or_table)
]


class Known(Model):
    """Aerodynamics that are known, from a flight or a wind tunnel; each overrides what would be computed."""

    drag_coefficient: KnownDrag | None = None
    """On the area of the largest diameter: a number, or pairs of Mach number and coefficient. [-]"""
    cp_from_nose_m: Annotated[float, Bounded(0.0, LENGTH_LIMIT_M, "m")] | None = None
    """Centre of pressure at low speed and small incidence. [m from the nose tip]"""
    cn_alpha_per_rad: Annotated[float, Bounded(0.5, 100.0, "per radian")] | None = None
    """Slope of the normal-force coefficient. [per radian]"""

    def problems(self) -> Iterable[Problem]:
        if isinstance(self.drag_coefficient, tuple):
            for index, (before, after) in enumerate(pairwise(self.drag_coefficient), start=1):
                if after[0] <= before[0]:
                    yield Problem(
                        ("drag_coefficient", index, 0), f"Mach {after[0]:g}", f"above the one before, {before[0]:g}"
                    )


class Mount(Model):
    """The tube that takes the motor, or each of a cluster's."""

    diameter_m: Annotated[float, Bounded(0.005, 0.5, "m")]
    """Inner diameter. [m]"""
    length_m: Annotated[float, Bounded(0.01, 5.0, "m")]
    """Longest motor it takes; the tube's own length where it is open ended. [m]"""
    open_ended: StrictBool = False
    """Whether a longer motor may reach forward out of it."""


class Rocket(Model):
    """A rocket without its motor."""

    name: Name
    """Its name."""
    airframe: Airframe | None = None
    """The outside; null where only length and diameter are known."""
    length_m: Annotated[float, Bounded(0.02, LENGTH_LIMIT_M, "m")] | None = None
    """Overall length, where there is no airframe; null otherwise. [m]"""
    diameter_m: Annotated[float, Bounded(0.003, DIAMETER_LIMIT_M, "m")] | None = None
    """Largest diameter, where there is no airframe; null otherwise. [m]"""
    mass_kg: Annotated[float, Bounded(0.001, 1000.0, "kg")]
    """Mass without the motor, recovery included. [kg]"""
    cg_from_nose_m: Annotated[float, Bounded(0.0, LENGTH_LIMIT_M, "m", above=True)] | None = None
    """Balance point without the motor; needed with an airframe. [m from the nose tip]"""
    pitch_inertia_kgm2: Annotated[float, Bounded(0.0, 10_000.0, "kg m2", above=True)] | None = None
    """Moment of inertia across the axis about the balance point, without the motor; null to estimate it. [kg m2]"""
    mount: Mount
    """The motor mount."""
    known: Known = Known()
    """Known aerodynamics."""

    @property
    def overall_length_m(self) -> float:
        """Length of the airframe, or the bare figure. [m]"""
        length_m = self.airframe.length_m if self.airframe else self.length_m
        assert length_m is not None  # refused on reading
        return length_m

    @property
    def overall_diameter_m(self) -> float:
        """Largest diameter of the airframe, or the bare figure. [m]"""
        diameter_m = self.airframe.diameter_m if self.airframe else self.diameter_m
        assert diameter_m is not None  # refused on reading
        return diameter_m

    def problems(self) -> Iterable[Problem]:
        if self.airframe is None:
            bare = [name for name in ("length_m", "diameter_m") if getattr(self, name) is None]
            yield from (Problem((name,), "neither an airframe nor this figure", "one of the two") for name in bare)
            if bare:
                return
            if self.overall_length_m < self.overall_diameter_m:
                yield Problem(("length_m",), f"{self.length_m:g} m", f"at least the diameter, {self.diameter_m:g} m")
        else:
            for name in ("length_m", "diameter_m"):
                stated, drawn = getattr(self, name), getattr(self.airframe, name)
                if stated is not None and abs(stated - drawn) > JOIN_TOLERANCE_M:
                    yield Problem((name,), f"{stated:g} m", f"null, or the airframe's {drawn:g} m")
            if self.cg_from_nose_m is None:
                yield Problem(
                    ("cg_from_nose_m",), "nothing beside an airframe", "the balance point without the motor, in m"
                )
        yield from self._inside_problems()
        yield from self._inertia_problems()

    def _inside_problems(self) -> Iterable[Problem]:
        length_m, diameter_m = self.overall_length_m, self.overall_diameter_m
        if self.cg_from_nose_m is not None and self.cg_from_nose_m >= length_m:
            yield Problem(
                ("cg_from_nose_m",), f"{self.cg_from_nose_m:g} m", f"inside the rocket, less than {length_m:g} m"
            )
        cp_m = self.known.cp_from_nose_m
        if cp_m is not None and cp_m > length_m:
            yield Problem(("known", "cp_from_nose_m"), f"{cp_m:g} m", f"on the rocket, at most {length_m:g} m")
        if self.mount.diameter_m > diameter_m + JOIN_TOLERANCE_M:
            yield Problem(
                ("mount", "diameter_m"),
                f"{self.mount.diameter_m:g} m",
                f"at most the rocket's diameter, {diameter_m:g} m",
            )
        if self.mount.length_m > length_m:
            yield Problem(
                ("mount", "length_m"), f"{self.mount.length_m:g} m", f"at most the rocket's length, {length_m:g} m"
            )

    def _inertia_problems(self) -> Iterable[Problem]:
        if self.pitch_inertia_kgm2 is None:
            return
        low, high = (self.mass_kg * (share * self.overall_length_m) ** 2 for share in GYRATION_SHARE)
        if not low <= self.pitch_inertia_kgm2 <= high:
            yield Problem(
                ("pitch_inertia_kgm2",),
                f"{self.pitch_inertia_kgm2:g} kg m2",
                f"from {low:.3g} to {high:.3g} kg m2 for {self.mass_kg:g} kg over {self.overall_length_m:g} m",
            )
