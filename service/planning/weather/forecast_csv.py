"""An hourly forecast as CSV: one row for each hour and height.

    time,height_m,speed_mps,from_deg,gust_mps,temperature_c,pressure_hpa,relative_humidity,...
    2027-05-15T09:00:00-05:00,10,3.5,220,6,18,978,0.5,0.3,1800,16000,Hourly model
    2027-05-15T09:00:00-05:00,600,8,240,,,,,,,,

Columns may stand in any order. `time` is RFC 3339 with an offset; `height_m` and `cloud_base_m` are above the
field, `from_deg` is true, `pressure_hpa` is station pressure, `relative_humidity` and `cloud_cover` run from
0 to 1. What belongs to the hour and not to a height (temperature and after) stands in one of its rows or in
several alike. An empty cell is "not known"; so is an optional column that is missing.
"""

from __future__ import annotations

import csv
import difflib
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from pydantic import TypeAdapter, ValidationError

from service.models.base import shown
from service.models.conditions import Conditions
from service.models.types import Instant
from service.planning.decode import SIZE_LIMIT_BYTES
from service.planning.weather.errors import WeatherFault, WeatherRefused, refuse
from service.planning.weather.forecast import MOST_HOURS, NAME, checked_hours
from service.planning.weather.quantities import number

LEVEL_COLUMNS = ("height_m", "speed_mps", "from_deg", "gust_mps")
HOUR_COLUMNS = (
    "temperature_c",
    "pressure_hpa",
    "relative_humidity",
    "cloud_cover",
    "cloud_base_m",
    "visibility_m",
    "source",
)
COLUMNS = ("time", *LEVEL_COLUMNS, *HOUR_COLUMNS)
REQUIRED = ("time", "height_m", "speed_mps", "from_deg", "temperature_c", "pressure_hpa")
MOST_ROWS = 20_000
DEFAULT_SOURCE = "hourly forecast"

_TIME = TypeAdapter(Instant)
_POINTER = re.compile(r"/forecast/(\d+)(?:/wind/(\d+))?(?:/(\w+))?")


@dataclass
class _Row:
    line: int
    cells: dict[str, str]


@dataclass
class _Hour:
    """One hour as its rows tell it, with the line that each value came from."""

    at: datetime
    line: int
    levels: list[tuple[dict[str, Any], int]] = field(default_factory=list)
    values: dict[str, Any] = field(default_factory=dict)
    lines: dict[str, int] = field(default_factory=dict)

    def document(self, source: str) -> dict[str, Any]:
        levels = [level for level, _ in self.levels]
        return {"observed_at": self.at, "source": source, **self.values, "wind": levels}


def read_forecast_csv(data: bytes | str, source: str = DEFAULT_SOURCE) -> tuple[Conditions, ...]:
    """Read a forecast from CSV.

    Parameters
    ----------
    data : bytes or str
        UTF-8 text with the header above.
    source : str
        For hours that name none.

    Raises
    ------
    WeatherRefused
        With every fault, by line and column.
    """
    faults: list[WeatherFault] = []
    rows = _rows(_decoded(data), faults)
    hours: dict[datetime, _Hour] = {}
    for row in rows:
        _take(row, hours, faults)
    ordered = sorted(hours.values(), key=lambda hour: hour.at)
    if not ordered:
        raise WeatherRefused(faults or [WeatherFault("line 2", "no rows", "a row for each hour and height")], NAME)
    if len(ordered) > MOST_HOURS:
        raise WeatherRefused([*faults, WeatherFault(NAME, f"{len(ordered)} hours", f"at most {MOST_HOURS}")], NAME)
    for hour in ordered:
        hour.levels.sort(key=lambda level: level[0]["height_m"])
    taken = {fault.where for fault in faults}
    conditions, wrong = checked_hours({"forecast": [hour.document(source) for hour in ordered]})
    for fault in wrong:
        where = _place(fault.pointer, ordered)
        if where not in taken:
            faults.append(WeatherFault(where, fault.found, fault.expected))
    if faults:
        raise WeatherRefused(sorted(faults, key=_by_line), NAME)
    return conditions


def write_forecast_csv(hours: Sequence[Conditions]) -> str:
    """Write a forecast as CSV that reads back the same; the hour's own values stand in its first row."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for hour in hours:
        for index, level in enumerate(hour.wind):
            own = [getattr(hour, name) if index == 0 else None for name in HOUR_COLUMNS]
            cells = [getattr(level, name) for name in LEVEL_COLUMNS]
            writer.writerow([hour.observed_at.isoformat(), *map(_cell, [*cells, *own])])
    return out.getvalue()


def _cell(value: float | str | None) -> str:
    return "" if value is None else value if isinstance(value, str) else _decimal(value)


def _decimal(value: float) -> str:
    """A number in full without an exponent, as the reader takes it; a billionth is kept."""
    text = repr(float(value))
    return f"{value:.15f}" if "e" in text else text.removesuffix(".0")


def _decoded(data: bytes | str) -> str:
    if not isinstance(data, bytes | str):
        raise refuse(NAME, NAME, shown(data), "a CSV file")
    if len(data) > SIZE_LIMIT_BYTES:
        raise refuse(NAME, NAME, f"a file of {len(data) / 1e6:.1f} MB", f"at most {SIZE_LIMIT_BYTES / 1e6:g} MB")
    if isinstance(data, bytes):
        try:
            data = data.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            line, wrong = error.object.count(b"\n", 0, error.start) + 1, error.object[error.start]
            raise refuse(NAME, f"line {line}", f"byte 0x{wrong:02X}", "UTF-8 text") from None
    data = data.removeprefix("\N{ZERO WIDTH NO-BREAK SPACE}")
    if not data.strip():
        raise refuse(NAME, NAME, "an empty file", f"a header and rows: {','.join(COLUMNS)}")
    return data


def _rows(text: str, faults: list[WeatherFault]) -> list[_Row]:
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    rows: list[_Row] = []
    header: list[str] | None = None
    while True:
        try:
            cells = next(reader, None)
        except csv.Error as error:
            raise refuse(NAME, f"line {reader.line_num}", f"no CSV ({error})", "cells parted by commas") from None
        if cells is None:
            return rows
        if not any(cell.strip() for cell in cells):
            continue
        if header is None:
            header = _header(cells, reader.line_num)
        elif len(cells) != len(header):
            found = f"{len(cells)} cells"
            faults.append(WeatherFault(f"line {reader.line_num}", found, f"{len(header)}, as the header has"))
        elif len(rows) >= MOST_ROWS:
            raise refuse(NAME, f"line {reader.line_num}", f"more than {MOST_ROWS:,} rows", "fewer")
        else:
            values = (cell.strip() for cell in cells)
            rows.append(_Row(reader.line_num, dict(zip(header, values, strict=True))))


def _header(cells: list[str], line: int) -> list[str]:
    names = [cell.strip() for cell in cells]
    faults = []
    if len(names) == 1 and re.search(r"[;\t]", names[0]):
        raise refuse(NAME, f"line {line}", "cells parted by semicolons or tabs", "commas, with points before decimals")
    for name in names:
        if name not in COLUMNS:
            near = difflib.get_close_matches(name, COLUMNS, n=1)
            expected = f"{near[0]}?" if near else f"columns out of {', '.join(COLUMNS)}"
            faults.append(WeatherFault(f"line {line}", f"an unknown column {shown(name)}", expected))
        elif names.count(name) > 1:
            faults.append(WeatherFault(f"line {line}", f"the column {name} twice", "each column once"))
    missing = [name for name in REQUIRED if name not in names]
    if missing:
        faults.append(WeatherFault(f"line {line}", f"no column {', '.join(missing)}", "a header with all of them"))
    if faults:
        raise WeatherRefused(list(dict.fromkeys(faults)), NAME)
    return names


def _take(row: _Row, hours: dict[datetime, _Hour], faults: list[WeatherFault]) -> None:
    """Put one row into its hour."""
    try:
        at = _TIME.validate_python(row.cells["time"])
    except ValidationError as error:
        context = error.errors(include_url=False)[0]["ctx"]
        faults.append(WeatherFault(f"line {row.line}, time", context["found"], context["expected"]))
        return
    hour = hours.setdefault(at, _Hour(at, row.line))
    level = {name: _figure(row, name, faults) for name in LEVEL_COLUMNS}
    if level["height_m"] is None:
        if not row.cells["height_m"]:
            faults.append(
                WeatherFault(f"line {row.line}, height_m", "nothing", "the height of this wind above the field")
            )
        return
    for name in ("speed_mps", "from_deg"):
        if not row.cells[name]:
            faults.append(WeatherFault(f"line {row.line}, {name}", "nothing", "the wind at this height"))
    hour.levels.append((level, row.line))
    for name in HOUR_COLUMNS:
        text = row.cells.get(name, "")
        if not text:
            continue
        value = text if name == "source" else _figure(row, name, faults)
        if name not in hour.values:
            hour.values[name], hour.lines[name] = value, row.line
        elif value != hour.values[name]:
            before = f"{shown(hour.values[name])} in line {hour.lines[name]}"
            expected = f"the same as for that hour before, {before}, or nothing"
            faults.append(WeatherFault(f"line {row.line}, {name}", shown(value), expected))


def _figure(row: _Row, name: str, faults: list[WeatherFault]) -> float | None:
    text = row.cells.get(name, "")
    if not text:
        return None
    value = number(text)
    if value is None:
        faults.append(WeatherFault(f"line {row.line}, {name}", shown(text), "a number with a point before decimals"))
    return value


def _place(pointer: str, hours: list[_Hour]) -> str:
    """Line and column of what a pointer names."""
    match = _POINTER.match(pointer)
    if match is None:
        return NAME
    hour = hours[int(match[1])]
    if match[2]:
        line = hour.levels[int(match[2])][1]
        return f"line {line}, {match[3]}" if match[3] else f"line {line}"
    name = {"observed_at": "time"}.get(match[3] or "", match[3] or "")
    return f"line {hour.lines.get(name, hour.line)}" + (f", {name}" if name else "")


def _by_line(fault: WeatherFault) -> tuple[int, str]:
    match = re.match(r"line (\d+)", fault.where)
    return (int(match[1]) if match else 0, fault.where)
