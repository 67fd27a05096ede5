"""How a rocket comes down: recovery devices and what sets them off."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Literal

from pydantic import Field as Described

from service.models.base import Model, Problem
from service.models.types import Bounded, Name

RecoveryKind = Literal["parachute", "streamer", "helicopter", "glide", "tumble", "none"]

# Common practice, from memory, not re-read: a flat sheet canopy on its constructed area (Knacke, NWC TP 6575,
# gives 0.75 to 0.80); a streamer on the area of one side; a rotor on its disc; a body tumbling, on its side area.
DEFAULT_DRAG_COEFFICIENT = {"parachute": 0.75, "streamer": 0.2, "helicopter": 1.0, "tumble": 0.7}

_SIZES: dict[str, tuple[str, ...]] = {
    "parachute": ("diameter_m",),
    "streamer": ("length_m", "width_m"),
    "helicopter": ("diameter_m",),
    "glide": (),
    "tumble": (),
    "none": (),
}
_ALL_SIZES = ("diameter_m", "length_m", "width_m")


class AtMotorDelay(Model):
    """Set off by the motor's ejection charge."""

    at: Literal["motor_delay"]
    """The word motor_delay."""


class AtApogee(Model):
    """Set off by electronics at the top of the flight."""

    at: Literal["apogee"]
    """The word apogee."""
    delay_s: Annotated[float, Bounded(0.0, 60.0, "s")] = 0.0
    """Time after apogee. [s]"""


class AtAltitude(Model):
    """Set off by electronics on the way down."""

    at: Literal["altitude"]
    """The word altitude."""
    altitude_m: Annotated[float, Bounded(10.0, 20_000.0, "m above the field")]
    """Height above the field. [m]"""


Deploy = Annotated[AtMotorDelay | AtApogee | AtAltitude, Described(discriminator="at")]


class Recovery(Model):
    """One recovery device."""

    name: Name
    """What the flyer calls it, such as drogue or main."""
    kind: RecoveryKind
    """What it is; none says that nothing slows the fall."""
    diameter_m: Annotated[float, Bounded(0.02, 30.0, "m")] | None = None
    """Flat diameter of a parachute, or rotor diameter of a helicopter. [m]"""
    length_m: Annotated[float, Bounded(0.02, 50.0, "m")] | None = None
    """Length of a streamer. [m]"""
    width_m: Annotated[float, Bounded(0.005, 5.0, "m")] | None = None
    """Width of a streamer. [m]"""
    drag_coefficient: Annotated[float, Bounded(0.01, 5.0)] | None = None
    """On the flat area of a parachute, one side of a streamer, a rotor's disc, a tumbling body's side;
    null for the usual figure of its kind. [-]"""
    descent_speed_mps: Annotated[float, Bounded(0.3, 150.0, "m/s")] | None = None
    """Steady descent speed at the field with this rocket under it, stated instead of a size. [m/s]"""
    glide_ratio: Annotated[float, Bounded(0.1, 60.0)] | None = None
    """Distance flown per height lost, for a glide. [-]"""
    deploy: Deploy | None = None
    """What sets it off; null only for kind none."""

    @property
    def effective_drag_coefficient(self) -> float | None:
        """The stated coefficient, or the usual one of its kind; None where it has none. [-]"""
        return DEFAULT_DRAG_COEFFICIENT.get(self.kind) if self.drag_coefficient is None else self.drag_coefficient

    def problems(self) -> Iterable[Problem]:
        yield from self._deploy_problems()
        wanted = _SIZES[self.kind]
        sizes = {name: getattr(self, name) for name in _ALL_SIZES}
        for name in _ALL_SIZES:
            if sizes[name] is not None and name not in wanted:
                yield Problem((name,), f"{sizes[name]:g} m for kind {self.kind}", "null, or the kind it belongs to")
        if (self.glide_ratio is not None) != (self.kind == "glide"):
            expected = "a ratio for a glide" if self.kind == "glide" else f"null for kind {self.kind}"
            yield Problem(
                ("glide_ratio",), "nothing" if self.glide_ratio is None else f"{self.glide_ratio:g}", expected
            )
        if self.kind in ("glide", "none") and self.drag_coefficient is not None:
            yield Problem(("drag_coefficient",), f"{self.drag_coefficient:g} for kind {self.kind}", "null")
        yield from self._speed_problems(wanted, sizes)

    def _deploy_problems(self) -> Iterable[Problem]:
        if self.kind == "none":
            if self.deploy is not None:
                yield Problem(("deploy",), f"deploy at {self.deploy.at} for kind none", "null")
        elif self.deploy is None:
            yield Problem(("deploy",), "nothing", "what sets it off: motor_delay, apogee or altitude")

    def _speed_problems(self, wanted: tuple[str, ...], sizes: dict[str, float | None]) -> Iterable[Problem]:
        speed_mps = self.descent_speed_mps
        if self.kind == "none":
            if speed_mps is not None:
                yield Problem(("descent_speed_mps",), f"{speed_mps:g} m/s for kind none", "null")
            return
        given = [name for name in wanted if sizes[name] is not None]
        if speed_mps is None:
            if self.kind == "glide":
                yield Problem(("descent_speed_mps",), "nothing", "the sinking speed of the glide, in m/s")
            for name in wanted:
                if name not in given:
                    yield Problem((name,), "neither this size nor a descent speed", "one of the two")
        elif given:
            yield Problem(
                ("descent_speed_mps",), f"{speed_mps:g} m/s beside a size", "a size or a descent speed, not both"
            )
        elif self.drag_coefficient is not None and self.kind != "glide":
            yield Problem(
                ("drag_coefficient",),
                f"{self.drag_coefficient:g} beside a descent speed",
                "null: the speed says it all",
            )


def sequence_problems(devices: tuple[Recovery, ...]) -> Iterable[Problem]:
    """What is impossible about the order of recovery devices, which is the order of their events."""
    seen: dict[str, int] = {}
    altitude_m: float | None = None
    apogee_delay_s: float | None = None
    for index, device in enumerate(devices):
        if device.name in seen:
            yield Problem(
                (index, "name"), f'"{device.name}" again, as in device {seen[device.name]}', "a name of its own"
            )
        seen.setdefault(device.name, index)
        if device.kind == "none" and len(devices) > 1:
            yield Problem((index, "kind"), "kind none beside other devices", "none alone, or devices alone")
        deploy = device.deploy
        if isinstance(deploy, AtAltitude):
            if altitude_m is not None and deploy.altitude_m >= altitude_m:
                yield Problem(
                    (index, "deploy", "altitude_m"),
                    f"{deploy.altitude_m:g} m",
                    f"below the device before it, {altitude_m:g} m",
                )
            altitude_m = deploy.altitude_m
        elif deploy is not None and altitude_m is not None:
            yield Problem(
                (index, "deploy", "at"),
                f"{deploy.at} after a device that waits for an altitude",
                "devices in order of their events",
            )
        if isinstance(deploy, AtApogee):
            if apogee_delay_s is not None and deploy.delay_s <= apogee_delay_s:
                yield Problem(
                    (index, "deploy", "delay_s"),
                    f"{deploy.delay_s:g} s",
                    f"later than the device before it, {apogee_delay_s:g} s",
                )
            apogee_delay_s = deploy.delay_s
