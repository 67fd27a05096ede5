"""Flying the flights of a log again: nominal with any drag factor, and dispersed for what scatter is to be expected."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from geo.frame import LocalFrame
from service.flight.dispersion import disperse, standard_gust_sigma_mps
from service.flight.error_sources import DEFAULTS
from service.flight.errors import FlightError
from service.flight.nominal import Simulation, simulate
from service.flight.tables import level_heights_m
from service.planning.advise.errors import AdviceStopped
from service.planning.flight_inputs import FlightInputs, flight_inputs, scaled_drag
from service.planning.learning.cases import Case

# What is wrong with a rocket is wrong on each of its flights: it makes a bias, not scatter from flight to flight.
ROCKETS_OWN = (
    "drag", "mass", "centre_of_pressure_cal", "centre_of_pressure_transonic_cal", "centre_of_gravity_cal",
    "unknown_margin_cal", "thrust_line_deg", "fin_cant_deg",
)  # fmt: skip
LEAST_SAMPLES = 16  # of those that could be flown: fewer give no spread
CALM_MPS = 0.5  # a mean wind below this gives no direction to go by
WIDEST_HALF_ARC_RAD = math.radians(45.0)  # nor does one that ranged further to either side than this


@dataclass(frozen=True)
class Cloud:
    """Dispersed flights: apogee, planned landing point from the pad. [m], arrays of one length"""

    apogee_m: np.ndarray
    east_m: np.ndarray
    north_m: np.ndarray


@dataclass
class Reflights:
    """The flights of a log, flown as often as asked, none twice.

    `tell` is called after each dispersion, which takes by far the most of the time; `should_stop` is asked before
    every flight.
    """

    cases: Sequence[Case]
    samples: int
    seed: int
    should_stop: Callable[[], bool] = lambda: False
    tell: Callable[[], None] = lambda: None
    _inputs: dict[int, FlightInputs | str] = field(default_factory=dict)
    _flights: dict[tuple[int, float], Simulation | str] = field(default_factory=dict)
    _clouds: dict[tuple, Cloud] = field(default_factory=dict)

    def why_not(self, number: int, factor: float) -> str:
        """Why a flight cannot be flown again; empty where it can."""
        found = self._fly(number, factor)
        return found if isinstance(found, str) else ""

    def apogee_m(self, number: int, factor: float) -> float:
        """Nominal apogee with the computed drag times a factor. NaN where it cannot be flown. [m]"""
        found = self._fly(number, factor)
        return math.nan if isinstance(found, str) else found.figures["apogee_m"]

    def opens_early_s(self, number: int, factor: float) -> float:
        """How long before the apogee something opens; 0 where nothing does. [s]"""
        found = self._fly(number, factor)
        if isinstance(found, str) or not math.isfinite(found.figures["deploy_s"]):
            return 0.0
        return max(0.0, found.figures["apogee_s"] - found.figures["deploy_s"])

    def landing_m(self, number: int, factor: float) -> tuple[float, float] | None:
        """Nominal landing point of the planned flight, east and north of the pad; None where unknown. [m]"""
        found = self._fly(number, factor)
        if isinstance(found, str):
            return None
        landing = found.landings["planned"]
        return landing.east_m, landing.north_m

    def measured_landing_m(self, number: int) -> tuple[float, float] | None:
        """Measured landing point, east and north of the pad; None where unknown. [m]"""
        case = self.cases[number]
        if case.flight.landing is None:
            return None
        pad = case.day.pad_by_name(case.entry.pad)
        east, north = LocalFrame(*pad.position).to_local(*case.flight.landing)
        return float(east), float(north)

    def downwind(self, number: int, factor: float) -> tuple[float, float] | None:
        """Unit vector that the mean wind up to the apogee blows along, east and north; None where there is none."""
        inputs, top_m = self._ready(number), self.apogee_m(number, factor)
        if isinstance(inputs, str) or not math.isfinite(top_m):
            return None
        below = level_heights_m() <= max(top_m, 10.0)
        wind = inputs.setup.wind
        if wind.half_arc_rad is not None and float(wind.half_arc_rad[below].mean()) > WIDEST_HALF_ARC_RAD:
            return None
        east, north = float(wind.east_mps[below].mean()), float(wind.north_mps[below].mean())
        speed = math.hypot(east, north)
        return (east / speed, north / speed) if speed >= CALM_MPS else None

    def apogee_spread(self, number: int, factor: float, spreads: Mapping[str, float]) -> float | None:
        """Spread of the apogee from flight to flight to be expected, as a share of it; None where not known.

        One standard deviation, with these spreads on top of the defaults and the rocket's own errors left out.
        """
        own = {**spreads, **dict.fromkeys(ROCKETS_OWN, 0.0)}
        found = self._dispersed(number, factor, own, recovery=False)
        return None if found is None else float(found.apogee_m.std(ddof=1) / found.apogee_m.mean())

    def landing_spread_m(self, number: int, factor: float, spreads: Mapping[str, float]) -> tuple[float, float] | None:
        """Spread of the planned landing along and across the wind to be expected, one standard deviation; None where
        not known. [m]
        """
        down, found = self.downwind(number, factor), self._dispersed(number, factor, dict(spreads), recovery=True)
        if down is None or found is None:
            return None
        along, across = turned((found.east_m, found.north_m), down)
        return float(along.std(ddof=1)), float(across.std(ddof=1))

    def _dispersed(self, number: int, factor: float, spreads: dict[str, float], recovery: bool) -> Cloud | None:
        key = (number, factor, recovery, tuple(sorted({**DEFAULTS, **spreads}.items())))
        if key not in self._clouds:
            inputs = self._ready(number)
            if isinstance(inputs, str) or self.why_not(number, factor):
                return None
            self._check()
            setup = replace(inputs.setup, aerodynamics=scaled_drag(inputs.setup.aerodynamics, factor))
            if not recovery:
                setup = replace(setup, devices=())  # what opens later does not bear on the apogee
            found = disperse(
                setup, samples=self.samples, seed=self.seed, spreads=spreads,
                gust_sigma_mps=max(inputs.gust_sigma_mps or 0.0, standard_gust_sigma_mps(inputs.setup)),
                unknown_shape=inputs.unknown_shape, soft_devices=inputs.soft_devices,
            )  # fmt: skip
            landings = found.landings["planned"][found.flown]
            self._clouds[key] = Cloud(found.figures["apogee_m"][found.flown], landings[:, 0], landings[:, 1])
            self.tell()
        kept = self._clouds[key]
        return kept if kept.apogee_m.size >= LEAST_SAMPLES else None

    def _fly(self, number: int, factor: float) -> Simulation | str:
        key = (number, factor)
        if key not in self._flights:
            self._check()
            inputs = self._ready(number)
            if isinstance(inputs, str):
                self._flights[key] = inputs
            else:
                setup = replace(inputs.setup, aerodynamics=scaled_drag(inputs.setup.aerodynamics, factor))
                try:
                    self._flights[key] = simulate(setup, history=False)
                except FlightError as error:
                    self._flights[key] = f"it cannot be flown again: {error}"
        return self._flights[key]

    def _ready(self, number: int) -> FlightInputs | str:
        """The flight's inputs with the drag as computed, no correction in it."""
        if number not in self._inputs:
            case = self.cases[number]
            if case.why_not or case.conditions is None:
                self._inputs[number] = case.why_not or "the weather it flew in was not kept"
            else:
                bare = case.day.model_copy(update={"corrections": ()})
                try:
                    self._inputs[number] = flight_inputs(bare, case.entry, case.conditions)
                except (FlightError, KeyError) as error:
                    self._inputs[number] = f"it cannot be flown again: {error}"
        return self._inputs[number]

    def _check(self) -> None:
        if self.should_stop():
            raise AdviceStopped("called off; nothing was changed")


def turned(point, down: tuple[float, float]):
    """East and north as along (down the wind) and across (to the right of that)."""
    east, north = point
    return east * down[0] + north * down[1], east * down[1] - north * down[0]
