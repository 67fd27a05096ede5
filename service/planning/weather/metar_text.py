"""A METAR's text, parted and looked over before the library reads it.

The library reads liberally: a wind without a unit gets one by the station's name, letters O become noughts,
a visibility that is missing becomes 10 km, and some patterns for remarks take minutes over a hostile text.
Here a group that would have to be guessed at is set aside and named, and only the remarks we use go on.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from service.models.base import shown
from service.planning.weather.errors import plain_text, refuse
from service.planning.weather.times import day_time, in_words

NAME = "the METAR"
LONGEST = 2000
LONGEST_GROUP = 24
MOST_GROUPS = 120
APART = timedelta(days=3)  # a report further from the day asked about is most likely another month's

_TIME = re.compile(r"\d{6}Z", re.ASCII)
_STATION = re.compile(r"[A-Z][A-Z0-9]{3}", re.ASCII)
_WIND = re.compile(r"(\d{3}|VRB|///)(P?\d{2,3}|//)(G(P?\d{2,3}|//))?(KT|KTS|MPS|KMH)", re.ASCII)
_LIKE_WIND = re.compile(r"([\dO]{3}|VRB|///|MMM|0)(P?[\dO]{2,3}|[/M]{2,3})(G[P\dO/M]{1,4})?[A-Z]{0,3}", re.ASCII)
_PRESSURE = re.compile(r"A\d{4}|Q\d{4}", re.ASCII)
_LIKE_PRESSURE = re.compile(r"(A|Q|QNH)?[\dO]{3,4}(INS)?|[AQ]////", re.ASCII)
_VISIBILITY = re.compile(r"\d{4}(NDV|[NSEW][EW]?)?", re.ASCII)
_BARE = re.compile(r"\d{4}", re.ASCII)
_AFTER_VISIBILITY = re.compile(r".*SM|CAVOK|\d{4}(NDV)?|M?\d\d/(M?\d\d|//)?", re.ASCII)
_MODIFIER = re.compile(r"AUTO|COR|NIL|TEST|CC[A-G]")
_UNKNOWN_LAYER = re.compile(r"///\d{3}(CB|TCU|///)?", re.ASCII)  # cloud of unknown amount at a known height
_MISSING = re.compile(r"[/M]{2,}(SM)?", re.ASCII)
_LETTER_O_SKY = re.compile(r"0VC.*|(FEW|SCT|BKN|OVC|VV)\d*O[\dO]*.*", re.ASCII)
_TRENDS = ("TEMPO", "BECMG", "NOSIG", "FCST", "NOSPECI")
_REMARKS = {"T": re.compile(r"T[01]\d{3}([01]\d{3})?", re.ASCII), "SLP": re.compile(r"SLP\d{3}", re.ASCII)}


@dataclass(frozen=True)
class MetarText:
    """The groups of one report. `kept` are those a reader may be given; `set_aside` are those it would guess at."""

    station: str
    observed_at: datetime
    modifiers: tuple[str, ...]
    kept: tuple[str, ...]
    remarks: tuple[str, ...]
    set_aside: tuple[str, ...] = ()
    trend: tuple[str, ...] = field(default=())

    def for_library(self) -> str:
        """The report as the library is to see it."""
        head = f"METAR {self.station} {self.observed_at:%d%H%M}Z"
        tail = f"RMK {' '.join(self.remarks)}" if self.remarks else ""
        return " ".join(filter(None, [head, " ".join(self.kept), tail]))

    def wind(self) -> re.Match[str] | None:
        """The wind group."""
        return next((match for group in self.kept if (match := _WIND.fullmatch(group))), None)

    def all_like(self, pattern: str) -> list[str]:
        """The kept groups that a pattern describes."""
        return [group for group in self.kept if re.fullmatch(pattern, group, re.ASCII)]


def part_metar(text: object, near: datetime) -> MetarText:
    """Part the text of one report and set its time to a full date.

    Raises
    ------
    WeatherRefused
        If it is no METAR, more than one, has no time, or its time lies more than 3 days from `near`.
    """
    plain = plain_text(text, NAME, LONGEST).upper().strip()
    if plain.endswith("$"):
        plain = plain[:-1]  # "station needs maintenance", US
    plain = plain.strip().rstrip("=").strip()
    if "=" in plain:
        raise refuse(NAME, NAME, "more than one report, parted by =", "one report")
    groups = plain.split()
    if len(groups) > MOST_GROUPS:
        raise refuse(NAME, NAME, f"{len(groups)} groups", f"at most {MOST_GROUPS}")
    for group in groups:
        if len(group) > LONGEST_GROUP:
            raise refuse(NAME, NAME, f"the group {shown(group)}", f"groups of at most {LONGEST_GROUP} letters")
    body, remarks = _split(groups, ("RMK", "RMKS"))
    station, stamp, rest = _head(body)
    observed_at = _time(stamp, near)
    for index, group in enumerate(rest):
        if group in ("METAR", "SPECI") or _TIME.fullmatch(group):
            raise refuse(NAME, NAME, f"a second report at {shown(group)}", "one report")
        if group in _TRENDS:
            rest, trend = rest[:index], rest[index:]
            break
    else:
        trend = []
    modifiers = tuple(group for group in rest if _MODIFIER.fullmatch(group))
    if "NIL" in modifiers:
        raise refuse(NAME, station, "NIL: the station made no report", "a report")
    kept: list[str] = []
    aside: list[str] = []
    for group in rest:
        if group not in modifiers:
            layer = _UNKNOWN_LAYER.fullmatch(group) and any(_WIND.fullmatch(each) for each in kept)
            late = bool(_BARE.fullmatch(group)) and any(_AFTER_VISIBILITY.fullmatch(each) for each in kept)
            (aside if late or (_guessed(group) and not layer) else kept).append(group)
    if len([group for group in kept if _WIND.fullmatch(group)]) > 1:
        raise refuse(NAME, "wind", "more than one wind", "one")
    used = [group for group in remarks if any(pattern.fullmatch(group) for pattern in _REMARKS.values())]
    return MetarText(station, observed_at, modifiers, tuple(kept), tuple(used), tuple(aside), tuple(trend))


def _guessed(group: str) -> bool:
    """Whether a reader would have to guess at this group."""
    if _WIND.fullmatch(group) or _PRESSURE.fullmatch(group) or _VISIBILITY.fullmatch(group):
        return False
    likes = (_LIKE_WIND, _LIKE_PRESSURE, _MISSING, _LETTER_O_SKY)
    return any(pattern.fullmatch(group) for pattern in likes)


def _split(groups: list[str], marks: tuple[str, ...]) -> tuple[list[str], list[str]]:
    for index, group in enumerate(groups):
        if group in marks:
            return groups[:index], groups[index + 1 :]
    return groups, []


def _head(body: list[str]) -> tuple[str, str, list[str]]:
    """Station, time and the groups after them."""
    rest = list(body)
    if rest and rest[0] == "TAF":
        raise refuse(NAME, "TAF", "a forecast for an airfield", "a METAR; give a forecast as CSV or JSON")
    while rest and rest[0] in ("METAR", "SPECI", "COR"):
        rest.pop(0)
    if not rest or not _STATION.fullmatch(rest[0]):
        raise refuse(NAME, "station", shown(rest[0]) if rest else "nothing", "a station of four letters and digits")
    if len(rest) < 2 or not _TIME.fullmatch(rest[1]):
        found = shown(rest[1]) if len(rest) > 1 else "nothing"
        raise refuse(NAME, "time", found, "day of the month, hour and minute in UTC, such as 011651Z")
    return rest[0], rest[1], rest[2:]


def _time(stamp: str, near: datetime) -> datetime:
    found = day_time(stamp, near)
    if found is None:
        raise refuse(NAME, "time", stamp, "a day, hour and minute that exist, such as 011651Z")
    if abs(found - near) > APART:
        days = APART.days
        raise refuse(NAME, "time", f"{stamp}, nearest as {in_words(found)}", f"within {days} days of {in_words(near)}")
    return found
