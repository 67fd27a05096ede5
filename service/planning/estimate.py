"""Figures of a flight from the nominal simulation and its dispersion."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from service.flight.dispersion import Dispersion
from service.flight.nominal import Simulation
from service.flight.tables import mach_grid
from service.flight.thrust import impulse_fraction
from service.models.assessment import Estimate, FlightEvent, FlightTrack, Spread
from service.models.designation import impulse_class
from service.planning.flight_inputs import FlightInputs

PERCENTILES = (2.5, 5.0, 95.0, 97.5)
TRACK_POINTS = 160


def spread_of(nominal: float | None, samples: np.ndarray | None) -> Spread:
    """A nominal value with its percentiles.

    A flight without such a value (nothing opened before the ground) counts as infinitely much: a percentile that
    reaches into those flights is null, the others are not spoilt by them.
    """
    value = None if nominal is None or not math.isfinite(nominal) else float(nominal)
    if samples is None or samples.size == 0:
        return Spread(nominal=value)
    ranked = np.sort(np.where(np.isfinite(samples), samples, np.inf))
    places = np.asarray(PERCENTILES) / 100.0 * (ranked.size - 1)
    low, high = ranked[np.floor(places).astype(int)], ranked[np.ceil(places).astype(int)]
    finite = np.isfinite(high)
    below = np.where(finite, low, 0.0)
    mixed = np.where(finite, below + (places % 1.0) * (np.where(finite, high, 0.0) - below), np.nan)
    p025, p05, p95, p975 = (float(each) if math.isfinite(each) else None for each in mixed)
    return Spread(nominal=value, p025=p025, p05=p05, p95=p95, p975=p975)


def estimate_of(inputs: FlightInputs, flight: Simulation, dispersed: Dispersion) -> Estimate:
    """The figures of one entry, each with its spread over the flights that could be computed."""
    figures, flown = flight.figures, dispersed.flown
    planned = flight.landings["planned"]
    table = dispersed.landings["planned"][flown]
    many = {name: values[flown] for name, values in dispersed.figures.items()}
    two = len(inputs.setup.devices) > 1

    def of(name: str, factor: float = 1.0) -> Spread:
        return spread_of(figures[name] * factor, many[name] * factor)

    def margin(name: str) -> Spread:
        return Spread(nominal=None) if inputs.unknown_shape else of(name)  # a drawn margin shows nothing

    opened = np.isfinite(many["deploy_s"])
    early_or_late = spread_of(
        abs(figures["deploy_s"] - figures["apogee_s"]), np.abs(many["deploy_s"] - many["apogee_s"])
    )
    weight_n = inputs.liftoff_mass_kg * inputs.setup.gravity_mps2
    down = table[:, 3]
    energy = spread_of(
        _landing_energy_j(inputs, planned.down_mps, planned.across_mps, planned.opened),
        _landing_energy_j(inputs, down, table[:, 4], table[:, 5]),
    )
    return Estimate(
        liftoff_mass_kg=inputs.liftoff_mass_kg,
        impulse_ns=inputs.impulse_ns,
        impulse_class=impulse_class(inputs.impulse_ns),
        thrust_to_weight=inputs.average_thrust_n / weight_n,
        exit_speed_mps=of("exit_speed_mps"),
        exit_incidence_deg=of("exit_incidence_rad", 180.0 / math.pi),
        static_margin_cal=margin("exit_margin_cal"),
        least_static_margin_cal=margin("least_margin_cal"),
        apogee_m=of("apogee_m"),
        apogee_s=of("apogee_s"),
        greatest_speed_mps=of("greatest_speed_mps"),
        greatest_mach=of("greatest_mach"),
        greatest_acceleration_mps2=of("greatest_acceleration_mps2"),
        burnout_s=figures["burnout_s"],
        best_delay_s=spread_of(figures["apogee_s"] - figures["burnout_s"], many["apogee_s"] - many["burnout_s"]),
        deploy_s=of("deploy_s"),
        deploy_height_m=of("deploy_height_m"),
        deploy_speed_mps=of("deploy_airspeed_mps"),
        deploy_delay_error_s=early_or_late if bool(opened.any()) else Spread(nominal=None),
        main_open_speed_mps=spread_of(planned.second_open_mps, table[:, 7]) if two else Spread(nominal=None),
        drogue_descent_speed_mps=spread_of(planned.first_speed_mps, table[:, 6]) if two else Spread(nominal=None),
        descent_speed_mps=spread_of(planned.down_mps, down),
        landing_energy_j=energy,
        flight_time_s=spread_of(planned.time_s, table[:, 2]),
        damping_ratio=None if inputs.unknown_shape else damping_ratio(inputs, flight),
        guided_travel_m=inputs.setup.guide.length_m,
    )


def _landing_energy_j(inputs: FlightInputs, down_mps: Any, across_mps: Any, opened: Any) -> Any:
    """Of the whole rocket: its fall, with a glide's way forward; all its speed where nothing opened. [J]

    The wind that carries a canopy along is left out, as in the figures it is held against.
    """
    ratio = max((device.glide_ratio for device in inputs.setup.devices), default=0.0)
    forward_mps = np.where(np.asarray(opened) > 0, ratio * down_mps, across_mps)
    return 0.5 * float(inputs.setup.mass.mass_kg[-1]) * (down_mps**2 + forward_mps**2)


def damping_ratio(inputs: FlightInputs, flight: Simulation) -> float | None:
    """Damping of the pitch oscillation where the guide ends, pinned at the centre of gravity; None if it diverges.

    zeta = C2 / (2 sqrt(C1 I)) with the corrective and damping moment coefficients (Mandell, Caporaso, Bengen,
    Topics in Advanced Model Rocketry, MIT Press 1973; from memory, not re-read).
    """
    setup, figures = inputs.setup, flight.figures
    aero, mass = setup.aerodynamics, setup.mass
    speed = figures["exit_airspeed_mps"]
    sound, density = float(setup.air.sound_mps[0]), float(setup.air.density_kgm3[0])
    share = float(impulse_fraction(setup.thrust, figures["guide_end_s"]))
    grid = np.linspace(0.0, 1.0, mass.mass_kg.size)
    cg = float(np.interp(share, grid, mass.cg_from_nose_m))
    inertia = float(np.interp(share, grid, mass.pitch_inertia_kgm2))
    mach = speed / sound
    slope, first, second = (
        float(np.interp(mach, mach_grid(), column))
        for column in (aero.cn_alpha_per_rad, aero.cn_alpha_x_m, aero.cn_alpha_x2_m2)
    )
    area = 0.25 * math.pi * aero.diameter_m**2
    corrective = 0.5 * density * speed**2 * area * (first - slope * cg)
    damping = 0.5 * density * speed * area * (second - 2.0 * cg * first + cg**2 * slope)
    if not corrective > 0.0:
        return None
    return damping / (2.0 * math.sqrt(corrective * inertia))


def guide_thrust_to_weight(inputs: FlightInputs, flight: Simulation) -> float | None:
    """Mean thrust while on the guide over the weight at lift-off. [-]"""
    start, end = flight.figures["liftoff_s"], flight.figures["guide_end_s"]
    if not end > start:
        return None
    total = float(np.trapezoid(inputs.setup.thrust.thrust_n, inputs.setup.thrust.time_s))
    share = float(impulse_fraction(inputs.setup.thrust, end)) - float(impulse_fraction(inputs.setup.thrust, start))
    return share * total / (end - start) / (inputs.liftoff_mass_kg * inputs.setup.gravity_mps2)


def track_of(flight: Simulation, device_names: list[str]) -> FlightTrack:
    """The nominal flight thinned for drawing, with its events."""
    history, figures = flight.history, flight.figures
    columns = {name: number for number, name in enumerate(flight.history_columns)}
    keep = np.unique(np.linspace(0, len(history) - 1, TRACK_POINTS).astype(int))
    time_s, east, north, height = (history[:, columns[n]] for n in ("time_s", "east_m", "north_m", "height_m"))

    def at(name: str, moment: float) -> FlightEvent:
        return FlightEvent(
            name=name,
            time_s=moment,
            height_m=max(float(np.interp(moment, time_s, height)), 0.0),
            east_m=float(np.interp(moment, time_s, east)),
            north_m=float(np.interp(moment, time_s, north)),
        )

    planned = flight.landings["planned"]
    moments = [
        ("guide end", figures["guide_end_s"]),
        ("burnout", figures["burnout_s"]),
        ("apogee", figures["apogee_s"]),
    ]
    early = figures["deploy_s"] < figures["apogee_s"]  # what opens early never coasts to the apogee
    if early:
        moments.pop()
    if math.isfinite(figures["deploy_s"]):
        moments.append((f"{device_names[0]} opens" if device_names else "opens", figures["deploy_s"]))
    moments.append(("landing", planned.time_s))
    events = [at(name, moment) for name, moment in sorted(moments, key=lambda each: each[1])]
    return FlightTrack(
        time_s=tuple(round(float(v), 3) for v in time_s[keep]),
        height_m=tuple(round(max(float(v), 0.0), 2) for v in height[keep]),
        east_m=tuple(round(float(v), 2) for v in east[keep]),
        north_m=tuple(round(float(v), 2) for v in north[keep]),
        events=tuple(events),
    )
