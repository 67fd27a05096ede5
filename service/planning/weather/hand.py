"""A reading taken by hand beside the pads: few fields, each in the unit that the meter shows."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from datetime import datetime

from service.models.base import shown
from service.planning.weather import quantities as q
from service.planning.weather.errors import WeatherFault, WeatherRefused
from service.planning.weather.pressure import altimeter_note, check_station_pressure, station_pressure_hpa
from service.planning.weather.reading import HAND_WIND_HEIGHT_M, SurfaceReading, humidity_from_dew_point

NAME = "the reading"
SOURCE = "hand-held meter at the pads"
ROUNDING_MPS = 1e-9  # between a gust and a mean that were typed alike
Read = Callable[[str, str, q.Kind], float | None]

FIELDS: dict[str, str] = {
    "wind_speed": "mean wind over a minute or more, in `wind_unit`",
    "wind_gust": "strongest gust, in `wind_unit`",
    "wind_unit": "m/s, kt, mph or km/h",
    "wind_from_deg": "bearing the wind comes from; may be left out in a calm",
    "wind_arc_deg": "arc the direction turned over about that bearing; 360 for a wind from anywhere",
    "wind_from_by": "true, or magnetic where it was read from a compass",
    "wind_height": "height the meter was held at, in `height_unit`; 2 m if left out",
    "temperature": "in `temperature_unit`",
    "dew_point": "in `temperature_unit`; or give `humidity_percent`",
    "temperature_unit": "C or F",
    "humidity_percent": "relative humidity, 0 to 100",
    "pressure": "in `pressure_unit`",
    "pressure_unit": "hPa, kPa, inHg or mmHg",
    "pressure_is": "station, as a barometer reads at the pads, or altimeter, set for sea level (QNH)",
    "cloud_oktas": "eighths of the sky covered, 0 to 8",
    "cloud_base": "lowest cloud above the field, in `height_unit`",
    "height_unit": "m, km, ft or mi",
    "visibility": "in `visibility_unit`",
    "visibility_unit": "m, km, ft or mi",
}
DEFAULTS: dict[str, str] = {
    "wind_unit": "m/s",
    "wind_from_by": "true",
    "temperature_unit": "C",
    "pressure_unit": "hPa",
    "pressure_is": "station",
    "height_unit": "m",
    "visibility_unit": "m",
}


def read_hand(
    fields: Mapping[str, object],
    *,
    at: datetime,
    elevation_m: float,
    declination_deg: float | None = None,
    source: str = SOURCE,
) -> SurfaceReading:
    """Read the fields of a form, or of JSON; an empty or absent field is one that was not measured.

    Parameters
    ----------
    fields : mapping
        By the names in `FIELDS`; numbers or their texts. Only the wind is asked for every time.
    at : datetime
        When it was read, with an offset.
    elevation_m : float
        Field above mean sea level. [m]
    declination_deg : float, optional
        East of true north, positive: needed for a direction by compass. [deg]

    Raises
    ------
    WeatherRefused
        With every fault, named by field.
    """
    faults: list[WeatherFault] = []
    given = _given(fields, faults)
    if at.tzinfo is None:
        faults.append(WeatherFault("time", "a time without its offset", "a time with its offset from UTC"))

    def value(name: str, unit: str, kind: q.Kind) -> float | None:
        return q.measured(name, given[name], given.get(unit, unit), kind, faults) if name in given else None

    speed = value("wind_speed", "wind_unit", q.SPEED)
    if "wind_speed" not in given:
        faults.append(WeatherFault("wind_speed", "nothing", "the mean wind; 0 in a calm"))
    gust = value("wind_gust", "wind_unit", q.GUST)
    if speed is not None and gust is not None and gust < speed - ROUNDING_MPS:
        faults.append(WeatherFault("wind_gust", f"{gust:.3g} m/s", f"at least the mean wind, {speed:.3g} m/s"))
    from_deg = _direction(given, speed, declination_deg, faults)
    arc = value("wind_arc_deg", "deg", q.ARC)
    height = value("wind_height", "height_unit", q.READ_AT)
    temperature = value("temperature", "temperature_unit", q.TEMPERATURE)
    humidity = _humidity(value, given, temperature, faults)
    pressure, notes = _pressure(value, given, elevation_m, faults)
    oktas = value("cloud_oktas", "oktas", q.OKTAS)
    base = value("cloud_base", "height_unit", q.BASE)
    if oktas == 0.0 and base is not None:
        faults.append(
            WeatherFault("cloud_base", f"{base:g} m under a clear sky", "no base, or the cloud it belongs to")
        )
    visibility = value("visibility", "visibility_unit", q.VISIBILITY)
    if faults or speed is None or from_deg is None:
        raise WeatherRefused(faults, NAME)
    return SurfaceReading(
        observed_at=at,
        source=source,
        speed_mps=speed,
        from_deg=from_deg,
        arc_deg=arc or None,
        gust_mps=None if gust is None else max(gust, speed),
        wind_height_m=HAND_WIND_HEIGHT_M if height is None else height,
        temperature_c=temperature,
        pressure_hpa=pressure,
        relative_humidity=humidity,
        cloud_cover=None if oktas is None else oktas / 8.0,
        cloud_base_m=base,
        visibility_m=visibility,
        notes=tuple(notes),
    )


def _given(fields: Mapping[str, object], faults: list[WeatherFault]) -> dict[str, object]:
    """The fields that were filled in, with the units that were not chosen."""
    if not isinstance(fields, Mapping):
        raise WeatherRefused([WeatherFault(NAME, shown(fields), "an object of fields")], NAME)
    given: dict[str, object] = dict(DEFAULTS)
    for name, value in fields.items():
        if name not in FIELDS:
            faults.append(WeatherFault(shown(name), "an unknown field", f"one of {', '.join(FIELDS)}"))
        elif value is not None and not (isinstance(value, str) and not value.strip()):
            given[name] = value
    for name, choices in (("wind_from_by", ("true", "magnetic")), ("pressure_is", ("station", "altimeter"))):
        if given[name] not in choices:
            faults.append(WeatherFault(name, shown(given[name]), f"{choices[0]} or {choices[1]}"))
    return given


def _direction(
    given: Mapping[str, object], speed: float | None, declination_deg: float | None, faults: list[WeatherFault]
) -> float | None:
    if "wind_from_deg" not in given:
        if speed is not None and speed > 0.0:
            expected = "the bearing it comes from; of a wind that turns about, its middle"
            faults.append(WeatherFault("wind_from_deg", "nothing", expected))
        return 0.0
    bearing = q.measured("wind_from_deg", given["wind_from_deg"], "deg", q.DIRECTION, faults)
    if bearing is None or given["wind_from_by"] != "magnetic":
        return bearing
    if declination_deg is None or not math.isfinite(declination_deg) or abs(declination_deg) > 180.0:
        expected = "a true bearing: the declination here is not known"
        faults.append(WeatherFault("wind_from_deg", "a bearing by compass", expected))
        return None
    return (bearing + declination_deg) % 360.0


def _humidity(
    value: Read, given: Mapping[str, object], temperature: float | None, faults: list[WeatherFault]
) -> float | None:
    percent = value("humidity_percent", "%", q.PERCENT)
    dew_point = value("dew_point", "temperature_unit", q.DEW_POINT)
    if "dew_point" not in given:
        return None if percent is None else percent / 100.0
    if "humidity_percent" in given:
        faults.append(WeatherFault("dew_point", "a dew point and a humidity", "one of the two"))
    elif "temperature" not in given:
        faults.append(WeatherFault("temperature", "nothing", "the temperature that goes with the dew point"))
    elif temperature is not None and dew_point is not None:
        if dew_point <= temperature:
            return humidity_from_dew_point(temperature, dew_point)
        faults.append(
            WeatherFault("dew_point", f"{dew_point:.3g} °C", f"at most the temperature, {temperature:.3g} °C")
        )
    return None


def _pressure(
    value: Read, given: Mapping[str, object], elevation_m: float, faults: list[WeatherFault]
) -> tuple[float | None, list[str]]:
    if given["pressure_is"] != "altimeter":
        station = value("pressure", "pressure_unit", q.PRESSURE)
        if station is not None:
            check_station_pressure(station, elevation_m, "pressure", faults)
        return station, []
    setting = value("pressure", "pressure_unit", q.ALTIMETER)
    if setting is None:
        return None, []
    station = station_pressure_hpa(setting, elevation_m, "pressure", faults)
    return station, [] if station is None else [altimeter_note(setting, station, elevation_m)]
