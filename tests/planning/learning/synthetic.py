"""Flights as they would be measured: flown by the simulator with a known drag and known errors, then written down."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from geo.frame import LocalFrame
from service.flight.nominal import simulate
from service.flight.tables import Thrust
from service.models.conditions import Conditions
from service.models.day import LaunchDay
from service.models.flight_log import LogLine
from service.planning.flight_inputs import FlightInputs, flight_inputs, scaled_drag


@dataclass(frozen=True)
class Errors:
    """One standard deviation of what differs from flight to flight."""

    impulse: float = 0.03
    altimeter: float = 0.005
    wind_speed: float = 0.15
    wind_deg: float = 10.0
    tilt_deg: float = 1.0
    canopy: float = 0.08


def measured(
    day: LaunchDay, entry_id: str, when: datetime, conditions: Conditions, drag: float, rng: np.random.Generator,
    errors: Errors | None = None,
) -> LogLine:  # fmt: skip
    """A planned flight of an entry whose true drag is the computed one times a factor, as its flyer logs it."""
    errors = errors or Errors()
    entry = day.entry_by_id(entry_id)
    pad = day.pad_by_name(entry.pad)
    estimated = simulate(flight_inputs(day, entry, conditions).setup, history=False)
    turn, grow = errors.wind_deg * rng.standard_normal(), 1.0 + errors.wind_speed * rng.standard_normal()
    wind = tuple(
        level.model_copy(
            update={"speed_mps": max(level.speed_mps * grow, 0.0), "from_deg": (level.from_deg + turn) % 360.0,
                    "gust_mps": None}
        )
        for level in conditions.wind
    )  # fmt: skip
    inputs = flight_inputs(day, entry, conditions.model_copy(update={"wind": wind}))
    flight = simulate(_really(inputs, drag, errors, rng).setup, history=False)
    place, thought = flight.landings["planned"], estimated.landings["planned"]
    frame = LocalFrame(*pad.position)
    return LogLine(
        entry=entry_id,
        flown_at=when,
        pad=entry.pad,
        happened="planned",
        apogee_m=float(round(flight.figures["apogee_m"] * (1.0 + errors.altimeter * rng.standard_normal()), 1)),
        landing=_lonlat(frame, place.east_m, place.north_m),
        conditions=conditions,
        estimated_apogee_m=float(round(estimated.figures["apogee_m"])),
        estimated_landing=_lonlat(frame, thought.east_m, thought.north_m),
    )


def _really(inputs: FlightInputs, drag: float, errors: Errors, rng: np.random.Generator) -> FlightInputs:
    """The flight with its true drag and the errors of this one launch."""
    setup = inputs.setup
    tilt, across = np.radians(errors.tilt_deg) * rng.standard_normal(2)
    impulse = 1.0 + errors.impulse * rng.standard_normal()
    canopy = max(1.0 + errors.canopy * rng.standard_normal(), 0.3)
    lean = setup.guide.tilt_rad + tilt
    azimuth = setup.guide.azimuth_rad + (across / max(abs(lean), 0.02))
    return replace(
        inputs,
        setup=replace(
            setup,
            aerodynamics=scaled_drag(setup.aerodynamics, drag),
            thrust=Thrust(setup.thrust.time_s, setup.thrust.thrust_n * impulse),
            guide=replace(setup.guide, tilt_rad=lean, azimuth_rad=azimuth),
            devices=tuple(replace(each, drag_area_m2=each.drag_area_m2 * canopy) for each in setup.devices),
        ),
    )


def _lonlat(frame: LocalFrame, east_m: float, north_m: float) -> tuple[float, float]:
    lon, lat = frame.to_lonlat(east_m, north_m)
    return round(float(lon), 6), round(float(lat), 6)
