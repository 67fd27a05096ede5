"""A season's winds as CSV, a row an hour.

    time,wind_speed_mps,wind_from_deg,wind_speed_600m_mps,wind_from_600m_deg
    2026-04-01T00:00:00-05:00,3.4,210,8.1,228

`time` is the start of the hour, RFC 3339 with an offset; directions are true and say where the wind comes from. The
two columns aloft may be missing; their names carry the height above the field. An empty cell, and an hour without a
row, is not known. A calm hour may leave its direction empty.
"""

from __future__ import annotations

import hashlib
import re
from datetime import UTC, datetime, timedelta

import numpy as np
from pydantic import TypeAdapter, ValidationError

from service.models.base import shown
from service.models.types import Instant
from service.planning.errors import Fault
from service.planning.sizing.errors import TableRefused
from service.planning.sizing.season import HOUR, Winds
from service.planning.sizing.table import Row, read_rows

REQUIRED = ("time", "wind_speed_mps", "wind_from_deg")
EXAMPLE = "time,wind_speed_mps,wind_from_deg,wind_speed_600m_mps,wind_from_600m_deg"
ALOFT = re.compile(r"wind_(?:speed_([0-9]{2,4})m_mps|from_([0-9]{2,4})m_deg)")
WIND_HEIGHT_M = 10.0  # the height that weather services measure at (WMO-No. 8)
FASTEST_MPS = 60.0  # near the ground, as in the document
FASTEST_ALOFT_MPS = 120.0
LOWEST_ALOFT_M, HIGHEST_ALOFT_M = 50, 5000
MOST_ROWS = 40_000
LONGEST = timedelta(days=5 * 366)
EARLIEST_YEAR, LATEST_YEAR = 1900, 2099  # of the solar equations

_TIME = TypeAdapter(Instant)


def read_winds_csv(
    data: bytes | str, name: str = "the winds", source: str | None = None, height_m: float = WIND_HEIGHT_M
) -> Winds:
    """Read a season's winds.

    Parameters
    ----------
    data : bytes or str
        UTF-8 text with the header above.
    name : str
        What to call the file.
    source : str, optional
        Where the winds come from, for the report; the file's name by default.
    height_m : float
        Height above the ground at which the surface wind was measured. [m]

    Raises
    ------
    TableRefused
        With every fault, by line and column.
    """
    header, rows, faults = read_rows(
        data, name, REQUIRED, lambda column: column in REQUIRED or bool(ALOFT.fullmatch(column)), EXAMPLE, MOST_ROWS
    )
    aloft = _aloft(header, name)
    found: dict[datetime, tuple[float, float, float, float]] = {}
    lines: dict[datetime, int] = {}
    for row in rows:
        start = _start(row, faults)
        values = _values(row, aloft, faults)
        if start is None:
            continue
        if found and (start - next(iter(found))) % HOUR:
            expected = "an hour that starts in step with those before"
            faults.append(Fault(row.where("time"), shown(row.cells["time"]), expected))
            continue
        if start in lines:
            faults.append(Fault(row.where("time"), f"the hour of line {lines[start]} again", "each hour once"))
        lines.setdefault(start, row.line)
        found[start] = values
    if not faults and found and max(found) - min(found) > LONGEST:
        years = (max(found) - min(found)).days / 365.25
        faults.append(Fault(name, f"hours {years:.0f} years apart", "at most five years"))
    if not faults and not any(np.isfinite(each[0]) for each in found.values()):
        faults.append(Fault(name, "no hour with a wind speed", "at least one"))
    if faults:
        raise TableRefused(sorted(faults, key=_by_line), name)
    first, last = min(found), max(found)
    count = int((last - first) / HOUR) + 1
    starts = tuple(first + HOUR * number for number in range(count))
    nothing = (np.nan,) * 4
    table = np.array([found.get(start, nothing) for start in starts], dtype=float)
    digest = hashlib.sha256(data if isinstance(data, bytes) else data.encode()).hexdigest()
    return Winds(
        starts, table[:, 0], table[:, 1], height_m, aloft, table[:, 2] if aloft else None,
        table[:, 3] if aloft else None, source or name, digest,
    )  # fmt: skip


def _aloft(header: list[str], name: str) -> float | None:
    """The height of the second wind; both its columns have to be there, and only one height."""
    speeds = [int(match[1]) for each in header if (match := ALOFT.fullmatch(each)) and match[1]]
    origins = [int(match[2]) for each in header if (match := ALOFT.fullmatch(each)) and match[2]]
    if not speeds and not origins:
        return None
    if speeds != origins or len(speeds) > 1:
        found = f"speeds aloft at {speeds or 'no height'} m, directions at {origins or 'no height'} m"
        raise TableRefused([Fault("line 1", found, f"one height with both columns: {EXAMPLE}")], name)
    if not LOWEST_ALOFT_M <= speeds[0] <= HIGHEST_ALOFT_M:
        expected = f"a height from {LOWEST_ALOFT_M} to {HIGHEST_ALOFT_M:,} m above the field"
        raise TableRefused([Fault("line 1", f"a wind aloft at {speeds[0]} m", expected)], name)
    return float(speeds[0])


def _start(row: Row, faults: list[Fault]) -> datetime | None:
    expected = 'the start of an hour with its offset (RFC 3339), such as "2026-04-01T09:00:00-05:00"'
    try:
        when = _TIME.validate_python(row.cells["time"])
    except ValidationError:
        faults.append(Fault(row.where("time"), shown(row.cells["time"]), expected))
        return None
    if when.minute or when.second or when.microsecond or not EARLIEST_YEAR < when.year < LATEST_YEAR:
        faults.append(Fault(row.where("time"), shown(row.cells["time"]), f"{expected}, in 1901 to 2098"))
        return None
    return when.astimezone(UTC)


def _values(row: Row, aloft: float | None, faults: list[Fault]) -> tuple[float, float, float, float]:
    speed, origin = _pair(row, "wind_speed_mps", "wind_from_deg", FASTEST_MPS, faults)
    if aloft is None:
        return speed, origin, np.nan, np.nan
    names = f"wind_speed_{aloft:.0f}m_mps", f"wind_from_{aloft:.0f}m_deg"
    high, high_from = _pair(row, *names, FASTEST_ALOFT_MPS, faults)
    if speed == 0.0 and np.isfinite(high_from):
        origin = high_from  # a calm at the ground has no direction of its own
    return speed, origin, high, high_from


def _pair(row: Row, speed_name: str, from_name: str, fastest: float, faults: list[Fault]) -> tuple[float, float]:
    """Speed and direction of one height; a calm has no direction, and needs none."""
    before = len(faults)
    speed = row.figure(speed_name, 0.0, fastest, "m/s", faults)
    origin = row.figure(from_name, 0.0, 360.0, "degrees", faults)
    if len(faults) > before or speed is None:
        return np.nan, np.nan
    if speed == 0.0:
        return 0.0, 0.0
    return speed, np.nan if origin is None else origin % 360.0


def _by_line(fault: Fault) -> tuple[int, str]:
    match = re.match(r"line (\d+)", fault.pointer)
    return (int(match[1]) if match else 0, fault.pointer)
