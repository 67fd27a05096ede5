"""The forms of weather texts, a METAR and winds aloft, and how a refusal of the intake finds its field again."""

from __future__ import annotations

from collections.abc import Iterable

from service.planning.errors import Fault
from service.planning.weather.errors import WeatherRefused
from service.planning.weather.told import in_zone
from service.web.forms import Form, FormField

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
