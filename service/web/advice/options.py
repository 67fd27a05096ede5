"""What may be chosen on the pages of advice, as the address carries it: one reading for page and API."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any, Literal

from service.planning.day_plan.pace import FLIGHT_MIN, GAP_MIN, REST_MIN, STRONGER_MPS
from service.planning.errors import Fault
from service.web.errors import Misfit

TARGETS: tuple[str, ...] = ("pad", "open", "place")
POSITION = {"lon": 180.0, "lat": 90.0}

TARGET_QUERY: dict[str, dict[str, Any]] = {
    "to": {"type": "string", "enum": list(TARGETS), "default": "pad"},
    "lon": {"type": "number", "minimum": -180.0, "maximum": 180.0},
    "lat": {"type": "number", "minimum": -90.0, "maximum": 90.0},
}
PACE_QUERY: dict[str, dict[str, Any]] = {
    name: {"type": "number", "minimum": figure.least, "maximum": figure.most, "default": figure.usual}
    for name, figure in (
        ("flight_min", FLIGHT_MIN), ("gap_min", GAP_MIN), ("rest_min", REST_MIN), ("stronger_mps", STRONGER_MPS),
    )
}  # fmt: skip
AIM_QUERY: dict[str, dict[str, Any]] = {
    "effect": {"type": "string", "maxLength": 60},
    "altitude_m": {"type": "number", "minimum": 1.0, "maximum": 50_000.0},
}
ADAPTERS: tuple[str, ...] = ("yes", "no")
RELOADS: tuple[str, ...] = ("by_experience", "yes", "no")
OFFER_QUERY: dict[str, dict[str, Any]] = {
    "adapters": {"type": "string", "enum": list(ADAPTERS), "default": "yes"},
    "reloads": {"type": "string", "enum": list(RELOADS), "default": "by_experience"},
}


@dataclass(frozen=True)
class Offered:
    """Which motors may be used: thinner than the mount, in an adapter; reloads, or those by the flyer's experience."""

    adapters: bool = True
    reloads: bool | None = None

    @property
    def query(self) -> dict[str, str]:
        """As the address carries it; what is usual is left out."""
        said = {} if self.adapters else {"adapters": "no"}
        return said if self.reloads is None else {**said, "reloads": "yes" if self.reloads else "no"}


USUAL = Offered()


@dataclass(frozen=True)
class Target:
    """Where the landings should be: the entry's own pad, the middle of the open ground, or a place."""

    kind: Literal["pad", "open", "place"] = "pad"
    position: tuple[float, float] | None = None

    @property
    def words(self) -> str:
        return f"the place at {self.position[1]:.5f}° N, {self.position[0]:.5f}° E" if self.position else ""

    @property
    def query(self) -> dict[str, str]:
        """As the address carries it; nothing for the pad."""
        if self.position is not None:
            return {"to": "place", "lon": f"{self.position[0]:.6f}", "lat": f"{self.position[1]:.6f}"}
        return {} if self.kind == "pad" else {"to": self.kind}


@dataclass(frozen=True)
class Pace:
    """How fast a day goes. [min, and m/s of more wind to look at]"""

    flight_min: float = FLIGHT_MIN.usual
    gap_min: float = GAP_MIN.usual
    rest_min: float = REST_MIN.usual
    stronger_mps: float = STRONGER_MPS.usual

    @property
    def query(self) -> dict[str, str]:
        """As the address carries it; what is usual is left out."""
        return {
            each.name: f"{getattr(self, each.name):g}"
            for each in fields(self)
            if getattr(self, each.name) != each.default
        }


def read_target(sent: Mapping[str, str]) -> Target:
    """The target in an address or form.

    Raises
    ------
    Misfit
        If it is none.
    """
    kind = sent.get("to", "pad")
    if kind not in TARGETS:
        raise _misfit("to", kind, "pad, open or place")
    if kind != "place":
        return Target(kind)  # type: ignore[arg-type]
    lon, lat = (number(sent, name, -most, most, "degrees") for name, most in POSITION.items())
    if lon is None or lat is None:
        raise _misfit("lon" if lon is None else "lat", "", "degrees of longitude and latitude")
    return Target("place", (round(lon, 6), round(lat, 6)))


def read_offered(sent: Mapping[str, str]) -> Offered:
    """Which motors may be used, in an address or form; what is not said is as usual.

    Raises
    ------
    Misfit
        If it is none of the words.
    """
    adapters, reloads = sent.get("adapters") or "yes", sent.get("reloads") or "by_experience"
    if adapters not in ADAPTERS:
        raise _misfit("adapters", adapters, "yes or no")
    if reloads not in RELOADS:
        raise _misfit("reloads", reloads, "by_experience, yes or no")
    return Offered(adapters == "yes", None if reloads == "by_experience" else reloads == "yes")


def read_pace(sent: Mapping[str, str]) -> Pace:
    """The pace in an address or form; what is not said is as usual.

    Raises
    ------
    Misfit
        If a figure is none, or out of range.
    """
    given = {}
    for name, told in PACE_QUERY.items():
        found = number(sent, name, told["minimum"], told["maximum"], "m/s" if name.endswith("mps") else "min")
        given[name] = told["default"] if found is None else found
    return Pace(**given)


def number(sent: Mapping[str, str], name: str, least: float, most: float, unit: str) -> float | None:
    """A number; None where it is left out or empty.

    Raises
    ------
    Misfit
        If it is no number, or out of range.
    """
    text = sent.get(name, "").strip()
    if not text:
        return None
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not least <= value <= most:  # NaN lands here too
        raise _misfit(name, text, f"a number from {least:g} to {most:g} {unit}")
    return value


def _misfit(name: str, found: str, expected: str) -> Misfit:
    shown = f'"{found[:60]}"' if found else "nothing"
    return Misfit(f"{name}: found {shown}; expected {expected}.", [Fault(f"/{name}", shown, expected)])
