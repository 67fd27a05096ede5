"""A thrust curve as a person pastes it: CSV with the header `time_s,thrust_n`."""

from __future__ import annotations

import csv
import io
import math
import re

HEADER = ("time_s", "thrust_n")
MOST_ROWS = 2000


class BadCurve(ValueError):
    """The text is no thrust curve; says the line, what was found and what would be right."""


def read_thrust_csv(text: str) -> list[list[float]]:
    """Pairs of time and thrust. [s, N]

    Lines that begin with # or ; are passed over, as is an empty one. A curve that starts later than ignition begins
    with a point at no time and no thrust.

    Raises
    ------
    BadCurve

    >>> read_thrust_csv("time_s,thrust_n\\n0.1,12\\n0.9,0")
    [[0.0, 0.0], [0.1, 12.0], [0.9, 0.0]]
    """
    points: list[list[float]] = []
    headed = False
    for number, row in enumerate(csv.reader(io.StringIO(text.lstrip("\ufeff"))), start=1):
        cells = [cell.strip() for cell in row]
        if not any(cells) or cells[0][:1] in ("#", ";"):
            continue
        if not headed:
            if tuple(cells) != HEADER:
                raise BadCurve(f"line {number}: {_no_header(cells)}")
            headed = True
            continue
        points.append(_point(cells, number))
        if len(points) > MOST_ROWS:
            raise BadCurve(f"line {number}: found more than {MOST_ROWS} points; expected at most {MOST_ROWS}")
    if not headed:
        raise BadCurve("found nothing; expected the header time_s,thrust_n and a line for each point")
    if points and points[0][0] > 0.0:
        points.insert(0, [0.0, 0.0])
    return points


def write_thrust_csv(points: tuple[tuple[float, float], ...]) -> str:
    """A curve as CSV.

    >>> write_thrust_csv(((0.0, 0.0), (0.5, 12.5)))
    'time_s,thrust_n\\n0,0\\n0.5,12.5\\n'
    """
    return "\n".join([",".join(HEADER), *(f"{time_s:.10g},{thrust_n:.10g}" for time_s, thrust_n in points), ""])


def _no_header(cells: list[str]) -> str:
    """Why the first line is not the header."""
    text = ",".join(cells)
    if parted_by(text):
        return f"found values parted by {parted_by(text)}; expected commas between them, and points before decimals"
    try:
        _point(cells, 1)
    except BadCurve:
        return f'found "{text[:40]}"; expected the header time_s,thrust_n'
    return f"found the figures {text[:40]} at once; expected the header time_s,thrust_n as a line above them"


def parted_by(text: str) -> str:
    """What parts the cells of a line that is not parted by commas; empty where nothing looks like it.

    >>> parted_by("time_s;thrust_n"), parted_by("0 12.5"), parted_by("time_s,thrust_n"), parted_by("0,2;12,5")
    ('semicolons', 'spaces', '', 'semicolons')
    """
    if ";" in text:
        return "semicolons"
    if "\t" in text:
        return "tabs"
    return "spaces" if re.fullmatch(r"[^\s,]+(?: +[^\s,]+)+", text) else ""


def _point(cells: list[str], number: int) -> list[float]:
    if len(cells) != len(HEADER):
        raise BadCurve(f"line {number}: found {len(cells)} values; expected 2, a time in s and a thrust in N")
    values = []
    for cell in cells:
        try:
            value = float(cell)
        except ValueError:
            value = math.nan
        if not math.isfinite(value) or "_" in cell:
            raise BadCurve(f'line {number}: found "{cell[:40]}"; expected a number written with a point')
        values.append(value)
    return values
