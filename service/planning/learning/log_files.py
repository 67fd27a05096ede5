"""A flight log as a file: CSV with a line a flight, or JSON.

The header names the columns that are there, in any order; those of the first line are needed:

    entry,flown_at,pad,happened,
    apogee_m,landing_lon_deg,landing_lat_deg,motor,delay_s,estimated_apogee_m,estimated_landing_lon_deg,
    estimated_landing_lat_deg,temperature_c,pressure_hpa,relative_humidity,wind,note

`entry`, `pad`, `motor` are those of the launch-day document; `flown_at` is a time with its offset (RFC 3339);
`happened` is planned, no_deployment, drogue_only, main_at_apogee, one_unlit, misfire, hung_up, lost, other or mistake
(which counts for nothing). Heights are in metres above the field, positions in degrees (WGS 84), temperature in degrees
Celsius, pressure in hectopascals at the field, humidity from 0 to 1. `wind` is "height_m:speed_mps:from_deg" for each
height, with semicolons between them; a gust may follow as a fourth figure, and as a fifth the arc in degrees that the
direction ranged over. Empty cells are not known. As JSON the log is {"flights": [...]}, each with the fields of
`LogLine`.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from typing import Any

from service.models.conditions import Conditions
from service.models.flight_log import FlightLog, LogLine
from service.planning.decode import Unreadable
from service.planning.errors import DocumentRefused, Fault
from service.planning.part import read_part, read_part_bytes

NEEDED = ("entry", "flown_at", "pad", "happened")
NUMBERS = ("apogee_m", "delay_s", "estimated_apogee_m")
WEATHER = ("temperature_c", "pressure_hpa", "relative_humidity")
PLACES = {"landing": ("landing_lon_deg", "landing_lat_deg"),
          "estimated_landing": ("estimated_landing_lon_deg", "estimated_landing_lat_deg")}  # fmt: skip
COLUMNS = (
    *NEEDED, "apogee_m", *PLACES["landing"], "motor", "delay_s", "estimated_apogee_m", *PLACES["estimated_landing"],
    *WEATHER, "wind", "note",
)  # fmt: skip
MOST_LINES = 10_000
SOURCE = "the flight log"


def read_log(data: bytes, name: str = "the log") -> FlightLog:
    """A log from the bytes of a CSV or JSON file.

    Raises
    ------
    DocumentRefused
        With every fault; in CSV its pointer is /line/column.
    """
    if data.lstrip()[:1] in (b"{", b"["):
        try:
            return read_part_bytes(FlightLog, data, name=name)
        except Unreadable as error:
            raise DocumentRefused([error.fault], name) from None
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise DocumentRefused(
            [Fault("", f"bytes that are no text, at byte {error.start}", "UTF-8 text")], name
        ) from None
    return _read_csv(text, name)


def _read_csv(text: str, name: str) -> FlightLog:
    rows = [(number, row) for number, row in _rows(text, name) if any(cell.strip() for cell in row)]
    header = tuple(cell.strip() for cell in rows[0][1]) if rows else ()
    _check_header(header, name)
    if len(rows) - 1 > MOST_LINES:
        raise DocumentRefused([Fault("", f"{len(rows) - 1} flights", f"at most {MOST_LINES:,}")], name)
    faults: list[Fault] = []
    lines: list[LogLine] = []
    for number, row in rows[1:]:
        if len(row) != len(header):
            faults.append(Fault(f"/{number}", f"{len(row)} cells", f"{len(header)}, as in the header"))
            continue
        cells = dict.fromkeys(COLUMNS, "") | dict(zip(header, (cell.strip() for cell in row), strict=True))
        document, unread = _document(cells)
        faults += [Fault(f"/{number}/{column}", found, expected) for column, found, expected in unread]
        if unread:
            continue
        try:
            lines.append(read_part(LogLine, document))
        except DocumentRefused as refused:
            faults += [Fault(f"/{number}{_column(f.pointer)}", f.found, f.expected) for f in refused.faults]
    if faults:
        raise DocumentRefused(faults, name)
    return FlightLog(flights=tuple(lines))


def _rows(text: str, name: str) -> Iterable[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text))
    try:
        for row in reader:
            yield reader.line_num, row
    except csv.Error as error:
        raise DocumentRefused([Fault(f"/{reader.line_num}", str(error), "CSV")], name) from None


def _check_header(header: tuple[str, ...], name: str) -> None:
    faults = [Fault("/1", f'no column "{column}"', f"a header with {', '.join(NEEDED)}")
              for column in NEEDED if column not in header]  # fmt: skip
    for column in header:
        if column not in COLUMNS:
            faults.append(Fault("/1", f'a column "{column[:40]}"', f"columns among {', '.join(COLUMNS)}"))
        elif header.count(column) > 1:
            faults.append(Fault("/1", f'the column "{column}" {header.count(column)} times', "each column once"))
    if faults:
        raise DocumentRefused(list(dict.fromkeys(faults)), name)


def _document(cells: dict[str, str]) -> tuple[dict[str, Any], list[tuple[str, str, str]]]:
    """One line as the JSON values of a `LogLine`, and what could not be read."""
    unread: list[tuple[str, str, str]] = []

    def number(column: str, text: str) -> float | None:
        try:
            return float(text)
        except ValueError:
            unread.append((column, f'"{text[:40]}"', "a number written with a point, such as 24 or 0.5"))
            return None

    made: dict[str, Any] = {column: cells[column] for column in NEEDED}
    made |= {column: cells[column] or None for column in ("motor", "note")}
    made |= {column: number(column, cells[column]) if cells[column] else None for column in NUMBERS}
    for field, columns in PLACES.items():
        given = [column for column in columns if cells[column]]
        if len(given) == 1:
            missing = next(column for column in columns if column not in given)
            unread.append((missing, "nothing beside the other degree", "longitude and latitude, or neither"))
        made[field] = [number(column, cells[column]) for column in columns] if len(given) == 2 else None
    given = [column for column in (*WEATHER, "wind") if cells[column]]
    if given and len(given) < 4:
        for column in (*WEATHER, "wind"):
            if column not in given:
                unread.append((column, "nothing", "the whole weather of the flight, or none of it"))
    elif given:
        made["conditions"] = {
            "observed_at": cells["flown_at"],
            "source": SOURCE,
            **{column: number(column, cells[column]) for column in WEATHER},
            "wind": _wind(cells["wind"], unread),
        }
    return made, unread


def _wind(text: str, unread: list[tuple[str, str, str]]) -> list[dict[str, float | None]]:
    levels = []
    for part in filter(None, (each.strip() for each in text.split(";"))):
        try:
            height_m, speed_mps, from_deg, *more = (float(each) if each else None for each in part.split(":"))
            if len(more) > 2 or None in (height_m, speed_mps, from_deg):
                raise ValueError(part)
        except ValueError:
            unread.append(("wind", f'"{part[:40]}"', "height_m:speed_mps:from_deg, such as 2:3.5:220;300:6:235"))
            return []
        level = {"height_m": height_m, "speed_mps": speed_mps, "from_deg": from_deg}
        told = zip(("gust_mps", "arc_deg"), more, strict=False)
        levels.append(level | {name: value for name, value in told if value is not None})
    return levels


def _column(pointer: str) -> str:
    """The column that a pointer into a line belongs to."""
    steps = pointer.split("/")[1:]
    if not steps:
        return ""
    if steps[0] == "conditions":
        known = steps[1] if len(steps) > 1 else "wind"
        return "/flown_at" if known == "observed_at" else f"/{known}"
    if steps[0] in PLACES and len(steps) > 1:
        return f"/{PLACES[steps[0]][int(steps[1])]}"
    return f"/{steps[0]}"


def write_log(log: FlightLog) -> str:
    """A log as CSV with every column."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for line in log.flights:
        places = {
            column: _plain(value[axis]) if (value := getattr(line, field)) else ""
            for field, columns in PLACES.items()
            for axis, column in enumerate(columns)
        }
        cells = {
            **{column: _plain(getattr(line, column)) for column in (*NUMBERS, "entry", "pad", "happened", "motor")},
            "flown_at": line.flown_at.isoformat(), "note": line.note or "", **places, **_weather(line.conditions),
        }  # fmt: skip
        writer.writerow([cells.get(column, "") for column in COLUMNS])
    return out.getvalue()


def _weather(conditions: Conditions | None) -> dict[str, str]:
    if conditions is None:
        return {}
    figures = ((w.height_m, w.speed_mps, w.from_deg, w.gust_mps, w.arc_deg) for w in conditions.wind)
    levels = (":".join(map(_plain, level)).rstrip(":") for level in figures)
    return {**{name: _plain(getattr(conditions, name)) for name in WEATHER}, "wind": ";".join(levels)}


def _plain(value: Any) -> str:
    if value is None:
        return ""
    return f"{value:.10g}" if isinstance(value, float) else str(value)
