"""The forms of the weather intake: a reading by hand, a METAR, winds aloft, a forecast."""

from __future__ import annotations

from collections.abc import Iterable

from service.models.conditions import SURFACE_HEIGHT_M, Conditions
from service.models.day import LaunchDay
from service.planning.errors import Fault
from service.planning.quantities import Units, from_si
from service.planning.weather.errors import WeatherRefused
from service.planning.weather.told import in_zone
from service.web.forms import Form, FormField

QUICK = (
    FormField("/wind_speed", "Mean wind", "number", quantity="wind_speed", needed=True),
    FormField("/wind_from_deg", "Comes from", "number", unit="° true"),
    FormField("/wind_gust", "Gust", "number", quantity="wind_speed"),
    FormField("/temperature", "Temperature", "number", quantity="temperature"),
    FormField("/pressure", "Pressure", "number", quantity="pressure"),
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
    FormField("/cloud_oktas", "Cloud", "number", unit="eighths of the sky"),
    FormField("/cloud_base", "Cloud base above the field", "number", quantity="length"),
    FormField("/visibility", "Visibility", "number", quantity="length"),
    FormField("/source", "Read with", help="A hand-held meter at the pads, if left empty."),
)
READING = QUICK + LONGER
METAR = (
    FormField("/metar", "Report", "lines", needed=True, help="One METAR or SPECI, as it was sent."),
    FormField("/distance_km", "Airfield is away by", "number", unit="km"),
    FormField("/station_elevation_m", "Airfield above sea level", "number", quantity="length"),
    FormField(
        "/variable_from_deg",
        "Direction to reckon with",
        "number",
        unit="° true",
        help="Only where the report calls the wind variable: the bearing that carries toward people, say. "
        "It is that of the one nominal flight; the simulated ones come from every direction.",
    ),
)
FETCHED = (FormField("/station_name", "Fetch the last one of", help="Four letters, such as KXYZ."), *METAR)
ALOFT = (
    FormField(
        "/bulletin",
        "Bulletin",
        "lines",
        needed=True,
        help="The whole FB text with its headings and its spaces: a group belongs to the height above it.",
    ),
    FormField("/station", "Nearest station", needed=True),
    FormField("/distance_km", "Away by", "number", unit="km", needed=True),
    FormField("/station_2", "Second station"),
    FormField("/distance_2_km", "Away by", "number", unit="km"),
)


def quick_form(day: LaunchDay, current: Conditions, units: Units) -> Form:
    """The reading's form, filled from the last surface reading."""
    low = current.wind[0]
    typed = {
        "wind_speed": from_si(round(low.speed_mps, 1), "wind_speed", units),
        "wind_from_deg": f"{low.from_deg:.0f}",
        "wind_gust": "" if low.gust_mps is None else from_si(round(low.gust_mps, 1), "wind_speed", units),
        "temperature": from_si(round(current.temperature_c, 1), "temperature", units),
        "pressure": from_si(round(current.pressure_hpa, 1), "pressure", units),
    }
    if low.height_m > SURFACE_HEIGHT_M:
        typed = {key: text for key, text in typed.items() if not key.startswith("wind")}
    elif low.speed_mps == 0.0 or low.arc_deg:
        # a calm comes from nowhere, a wind that turns from many: what stands for it must not become one from there
        typed["wind_from_deg"] = ""
    if units == "us":  # a meter shows one place, a barometer two
        places = {"pressure": 2, "wind_from_deg": 0}
        typed = {key: text and f"{float(text):.{places.get(key, 1)}f}" for key, text in typed.items()}
    return Form.empty(READING, units, day.timezone, **typed)


def refuse_weather(form: Form, refused: WeatherRefused, names: dict[str, str] | None = None) -> None:
    """Put what the intake refused beside the fields; a place that is no field is told above them."""
    form.refuse(_faults(form, refused, names or {}))


def _faults(form: Form, refused: WeatherRefused, names: dict[str, str]) -> Iterable[Fault]:
    for fault in refused.faults:
        at = "/" + names.get(fault.where, fault.where).lstrip("/")
        found, expected = in_zone(fault.found, form.zone), in_zone(fault.expected, form.zone)
        if at in form.fields:
            yield Fault(at, found, expected)
        else:
            form.general.append(f"{fault.where}: found {found}; expected {expected}")
