"""From a winds-aloft bulletin to winds at heights above the field, over the station or stations nearest to it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from service.codes.units import convert
from service.models.base import shown
from service.models.conditions import SURFACE_HEIGHT_M, WindLevel
from service.planning.weather.errors import WeatherFault, WeatherRefused, refuse
from service.planning.weather.fb_bulletin import Bulletin, read_bulletin
from service.planning.weather.fb_group import NAME, FbWind
from service.planning.weather.reading import Aloft

FARTHEST_KM = 1000.0
MOST_STATIONS = 4
PRESSURE_ALTITUDE_FT = 18_000  # from here on heights are pressure altitudes, which differ by some hundred feet
ELEVATION_M = (-500.0, 6000.0)


@dataclass(frozen=True)
class Pick:
    """A station chosen from the bulletin, and how far from the field it is; the text does not tell where it lies."""

    station: str
    distance_km: float


def read_winds_aloft(text: object, picks: Sequence[Pick], *, near: datetime, elevation_m: float) -> Aloft:
    """Read a bulletin and take the winds over the field from it. Parameters as in the two steps."""
    return winds_over_field(read_bulletin(text, near), picks, elevation_m)


def winds_over_field(bulletin: Bulletin, picks: Sequence[Pick], elevation_m: float) -> Aloft:
    """Winds at heights above the field.

    Between stations the east and north parts are weighted by the inverse of the distance. A light and variable
    wind counts as calm; "199 kt or more" is no figure to reckon with, and that level is left out. Levels at or
    below the field are dropped.

    Parameters
    ----------
    bulletin : Bulletin
        As read.
    picks : sequence of Pick
        One to four stations.
    elevation_m : float
        Field above mean sea level. [m]

    Raises
    ------
    WeatherRefused
        If a station is not in the bulletin, a distance makes no sense, or no level is left.
    """
    _check(bulletin, picks, elevation_m)
    notes: list[str] = []
    levels = []
    for index, level_ft in enumerate(bulletin.levels_ft):
        height_m = convert(float(level_ft), "ft", "m") - elevation_m
        over = [(pick, wind) for pick in picks if (wind := bulletin.rows[pick.station][index]) is not None]
        if not over:
            continue
        if height_m <= SURFACE_HEIGHT_M:
            notes.append(f"{level_ft:,} ft is not above the field and is left out.")
            continue
        if any(wind.or_more for _, wind in over):
            notes.append(f"{level_ft:,} ft is left out: 199 kt or more is no figure to reckon with.")
            continue
        if len(over) < len(picks):
            notes.append(f"{level_ft:,} ft is of {' and '.join(pick.station for pick, _ in over)} only.")
        light = [pick.station for pick, wind in over if wind.light_variable]
        if light:
            notes.append(f"{level_ft:,} ft is light and variable, under 5 kt, at {', '.join(light)}: taken as calm.")
        levels.append(_level(height_m, over))
    if not levels:
        raise refuse(NAME, "heights", "no level with a wind above the field", "at least one")
    if any(level_ft >= PRESSURE_ALTITUDE_FT for level_ft in bulletin.levels_ft):
        notes.append(f"Heights from {PRESSURE_ALTITUDE_FT:,} ft up are pressure altitudes, taken as true heights.")
    source = "FB " + " and ".join(f"{pick.station} {pick.distance_km:.0f} km" for pick in picks)
    return Aloft(tuple(levels), source, bulletin.valid_at, bulletin.use_from, bulletin.use_until, tuple(notes))


def _check(bulletin: Bulletin, picks: Sequence[Pick], elevation_m: float) -> None:
    faults = []
    if not 1 <= len(picks) <= MOST_STATIONS:
        faults.append(WeatherFault("stations", f"{len(picks)}", f"1 to {MOST_STATIONS}"))
    if len({pick.station for pick in picks}) < len(picks):
        faults.append(WeatherFault("stations", "the same station twice", "each once"))
    for pick in picks:
        if pick.station not in bulletin.rows:
            listed = ", ".join(bulletin.stations[:20]) + (" and more" if len(bulletin.rows) > 20 else "")
            faults.append(WeatherFault("stations", shown(pick.station), f"one of the bulletin's: {listed}"))
        if not (math.isfinite(pick.distance_km) and 0.0 <= pick.distance_km <= FARTHEST_KM):
            found = f"{pick.distance_km:g} km to {pick.station}"
            faults.append(WeatherFault("distance", found, f"from 0 to {FARTHEST_KM:g} km"))
    if not ELEVATION_M[0] <= elevation_m <= ELEVATION_M[1]:
        expected = f"from {ELEVATION_M[0]:g} to {ELEVATION_M[1]:g} m above sea level"
        faults.append(WeatherFault("elevation", f"{elevation_m:g} m", expected))
    if faults:
        raise WeatherRefused(faults, NAME)


def _level(height_m: float, over: list[tuple[Pick, FbWind]]) -> WindLevel:
    """One level from one or more stations."""
    here = [each for each in over if each[0].distance_km == 0.0]
    weights = [1.0 if here else 1.0 / pick.distance_km for pick, _ in (here or over)]
    if len(weights) == 1:
        wind = (here or over)[0][1]
        speed, from_deg = wind.speed_kt, wind.from_deg or 0.0
    else:
        east = north = 0.0
        for weight, (_, wind) in zip(weights, here or over, strict=True):
            toward = math.radians((wind.from_deg or 0.0) + 180.0)
            east += weight / sum(weights) * wind.speed_kt * math.sin(toward)
            north += weight / sum(weights) * wind.speed_kt * math.cos(toward)
        speed, from_deg = math.hypot(east, north), math.degrees(math.atan2(-east, -north)) % 360.0
    return WindLevel(height_m=height_m, speed_mps=convert(speed, "kt", "m/s"), from_deg=from_deg)
