"""What the organiser has decided for the day: thresholds, sample count, chances of each mode."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated

from pydantic import Field as Described
from pydantic import StrictBool

from service.models.base import Model, Problem
from service.models.types import Bounded, Fraction, Name

Chance = Annotated[float, Bounded(0.0, 1.0)]


class Policy(Model):
    """Thresholds and counts that the organiser may set."""

    outside_caution: Fraction = 0.01
    """Chance of landing outside the boundary above which an entry stands at caution. [fraction]"""
    outside_stop: Fraction = 0.05
    """Chance of landing outside the boundary above which an entry stands at stop. [fraction]"""
    people_caution: Fraction = 0.001
    """Chance of landing among people above which an entry stands at caution. [fraction]"""
    people_stop: Fraction = 0.01
    """Chance of landing among people above which an entry stands at stop. [fraction]"""
    conditions_max_age_min: Annotated[float, Bounded(1.0, 1440.0, "minutes")] = 30.0
    """Age from which conditions count as stale. [minutes]"""
    misfire_wait_s: Annotated[float, Bounded(60.0, 3600.0, "s")] = 60.0
    """How long nobody approaches after a try that left a rocket on its pad; 60 s is the least that the NAR Model Rocket
    Safety Code (item 4) and High Power Rocket Safety Code (item 5), both 2012-08, ask. [s]"""
    approve_over_code: StrictBool = False
    """Whether an approval may go over a finding of a code or a club rule that stands at stop, its reason recorded.
    Over a stop that is law none may."""
    samples: Annotated[int, Bounded(64, 65_536, "flights")] = 1024
    """Flights per dispersion, a power of two. [count]"""
    spreads: Annotated[dict[Name, Annotated[float, Bounded(0.0, 200.0)]], Described(max_length=40)] = {}
    """The organiser's own spreads of the error sources, by their names; each in its source's unit."""

    def problems(self) -> Iterable[Problem]:
        for what in ("outside", "people"):
            caution, stop = getattr(self, f"{what}_caution"), getattr(self, f"{what}_stop")
            if stop < caution:
                yield Problem((f"{what}_stop",), f"{stop:g}", f"at least {what}_caution, {caution:g}")
        if self.samples & (self.samples - 1):
            yield Problem(("samples",), f"{self.samples}", "a power of two, such as 1024 or 2048")


class ModeChances(Model):
    """How often a flight ends other than planned; the club's own figures, until its flight log has better."""

    no_deployment: Chance = 0.03
    """Nothing comes out. [fraction]"""
    drogue_only: Chance = 0.01
    """The main stays in. [fraction]"""
    main_at_apogee: Chance = 0.01
    """The main comes out at the top. [fraction]"""
    one_unlit: Chance = 0.05
    """One motor of a cluster stays unlit; counts for clusters only. [fraction]"""

    def problems(self) -> Iterable[Problem]:
        total = self.no_deployment + self.drogue_only + self.main_at_apogee + self.one_unlit
        if total >= 1.0:
            yield Problem((), f"chances that add up to {total:g}", "less than 1, so that some flights go as planned")
