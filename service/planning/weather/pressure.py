"""From an altimeter setting to the pressure at the field, with the sentence that says so."""

from __future__ import annotations

from service.flight.atmosphere import reads_like_sea_level, station_pressure_from_qnh
from service.flight.errors import OutsideModel
from service.planning.weather.errors import WeatherFault


def station_pressure_hpa(
    altimeter_hpa: float, elevation_m: float, where: str, faults: list[WeatherFault]
) -> float | None:
    """Pressure at the field from an altimeter setting; None, with a fault added, outside the model. [hPa]"""
    try:
        return station_pressure_from_qnh(altimeter_hpa * 100.0, elevation_m) / 100.0
    except OutsideModel as error:
        faults.append(WeatherFault(where, str(error), "an altimeter setting and a field elevation within the model"))
        return None


def check_station_pressure(station_hpa: float, elevation_m: float, where: str, faults: list[WeatherFault]) -> None:
    """Add a fault where a pressure said to be read at the field looks like one for sea level."""
    try:
        slip = reads_like_sea_level(elevation_m, station_hpa * 100.0)
    except OutsideModel as error:
        faults.append(WeatherFault(where, str(error), "a field elevation within the model"))
        return
    if slip:
        expected = f"what a barometer reads {elevation_m:g} m above sea level; is this the altimeter setting?"
        faults.append(WeatherFault(where, f"{station_hpa:.1f} hPa as station pressure", expected))


def altimeter_note(setting_hpa: float, station_hpa: float, elevation_m: float) -> str:
    """What was made of an altimeter setting, in a sentence."""
    return (
        f"The altimeter setting of {setting_hpa:.1f} hPa is {station_hpa:.1f} hPa at the field, "
        f"{elevation_m:g} m above sea level."
    )
