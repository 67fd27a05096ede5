"""Reads a CSV with units in its column names: the header is checked, every fault is listed by its row."""

from __future__ import annotations

import csv
import difflib
import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from service.models.base import shown
from service.planning.decode import SIZE_LIMIT_BYTES
from service.planning.errors import Fault
from service.planning.sizing.errors import TableRefused
from service.planning.weather.quantities import number


@dataclass(frozen=True)
class Row:
    """One row: its line in the file and its cells by column."""

    line: int
    cells: dict[str, str]

    def where(self, column: str) -> str:
        return f"line {self.line}, {column}"

    def figure(self, column: str, low: float, high: float, unit: str, faults: list[Fault]) -> float | None:
        """A number within its bounds; None where the cell is empty, or with a fault added."""
        text = self.cells.get(column, "")
        if not text:
            return None
        value = number(text)
        if value is None or not low <= value <= high:
            expected = f"a number with a point before decimals, from {low:,g} to {high:,g} {unit}, or an empty cell"
            faults.append(Fault(self.where(column), shown(text), expected))
            return None
        return value


def read_rows(
    data: bytes | str, name: str, required: Sequence[str], known: Callable[[str], bool], example: str, most_rows: int
) -> tuple[list[str], list[Row], list[Fault]]:
    """Header, rows, and the faults of single rows.

    Parameters
    ----------
    data : bytes or str
        UTF-8 text.
    name : str
        What to call the file.
    required : sequence of str
        Columns that have to be there.
    known : callable
        Whether a column may be there.
    example : str
        A header as it should be.
    most_rows : int
        Rows beyond this are refused.

    Raises
    ------
    TableRefused
        If it is no text, too large, or its header is wrong.
    """
    reader = csv.reader(io.StringIO(_text(data, name, example), newline=""), strict=True)
    header: list[str] | None = None
    rows: list[Row] = []
    faults: list[Fault] = []
    while True:
        try:
            cells = next(reader, None)
        except csv.Error as error:
            fault = Fault(f"line {reader.line_num}", f"no CSV ({error})", "cells parted by commas")
            raise TableRefused([*faults, fault], name) from None
        if cells is None:
            break
        if not any(cell.strip() for cell in cells):
            continue
        if header is None:
            header = _header([cell.strip() for cell in cells], reader.line_num, name, required, known, example)
        elif len(cells) != len(header):
            faults.append(Fault(f"line {reader.line_num}", f"{len(cells)} cells", f"{len(header)}, as the header has"))
        elif len(rows) >= most_rows:
            fault = Fault(f"line {reader.line_num}", f"more than {most_rows:,} rows", "fewer")
            raise TableRefused([*faults, fault], name)
        else:
            rows.append(Row(reader.line_num, dict(zip(header, (cell.strip() for cell in cells), strict=True))))
    if not rows and not faults:
        raise TableRefused([Fault(name, "a header without rows", "at least one row")], name)
    return header or [], rows, faults


def _text(data: bytes | str, name: str, example: str) -> str:
    if len(data) > SIZE_LIMIT_BYTES:
        found = f"a file of {len(data) / 1e6:.1f} MB"
        raise TableRefused([Fault(name, found, f"at most {SIZE_LIMIT_BYTES / 1e6:g} MB")], name)
    if isinstance(data, bytes):
        try:
            data = data.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            line, wrong = error.object.count(b"\n", 0, error.start) + 1, error.object[error.start]
            raise TableRefused([Fault(f"line {line}", f"byte 0x{wrong:02X}", "UTF-8 text")], name) from None
    data = data.removeprefix("\N{ZERO WIDTH NO-BREAK SPACE}")
    if not data.strip():
        raise TableRefused([Fault(name, "an empty file", f"a header and rows: {example}")], name)
    if "\0" in data:
        raise TableRefused([Fault(name, "a null character", "plain text")], name)
    return data


def _header(
    names: list[str], line: int, name: str, required: Sequence[str], known: Callable[[str], bool], example: str
) -> list[str]:
    faults = []
    where = f"line {line}"
    for number_, column in enumerate(names):
        if column in names[:number_]:
            faults.append(Fault(where, f"the column {shown(column)} twice", "each column once"))
        elif not known(column):
            near = difflib.get_close_matches(column, [*required, *example.split(",")], n=1)
            hint = f"; did you mean {near[0]}?" if near else ""
            faults.append(Fault(where, f"the column {shown(column)}", f"a header such as {example}{hint}"))
    for column in required:
        if column not in names:
            faults.append(Fault(where, f"no column {column}", f"a header such as {example}"))
    if faults:
        raise TableRefused(faults, name)
    return names
