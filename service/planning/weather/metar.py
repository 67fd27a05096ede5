"""A METAR carried to the field: the surface weather at an airfield not far away."""

from __future__ import annotations

from datetime import datetime

from service.codes.units import convert
from service.planning.weather.errors import WeatherFault, WeatherRefused
from service.planning.weather.metar_groups import MetarGroups, decode_metar
from service.planning.weather.metar_text import NAME
from service.planning.weather.pressure import altimeter_note, station_pressure_hpa
from service.planning.weather.quantities import ALTIMETER, BASE, DIRECTION, GUST, SPEED, TEMPERATURE, Kind, measured
from service.planning.weather.reading import SurfaceReading, humidity_from_dew_point

# Eighths that each word may stand for, the upper end taken: few 1-2, scattered 3-4, broken 5-7 (FMH-1).
COVER = {"SKC": 0.0, "CLR": 0.0, "FEW": 0.25, "SCT": 0.5, "BKN": 0.875, "OVC": 1.0, "VV": 1.0}
FARTHEST_KM = 500.0  # the surface weather of a place further off is another place's
OPEN_ABOVE = {
    "CLR": "no cloud below 12,000 ft (3,660 m) by an automatic station; higher cloud is not told",
    "NSC": "no cloud below 5,000 ft (1,500 m) that matters to aircraft; the cover above is not told",
    "NCD": "no cloud was detected by an automatic station; the cover is not told",
    "CAVOK": "visibility 10 km or more, no cloud below 5,000 ft (1,500 m); the cover above is not told",
}


def read_metar(
    text: object,
    *,
    near: datetime,
    elevation_m: float,
    station_elevation_m: float | None = None,
    distance_km: float | None = None,
    variable_from_deg: float | None = None,
) -> SurfaceReading:
    """Read a METAR into a surface reading for the field.

    Parameters
    ----------
    text : str
        The report.
    near : datetime
        Near which time, with its offset, it was made.
    elevation_m : float
        Field above mean sea level; the altimeter setting becomes the pressure there. [m]
    station_elevation_m : float, optional
        Airfield above mean sea level; cloud heights are above it. [m]
    distance_km : float, optional
        From the airfield to the field, for the source. [km]
    variable_from_deg : float, optional
        Bearing of the one nominal flight when the report says the direction is variable; the dispersed flights then
        come from every direction alike. [degrees true]

    Raises
    ------
    WeatherRefused
        If there is no wind to be had from it, or a figure cannot be meant.

    References
    ----------
    .. [1] WMO-No. 306, Manual on Codes, FM 15 METAR, 15.5 (from memory, not re-read): VRB for a direction that varies
       by 180 degrees or more, or by 60 or more in a mean of less than 3 kt; the two ends of the arc, clockwise, where
       it varies by 60 to 180 degrees in 3 kt or more.
    """
    groups = decode_metar(text, near)
    notes = list(groups.notes)
    faults: list[WeatherFault] = []
    if distance_km is not None and not 0.0 <= distance_km <= FARTHEST_KM:
        faults.append(WeatherFault("distance", f"{distance_km:g} km", f"from 0 to {FARTHEST_KM:g} km"))
    from_deg = _reckoned_direction(groups, variable_from_deg, notes, faults)
    arc_deg = _arc_deg(groups, notes)
    speed = _bounded("wind", groups.speed_kt, SPEED, faults, unit="kt")
    gust = _bounded("gust", groups.gust_kt, GUST, faults, unit="kt")
    if speed is not None and gust is not None and gust < speed:
        faults.append(WeatherFault("gust", f"{groups.gust_kt:g} kt", f"at least the wind, {groups.speed_kt:g} kt"))
    temperature = _bounded("temperature", groups.temperature_c, TEMPERATURE, faults)
    setting = _bounded("altimeter", groups.altimeter_hpa, ALTIMETER, faults)
    pressure = None if setting is None else station_pressure_hpa(setting, elevation_m, "altimeter", faults)
    if setting is not None and pressure is not None:
        notes.append(altimeter_note(setting, pressure, elevation_m))
    cover, base = _cloud(groups, elevation_m, station_elevation_m, notes)
    base = _bounded("cloud base", base, BASE, faults)
    humidity = None
    if temperature is not None and groups.dew_point_c is not None:
        if groups.dew_point_c <= temperature:
            humidity = humidity_from_dew_point(temperature, groups.dew_point_c)
        else:
            notes.append("The dew point is above the temperature; the humidity is not known.")
    if faults or speed is None or from_deg is None:
        raise WeatherRefused(faults, NAME)
    missing = {
        "temperature": temperature,
        "humidity": humidity,
        "pressure": pressure,
        "cloud": cover,
        "visibility": groups.visibility_m,
    }
    notes += [f"The report tells no {name}." for name, found in missing.items() if found is None]
    if groups.unread:
        notes.append(f"Not read: {' '.join(groups.unread)}.")
    far = "" if distance_km is None else f", {distance_km:.0f} km away"
    if groups.from_deg is None and groups.speed_kt:
        far += f", {'variable' if groups.variable else 'no'} direction, reckoned from {from_deg:.0f}°"
    return SurfaceReading(
        observed_at=groups.observed_at,
        source=f"METAR {groups.station}{far}",
        speed_mps=speed,
        from_deg=from_deg,
        arc_deg=arc_deg,
        gust_mps=gust,
        temperature_c=temperature,
        pressure_hpa=pressure,
        relative_humidity=humidity,
        cloud_cover=cover,
        cloud_base_m=base,
        visibility_m=groups.visibility_m,
        notes=tuple(notes),
    )


def _cloud(
    groups: MetarGroups, elevation_m: float, station_elevation_m: float | None, notes: list[str]
) -> tuple[float | None, float | None]:
    """Cover as a fraction, the upper end of what the words may mean, and the lowest base above the field. [m]"""
    words = [word for word, _ in groups.layers]
    for word in words:
        if word in OPEN_ABOVE:
            notes.append(f"{word}: {OPEN_ABOVE[word]}.")
    if not words or (any(word not in COVER for word in words) and not {"OVC", "VV"} & set(words)):
        cover = None
    else:
        cover = max(COVER.get(word, 0.0) for word in words)  # each layer's word counts the layers below it too (FMH-1)
    heights = [height for word, height in groups.layers if height is not None]
    if not heights or cover == 0.0:
        return cover, None
    base = convert(min(heights), "ft", "m")
    if station_elevation_m is None:
        notes.append("The airfield's elevation was not given; its cloud heights are taken as above the field.")
        return cover, base
    above = base + station_elevation_m - elevation_m
    if above < 0.0:
        notes.append("The cloud base lies below the field; it is taken as 0 m.")
    return cover, max(0.0, above)


def _reckoned_direction(
    groups: MetarGroups, variable_from_deg: float | None, notes: list[str], faults: list[WeatherFault]
) -> float | None:
    """The direction to reckon with, in degrees true."""
    if groups.speed_kt is None:
        found = "no wind that can be read" + (f" ({' '.join(groups.unread)})" if groups.unread else "")
        faults.append(WeatherFault("wind", found, "direction, speed and unit, such as 14015KT"))
        return None
    if groups.more_than:
        faults.append(WeatherFault("wind", "a speed of more than 99", "a figure to reckon with; enter one by hand"))
        return None
    if groups.from_deg is not None:
        if groups.from_deg == 0.0 and groups.speed_kt > 0.0:
            faults.append(WeatherFault("wind", f"direction 000 with {groups.speed_kt:g} kt", "010 to 360, or 00000 KT"))
            return None
        return groups.from_deg
    if groups.speed_kt == 0.0:
        return 0.0
    why = "a variable direction" if groups.variable else "no direction"
    if variable_from_deg is None:
        expected = "the bearing to reckon with, such as the one that carries toward people"
        faults.append(WeatherFault("variable_from_deg", f"{why} at {groups.speed_kt:.0f} kt", expected))
        return None
    bearing = _bounded("variable_from_deg", variable_from_deg, DIRECTION, faults)
    if bearing is not None:
        notes.append(
            f"The report gives {why}: the wind may come from anywhere, and the simulated flights come from every "
            f"direction alike. The one nominal flight is reckoned from {bearing:.0f}°."
        )
    return bearing


def _arc_deg(groups: MetarGroups, notes: list[str]) -> float | None:
    """The arc about the mean direction that holds all that the report tells. None in a calm, or where it tells none."""
    if not groups.speed_kt:
        return None
    if groups.from_deg is None:
        return 360.0
    if groups.turns_from_deg is None or groups.turns_to_deg is None:
        return None
    told = f"The wind turns between {groups.turns_from_deg:.0f}° and {groups.turns_to_deg:.0f}°"
    left = (groups.from_deg - groups.turns_from_deg) % 360.0
    right = (groups.turns_to_deg - groups.from_deg) % 360.0
    if left + right > 360.0:  # once round and on: the mean does not lie between the two
        notes.append(f"{told}, and its mean of {groups.from_deg:.0f}° lies outside that: reckoned as from anywhere.")
        return 360.0
    arc = min(2.0 * max(left, right), 360.0)
    notes.append(f"{told}: the simulated flights are drawn over {arc:.0f}° about {groups.from_deg:.0f}°.")
    return arc or None


def _bounded(
    where: str, value: float | None, kind: Kind, faults: list[WeatherFault], unit: str | None = None
) -> float | None:
    """A value in the unit inside, or a fault."""
    units = {"°C": "C", "°": "deg"}
    if value is None:
        return None
    return measured(where, value, unit or units.get(kind.unit, kind.unit), kind, faults)
