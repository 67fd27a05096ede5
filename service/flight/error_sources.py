"""The named error sources of the dispersion, each with its default spread and where that comes from.

A spread is one standard deviation unless it says otherwise. Every one can be set by the organiser; the sheet
lists them all.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class ErrorSource:
    """One thing that is not known exactly."""

    name: str
    default: float
    unit: str
    meaning: str
    basis: str
    most: float  # a spread above this is refused as absurd


SOURCES = (
    ErrorSource(
        "impulse",
        0.03,
        "fraction",
        "total impulse of the motor",
        "common practice for motors in production; NFPA 1125 allows 6.7 % (from memory, not re-read)",
        0.3,
    ),
    ErrorSource("burn_time", 0.05, "fraction", "burn time, impulse unchanged", "engineering estimate", 0.5),
    ErrorSource(
        "delay_s",
        0.75,
        "s",
        "ejection delay (or `delay_fraction` of it, if that is more)",
        "NFPA 1125 tolerance 1.5 s or 20 %, at most 3 s, read as two standard deviations (from memory, not re-read)",
        5.0,
    ),
    ErrorSource("delay_fraction", 0.10, "fraction", "ejection delay, long delays", "as delay_s", 0.5),
    ErrorSource(
        "drag", 0.10, "fraction", "axial force on the way up", "spread of the drag methods against each other", 0.5
    ),
    ErrorSource(
        "centre_of_pressure_cal", 0.3, "calibers", "centre of pressure", "engineering estimate for this method", 2.0
    ),
    ErrorSource(
        "centre_of_pressure_transonic_cal",
        0.5,
        "calibers",
        "centre of pressure where the flight passes Mach 0.8",
        "engineering estimate",
        2.0,
    ),
    ErrorSource(
        "centre_of_gravity_cal", 0.1, "calibers", "centre of gravity", "balance on a finger: engineering estimate", 2.0
    ),
    ErrorSource("mass", 0.01, "fraction", "mass without motors, weighed", "club scales: engineering estimate", 0.3),
    ErrorSource("guide_tilt_deg", 1.0, "°", "tilt of the guide, along and across", "engineering estimate", 10.0),
    ErrorSource("guide_azimuth_deg", 2.0, "°", "bearing the guide is tilted to", "engineering estimate", 30.0),
    ErrorSource(
        "thrust_line_deg",
        0.1,
        "°",
        "thrust line against the axis, in each of two planes",
        "engineering estimate: a motor mount true to 2 mm a metre",
        5.0,
    ),
    ErrorSource(
        "fin_cant_deg", 0.125, "°", "mean cant of the fins", "engineering estimate: 0.25° each, four of them", 5.0
    ),
    ErrorSource(
        "wind_speed_mps",
        1.0,
        "m/s",
        "wind along its direction (or `wind_speed_fraction`, if that is more)",
        "observed winds: WMO-No. 8 requirement widened for distance and time (from memory)",
        10.0,
    ),
    ErrorSource("wind_speed_fraction", 0.15, "fraction", "wind along its direction", "as wind_speed_mps", 1.0),
    ErrorSource(
        "wind_direction_deg",
        10.0,
        "°",
        "wind direction (30° divided by the speed in m/s, if that is more)",
        "engineering estimate: light winds wander",
        60.0,
    ),
    ErrorSource(
        "gust_fraction",
        1.0,
        "fraction",
        "share of the turbulence at the top of the guide that a launch meets",
        "MIL-F-8785C low-altitude turbulence at that height; the gust given, if that says more",
        5.0,
    ),
    ErrorSource(
        "canopy_drag",
        0.12,
        "fraction",
        "drag area of a canopy",
        "spread of NWC TP 6575 table values (from memory)",
        1.0,
    ),
    ErrorSource(
        "streamer_drag",
        0.25,
        "fraction",
        "drag area of a streamer, blades or a tumbling body",
        "engineering estimate",
        1.0,
    ),
    ErrorSource(
        "deploy_height_fraction",
        0.02,
        "fraction",
        "height at which an altimeter fires",
        "temperature error of the pressure height",
        0.3,
    ),
    ErrorSource("deploy_height_m", 10.0, "m", "height at which an altimeter fires", "engineering estimate", 200.0),
    ErrorSource(
        "unknown_margin_cal",
        1.0,
        "calibers, half width, even",
        "static margin of an airframe whose shape is not given, about 2",
        "1 to 3 calibers: the range of airframes that fly",
        2.0,
    ),
)

DEFAULTS = {source.name: source.default for source in SOURCES}
