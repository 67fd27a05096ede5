"""The form of a reading by hand, for ten seconds beside the pads.

Nothing is filled in: what nobody types was not read now. The wind has to be; temperature and pressure are kept with the
time they have. Cloud and visibility are looked at rather than read: one tick says that they are as before.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from service.models.conditions import SURFACE_HEIGHT_M, Conditions
from service.models.day import LaunchDay
from service.planning.new_day import NOT_MEASURED
from service.planning.quantities import Units, figure
from service.planning.weather.merge import AIR_KEPT_MIN
from service.planning.weather.provenance import provenance_of
from service.planning.weather.told import clock
from service.web.forms import Form, FormField

WIND = (
    FormField("/wind_speed", "Mean wind", "number", quantity="wind_speed", needed=True),
    FormField("/wind_from_deg", "Comes from", "number", unit="° true"),
    FormField("/wind_gust", "Gust", "number", quantity="wind_speed"),
)
LONGER = (
    FormField(
        "/pressure_is",
        "The pressure is",
        "choice",
        choices=(("station", "as read at the pads"), ("altimeter", "an altimeter setting, for sea level")),
        default="station",
    ),
    FormField("/observed_at", "Read at", "moment", help="Now, if left empty."),
    FormField(
        "/wind_arc_deg", "Direction turned over", "number", unit="°", help="About its middle; 360 for from anywhere."
    ),
    FormField("/wind_height", "Meter held at", "number", quantity="length", help="2 m (7 ft), if left empty."),
    FormField("/humidity_percent", "Relative humidity", "number", unit="%"),
    FormField("/source", "Read with", help="A hand-held meter at the pads, if left empty."),
)
AS_BEFORE = "/sky_as_before"
_FAR: dict[Units, tuple[str, float]] = {"si": ("km", 1000.0), "us": ("mi", 1609.344)}  # the international mile, exact


def reading_fields(day: LaunchDay, units: Units, now: datetime) -> tuple[FormField, ...]:
    """The fields of a reading over the conditions in force, each saying what is kept where it is left empty."""
    current = day.conditions
    unit, size_m = _FAR[units]
    sky: tuple[FormField, ...] = (
        FormField("/cloud_oktas", "Cloud", "number", unit="eighths"),
        FormField("/cloud_base", "Cloud base above the field", "number", quantity="length"),
        FormField("/visibility", "Visibility", "number", unit=unit, scale=size_m),
    )
    seen = _seen(current, units)
    if seen:
        since = min(_since(current, part) for part in ("cloud", "vis"))
        until = since + timedelta(minutes=day.policy.conditions_max_age_min)
        kept = "known until" if until >= now else "known only until"
        help_words = f"Seen {clock(since, day.timezone, now)}; without a tick {kept} {clock(until, day.timezone, now)}."
        sky = (FormField(AS_BEFORE, f"Looked at just now, as before: {seen}", "flag", help=help_words), *sky)
    return (
        *_wind(day, units, now),
        _air(day, "/temperature", "Temperature", "temperature", current.temperature_c, "T", units, now),
        _air(day, "/pressure", "Pressure", "pressure", current.pressure_hpa, "p", units, now),
        *sky,
        *LONGER,
    )


def reading_form(day: LaunchDay, units: Units, now: datetime) -> Form:
    """The form as it is first shown: nothing is filled in, so that nothing passes for read that was not."""
    return Form.empty(reading_fields(day, units, now), units, day.timezone)


def _wind(day: LaunchDay, units: Units, now: datetime) -> tuple[FormField, ...]:
    """Mean, direction and gust, beside the last that was read at the surface: to compare with, not to take over."""
    low = day.conditions.wind[0]
    if low.height_m > SURFACE_HEIGHT_M or day.conditions.source == NOT_MEASURED:
        return WIND
    speed, *others = WIND
    last = figure(low.speed_mps, "wind_speed", units)
    if low.speed_mps and not low.arc_deg:
        last += f" from {low.from_deg:.0f}°"
    gust = "" if low.gust_mps is None else f", gusts {figure(low.gust_mps, 'wind_speed', units)}"
    since = clock(_since(day.conditions, "wind"), day.timezone, now)
    return replace(speed, help=f"The last: {last}{gust}, at {since}."), *others


def _air(
    day: LaunchDay, at: str, label: str, quantity: str, value: float, part: str, units: Units, now: datetime
) -> FormField:
    """Temperature or pressure: kept where it is left empty, for as long as it can be."""
    since = _since(day.conditions, part)
    last = f"{figure(value, quantity, units)} of {clock(since, day.timezone, now)}"  # type: ignore[arg-type]
    if day.conditions.source == NOT_MEASURED:
        return FormField(at, label, "number", quantity=quantity, needed=True)  # type: ignore[arg-type]
    if abs(now - since) > timedelta(minutes=AIR_KEPT_MIN):
        words = f"The last, {last}, is too old to keep."
        return FormField(at, label, "number", quantity=quantity, needed=True, help=words)  # type: ignore[arg-type]
    return FormField(at, label, "number", quantity=quantity, help=f"{last}, if left empty.")  # type: ignore[arg-type]


def _since(current: Conditions, part: str) -> datetime:
    return provenance_of(current).kept.get(part, current.observed_at)


def _seen(current: Conditions, units: Units) -> str:
    """What is known of cloud and visibility, in words; empty for nothing."""
    told = []
    if current.cloud_cover is not None:
        base = "" if current.cloud_base_m is None else f", base {figure(current.cloud_base_m, 'length', units)}"
        told.append(f"cloud {current.cloud_cover * 8:.0f}/8{base}")
    if current.visibility_m is not None:
        unit, size_m = _FAR[units]
        told.append(f"visibility {current.visibility_m / size_m:.3g} {unit}")
    return "; ".join(told)
