"""How high a class may fly and stay inside: its motor's impulse is varied within the class, and every try is flown.

The rocket that lands farthest stands for its class. Its thrust curve is scaled, its propellant with it; everything else
stays. The search halves the span of impulse a few times; what it returns was flown and stayed inside.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import shapely

from service.models.day import LaunchDay
from service.models.designation import class_bounds_ns
from service.models.motor import Motor
from service.models.sizing import GreatestAltitude
from service.planning.sizing.fleet import FleetRocket
from service.planning.sizing.flights import Flown, fly
from service.planning.sizing.profiles import Profile
from service.planning.sizing.shares import WindCells, inside_per_sample

HALVINGS = 4
JUST_OVER = 1.02  # of the class's lower bound, which itself is the class below


def scaled_motor(motor: Motor, factor: float) -> Motor:
    """The motor with its thrust, and the propellant that makes it, times a factor; it burns as long."""
    more_kg = (factor - 1.0) * motor.propellant_mass_kg
    return motor.model_copy(
        update={
            "thrust_curve": tuple((time_s, factor * thrust_n) for time_s, thrust_n in motor.thrust_curve),
            "propellant_mass_kg": factor * motor.propellant_mass_kg,
            "loaded_mass_kg": motor.loaded_mass_kg + more_kg,
        }
    )


@dataclass
class AltitudeSearch:
    """One class's search in one wind. `profiles` is the wind's profile in each layer."""

    day: LaunchDay
    rocket: FleetRocket
    profiles: tuple[Profile, ...]
    winds: WindCells
    boundary: shapely.Geometry
    most_outside: float
    samples: int
    check: Callable[[], None]
    _flown: dict[float, tuple[Flown, ...]] = field(default_factory=dict)

    def fly(self, impulse_ns: float) -> tuple[Flown, ...]:
        """With an impulse of all its motors together. [N s]"""
        if impulse_ns not in self._flown:
            self.check()
            motor = scaled_motor(self.rocket.motor, impulse_ns / self.rocket.impulse_ns)
            self._flown[impulse_ns] = tuple(
                fly(self.day, self.rocket, profile, self.samples, motor) for profile in self.profiles
            )
        return self._flown[impulse_ns]

    def outside(self, flown: tuple[Flown, ...]) -> float | None:
        """Share outside; None where it could not be flown."""
        if any(each.why for each in flown):
            return None
        tables = [each.landings["planned"] for each in flown]
        return 1.0 - float(inside_per_sample(tables, self.winds, self.boundary, self.rocket.pad_at).mean())

    def greatest(self) -> GreatestAltitude:
        """The greatest altitude that stays inside."""
        low_ns, high_ns = class_bounds_ns(self.rocket.letter)
        top, bottom = high_ns, max(JUST_OVER * low_ns, 0.5 * high_ns)
        share = self.outside(self.fly(top))
        if share is not None and share <= self.most_outside:
            return self._said(top, "whole_class", "the whole class stays inside")
        if share is None:
            return _unknown(self.fly(top))
        share = self.outside(self.fly(bottom))
        if share is None:
            return _unknown(self.fly(bottom))
        if share > self.most_outside:
            words = f"with the least impulse of the class {100.0 * share:.1f} of 100 land outside"
            return GreatestAltitude(apogee_m=None, impulse_ns=None, bound="none", words=words)
        for _ in range(HALVINGS):
            middle = 0.5 * (bottom + top)
            share = self.outside(self.fly(middle))
            if share is None:
                return _unknown(self.fly(middle))
            if share <= self.most_outside:
                bottom = middle
            else:
                top = middle
        return self._said(bottom, "inside", f"up to {bottom:,.4g} N·s stays inside, {top:,.4g} N·s does not")

    def _said(self, impulse_ns: float, bound: str, words: str) -> GreatestAltitude:
        tops = [each.apogee_m for each in self.fly(impulse_ns) if each.apogee_m is not None]
        return GreatestAltitude(apogee_m=min(tops), impulse_ns=impulse_ns, bound=bound, words=words)  # type: ignore[arg-type]


def _unknown(flown: tuple[Flown, ...]) -> GreatestAltitude:
    why = next(each.why for each in flown if each.why)
    return GreatestAltitude(apogee_m=None, impulse_ns=None, bound="unknown", words=f"not known: {why}")
