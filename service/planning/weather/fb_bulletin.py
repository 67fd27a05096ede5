"""A whole US winds-aloft bulletin (FB): its times, its levels, and its stations by column position.

A blank is meaningful: there is no forecast within 1,500 ft of the ground. So a group belongs to the level
under whose heading it stands, and a text whose spaces were lost is refused rather than shifted by a column.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import pairwise

from service.models.base import shown
from service.planning.weather.errors import WeatherFault, WeatherRefused, plain_text, refuse
from service.planning.weather.fb_group import NAME, FbWind, decode_group
from service.planning.weather.times import day_time, in_words, on_day

LONGEST = 60_000
APART = timedelta(days=5)
MOST_LEVELS = 20
COLUMNS = "keep the spaces of the bulletin: a group stands under the height that it is for"

_BASED = re.compile(r"DATA BASED ON\s+(\S+)", re.ASCII)
_VALID = re.compile(r"\bVALID\s+(\S+)", re.ASCII)
_USE = re.compile(r"FOR USE\s+(\d{4})-(\d{4})Z", re.ASCII)
_LEVELS = re.compile(r"\s*FT((\s+\d{4,5})+)\s*", re.ASCII)
_ROW = re.compile(r"\s*([A-Z][A-Z0-9]{2,3})(?=\s|$)", re.ASCII)


@dataclass(frozen=True)
class Bulletin:
    """Winds aloft over stations. `rows` holds a wind, or None for a blank, at each of `levels_ft`."""

    based_on: datetime | None
    valid_at: datetime
    use_from: datetime
    use_until: datetime
    levels_ft: tuple[int, ...]
    rows: dict[str, tuple[FbWind | None, ...]]

    @property
    def stations(self) -> tuple[str, ...]:
        """Their names, as listed."""
        return tuple(self.rows)


def read_bulletin(text: object, near: datetime) -> Bulletin:
    """Read a bulletin.

    Parameters
    ----------
    text : str
        With its headings: VALID, FOR USE, and the line of heights that begins with FT.
    near : datetime
        A time, with its offset, near which it is valid: it carries no month of its own.

    Raises
    ------
    WeatherRefused
        With every fault, by line.
    """
    plain = plain_text(text, NAME, LONGEST).upper()
    lines = plain.split("\n")
    for index, line in enumerate(lines, start=1):
        if "\t" in line:
            raise refuse(NAME, f"line {index}", "a tab", f"spaces; {COLUMNS}")
    based_on, valid_at, use_from, use_until = _times(plain, near)
    headings = [index for index, line in enumerate(lines) if _LEVELS.fullmatch(line)]
    if len(headings) != 1:
        found = f"{len(headings)} lines of heights" if headings else "no line of heights"
        raise refuse(NAME, "heights", found, "one bulletin, with one line such as FT  3000    6000    9000")
    top = headings[0]
    columns = [(int(match[0]), match.end()) for match in re.finditer(r"\d+", lines[top])]
    levels = tuple(level for level, _ in columns)
    if len(levels) > MOST_LEVELS or any(high <= low for low, high in pairwise(levels)):
        raise refuse(NAME, f"line {top + 1}", " ".join(map(str, levels)), f"up to {MOST_LEVELS} heights, rising")
    faults: list[WeatherFault] = []
    rows: dict[str, tuple[FbWind | None, ...]] = {}
    for number, line in enumerate(lines[top + 1 :], start=top + 2):
        if not line.strip() or re.fullmatch(r"\s*(\$\$|=|NNNN)\s*", line):
            continue
        match = _ROW.match(line)
        if match is None:
            faults.append(WeatherFault(f"line {number}", shown(line.strip()), "a station and its groups"))
        elif match[1] in rows:
            faults.append(WeatherFault(f"line {number}", f"{match[1]} again", "each station once"))
        else:
            rows[match[1]] = _row(match[1], line, match.end(), columns, number, faults)
    if not rows and not faults:
        faults.append(WeatherFault(f"line {top + 1}", "no station under the heights", "a station and its groups"))
    if faults:
        raise WeatherRefused(faults, NAME)
    return Bulletin(based_on, valid_at, use_from, use_until, levels, rows)


def _times(text: str, near: datetime) -> tuple[datetime | None, datetime, datetime, datetime]:
    faults = []
    found = {}
    for name, pattern, needed in (("DATA BASED ON", _BASED, False), ("VALID", _VALID, True)):
        match = pattern.search(text)
        when = day_time(match[1].rstrip("."), near) if match else None
        if when is None and (match or needed):
            expected = "day, hour and minute in UTC, such as 151800Z"
            faults.append(WeatherFault(name, shown(match[1]) if match else "nothing", expected))
        elif when is not None and abs(when - near) > APART:
            expected = f"within {APART.days} days of {in_words(near)}"
            faults.append(WeatherFault(name, f"{match[1]}, nearest as {in_words(when)}", expected))  # type: ignore[index]
        found[name] = when
    use = _USE.search(text)
    valid_at = found["VALID"]
    begins = on_day(valid_at.date(), use[1]) if use and valid_at else None
    ends = on_day(valid_at.date(), use[2]) if use and valid_at else None
    if use is None or (valid_at and (begins is None or ends is None)):
        said = shown(use[0]) if use else "nothing"
        faults.append(WeatherFault("FOR USE", said, "two times in UTC, such as FOR USE 1400-2100Z"))
    if faults or valid_at is None or begins is None or ends is None:
        raise WeatherRefused(faults, NAME)
    day = timedelta(days=1)
    begins -= day * (begins > valid_at)
    ends += day * (ends < valid_at)
    return found["DATA BASED ON"], valid_at, begins, ends


def _row(
    station: str, line: str, start: int, columns: list[tuple[int, int]], number: int, faults: list[WeatherFault]
) -> tuple[FbWind | None, ...]:
    """The winds of one line: each group between the end of the heading before and the end of its own."""
    ends = [end for _, end in columns]
    groups = list(re.finditer(r"\S+", line[start:]))
    found: list[FbWind | None] = [None] * len(columns)
    where = f"line {number}, {station}"
    for position, match in enumerate(groups):
        first, last = match.start() + start, match.end() + start
        if len(groups) == len(columns):
            index = position  # none is blank, so the order tells
        else:
            index = next((i for i, end in enumerate(ends) if last <= end), -1)
            floor = ends[index - 1] if index > 0 else start
            if index < 0 or first < floor or found[index] is not None:
                faults.append(WeatherFault(where, f"{shown(match[0])} between two columns", COLUMNS))
                return tuple(found)
        try:
            found[index] = decode_group(match[0], columns[index][0], f"{where}, {columns[index][0]} ft")
        except WeatherRefused as error:
            hint = f"; {COLUMNS}" if len(groups) < len(columns) else ""  # lost spaces shift a row by a column
            faults += [replace(each, expected=each.expected + hint) for each in error.faults]
            return tuple(found)
    told = [wind is not None for wind in found]
    if told != sorted(told):  # blanks come from the ground up
        gap = columns[max(index for index, each in enumerate(told) if not each)][0]
        faults.append(WeatherFault(where, f"nothing at {gap} ft, above levels that have a wind", COLUMNS))
    return tuple(found)
