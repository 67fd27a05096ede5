"""One nominal flight of an entry, as figures and as a history."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterator
from textwrap import wrap
from typing import cast

from reports.amounts import Mode
from reports.sentences import MODE_PHRASES
from service.flight.nominal import Simulation, simulate
from service.models.day import LaunchDay
from service.models.entry import Entry
from service.planning.flight_inputs import FlightInputs, flight_inputs
from service.planning.table import WIDTH
from service.planning.wind_arc import arc_words
from service.planning.words import compass_word


def nominal_flight(day: LaunchDay, entry: Entry) -> tuple[FlightInputs, Simulation]:
    """Fly an entry once in the day's conditions.

    Raises
    ------
    FlightError
        If it cannot be flown; the text says why.
    """
    inputs = flight_inputs(day, entry, day.conditions)
    return inputs, simulate(inputs.setup)


def flight_lines(day: LaunchDay, entry: Entry, inputs: FlightInputs, flight: Simulation) -> Iterator[str]:
    """The figures of one flight, a line each, as text."""
    f = flight.figures
    motor = day.motor_by_id(entry.motor)
    planned = flight.landings["planned"]

    def line(name: str, value: float, unit: str, digits: int, note: str = "") -> str:
        text = f"{value:,.{digits}f} {unit}" if math.isfinite(value) else "does not happen"
        return f"  {name:<34}{text:>16}{'  ' + note if note else ''}"

    yield f"{entry.id}  {entry.rocket.name}, {entry.motor_count} × {motor.maker} {motor.designation}, pad {entry.pad}"
    if inputs.unknown_shape:
        yield "  no airframe given: flown as a generic one, static margin 2 calibers"
    yield line("mass at lift-off", inputs.liftoff_mass_kg, "kg", 3)
    weight_n = inputs.liftoff_mass_kg * inputs.setup.gravity_mps2
    yield line("thrust to weight", inputs.average_thrust_n / weight_n, "", 1)
    yield line("speed off the guide", f["exit_speed_mps"], "m/s", 1)
    yield line("incidence there", math.degrees(f["exit_incidence_rad"]), "°", 1)
    if not inputs.unknown_shape:
        yield line("static margin there", f["exit_margin_cal"], "calibers", 2)
        yield line("least while thrust lasts", f["least_margin_cal"], "calibers", 2)
    there = f"at {f['burnout_height_m']:,.0f} m, {f['burnout_speed_mps']:,.0f} m/s"
    yield line("burnout", f["burnout_s"], "s", 2, there)
    yield line("greatest speed", f["greatest_speed_mps"], "m/s", 1, f"Mach {f['greatest_mach']:.2f}")
    yield line("greatest acceleration", f["greatest_acceleration_mps2"], "m/s²", 0)
    yield line("apogee above the field", f["apogee_m"], "m", 0, f"after {f['apogee_s']:.1f} s")
    yield line("best delay", f["apogee_s"] - f["burnout_s"], "s", 1, _chosen(entry))
    yield line("first opening", f["deploy_s"], "s", 1, _opening(f))
    yield line("fall at landing", planned.down_mps, "m/s", 1, f"after {planned.time_s:.0f} s")
    for mode, landing in flight.landings.items():
        away = math.hypot(landing.east_m, landing.north_m)
        way = compass_word(math.degrees(math.atan2(landing.east_m, landing.north_m)))
        yield line(f"lands {_phrase(mode)}", away, "m", 0, f"{way} of the pad, at {landing.down_mps:.1f} m/s")
    yield "  one flight without its spread; the model errs too"
    yield from (f"  {line}" for said in arc_words(day.conditions) for line in wrap(said, WIDTH))


def _phrase(mode: str) -> str:
    words = MODE_PHRASES[cast(Mode, mode)]
    return words[0].lower() + words[1:]


def _chosen(entry: Entry) -> str:
    return f"chosen {entry.delay_s:g} s" if entry.delay_s is not None else ""


def _opening(figures: dict[str, float]) -> str:
    if not math.isfinite(figures["deploy_s"]):
        return ""
    return f"at {figures['deploy_height_m']:,.0f} m, {figures['deploy_airspeed_mps']:.1f} m/s through the air"


def history_csv(flight: Simulation) -> bytes:
    """The history as CSV: a header with units in the names, a row a step; what does not exist is left empty."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(flight.history_columns)
    for row in flight.history:
        writer.writerow([f"{value:.6g}" if math.isfinite(value) else "" for value in row])
    return text.getvalue().encode()
