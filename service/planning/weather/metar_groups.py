"""The groups of a METAR as plain values.

The `metar` library (BSD 2-clause, kept since 2004, no dependencies of its own) decodes the groups; this file
asks it for plain values and says what it could not read.

References
----------
.. [1] Federal Meteorological Handbook No. 1, Surface Weather Observations and Reports (from memory, not re-read).
.. [2] WMO-No. 306, Manual on Codes, FM 15 METAR (from memory, not re-read).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from metar.Metar import Metar, ParserError

from service.codes.units import convert
from service.models.base import shown
from service.planning.weather.errors import WeatherFault, WeatherRefused, refuse
from service.planning.weather.metar_text import NAME, MetarText, part_metar
from service.planning.weather.quantities import HPA_PER_INHG

_UNPARSED = re.compile(r"Unparsed groups in body '([^']*)'")


@dataclass(frozen=True)
class MetarGroups:
    """What a METAR says, in its own units. None is "not told". Gusts and speeds in kt; P marks are `more_than`."""

    station: str
    observed_at: datetime
    from_deg: float | None = None
    variable: bool = False
    speed_kt: float | None = None
    gust_kt: float | None = None
    more_than: bool = False
    turns_from_deg: float | None = None
    turns_to_deg: float | None = None
    visibility_m: float | None = None
    layers: tuple[tuple[str, float | None], ...] = ()
    temperature_c: float | None = None
    dew_point_c: float | None = None
    altimeter_hpa: float | None = None
    sea_level_hpa: float | None = None
    notes: tuple[str, ...] = ()
    unread: tuple[str, ...] = ()


def decode_metar(text: object, near: datetime) -> MetarGroups:
    """Decode the groups of one METAR.

    Parameters
    ----------
    text : str
        The report; a leading METAR or SPECI and a closing = may stand or not.
    near : datetime
        A time, with its offset, near which the report was made: it carries no month of its own.

    Raises
    ------
    WeatherRefused
        If it is not one METAR with a time within 3 days of `near`.
    """
    parted = part_metar(text, near)
    wind = parted.wind()
    if wind and wind[1].isdigit() and int(wind[1]) > 360:
        raise refuse(NAME, "wind", f"the direction {wind[1]} in {wind[0]}", "010 to 360 degrees, 000 in a calm, or VRB")
    report, unread = _read(parted)
    pressures = [_altimeter_hpa(group) for group in parted.all_like(r"[AQ]\d{4}")]
    if pressures and max(pressures) - min(pressures) > 2.0:
        raise refuse(NAME, "altimeter", f"settings of {min(pressures):.1f} and {max(pressures):.1f} hPa", "one")
    visibility_m, notes = _visibility(report, parted)
    return MetarGroups(
        station=parted.station,
        observed_at=parted.observed_at,
        from_deg=report.wind_dir.value() if report.wind_dir else None,
        variable=wind is not None and wind[1] == "VRB",
        speed_kt=_kt(report.wind_speed, wind),
        gust_kt=_kt(report.wind_gust, wind),
        more_than=wind is not None and "P" in wind[0].replace("MPS", ""),
        turns_from_deg=report.wind_dir_from.value() if report.wind_dir_from else None,
        turns_to_deg=report.wind_dir_to.value() if report.wind_dir_to else None,
        visibility_m=visibility_m,
        layers=_layers(report, parted),
        temperature_c=report.temp.value("C") if report.temp else None,
        dew_point_c=report.dewpt.value("C") if report.dewpt else None,
        altimeter_hpa=pressures[0] if pressures else None,
        sea_level_hpa=report.press_sea_level.value("HPA") if report.press_sea_level else None,
        notes=tuple([*notes, *_weather(report)]),
        unread=(*parted.set_aside, *unread),
    )


def _read(parted: MetarText) -> tuple[Metar, list[str]]:
    """Let the library read; groups that it names as unreadable are taken out and told."""
    text = parted.for_library()
    unread: list[str] = []
    month, year = parted.observed_at.month, parted.observed_at.year
    for _ in range(2):
        try:
            return Metar(text, month=month, year=year, strict=True), unread
        except ParserError as error:
            match = _UNPARSED.search(str(error))
            if match is None:
                break
            unread += match[1].split()
            kept = tuple(group for group in parted.kept if group not in unread)
            text = MetarText(parted.station, parted.observed_at, (), kept, parted.remarks).for_library()
        except Exception:  # whatever it trips over is a text that could not be read
            break
    raise WeatherRefused([WeatherFault(NAME, shown(" ".join(parted.kept)), "groups as FM 15 METAR writes them")], NAME)


def _kt(speed: Any, wind: re.Match[str] | None) -> float | None:
    """A speed of the library in kt, by exact factors; its own carry six digits."""
    if speed is None or wind is None:
        return None
    return convert(speed.value(), {"MPS": "m/s", "KMH": "km/h"}.get(wind[5], "kt"), "kt")


def _altimeter_hpa(group: str) -> float:
    """A group A or Q in hPa; by the library's own factor, A2992 would come out 0.003 hPa too high."""
    figure = float(group[1:])
    return figure / 100.0 * HPA_PER_INHG if group[0] == "A" else figure


def _visibility(report: Metar, parted: MetarText) -> tuple[float | None, list[str]]:
    """The least visibility told, and whether it is a bound."""
    told = [each for each in (report.vis, report.max_vis) if each is not None]
    if not told:
        return None, []
    least = min(told, key=lambda each: each.value("M"))
    said = least.string()
    notes = []
    if said.startswith("greater") or "CAVOK" in parted.kept or "9999" in parted.kept:
        notes.append(f"The visibility is {least.value('M'):,.0f} m or more.")
    elif said.startswith("less"):
        notes.append(f"The visibility is less than {least.value('M'):,.0f} m.")
    return least.value("M"), notes


def _layers(report: Metar, parted: MetarText) -> tuple[tuple[str, float | None], ...]:
    """The cloud layers, each by its word and its height above the airfield. [ft]"""
    said: list[tuple[str, float | None]] = [("CAVOK", None)] if "CAVOK" in parted.kept else []
    # the library writes SKC for CLR and the other way round: the word is in the text
    words = {word for word in ("SKC", "CLR") if word in parted.kept}
    for cover, height, _ in report.sky:
        word = "SKC" if cover == "CLR" and words == {"SKC"} else cover
        said.append((word, height.value("FT") if height else None))
    return tuple(said)


def _weather(report: Metar) -> list[str]:
    try:
        said = report.present_weather() if report.weather else ""
    except LookupError:  # half a group, such as a lone solidus, is matched but has no words
        said = "a group that cannot be put into words"
    notes = [f"Present weather: {said}."] if said else []
    if any(cloud in ("CB", "TCU") for _, _, cloud in report.sky):
        notes.append("Towering clouds (cumulonimbus or towering cumulus) are reported.")
    return notes
