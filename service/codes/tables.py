"""Printed tables of limits, each kept once: rows by impulse, altitude or mass, columns as printed."""

from itertools import pairwise
from typing import Literal

from pydantic import model_validator

from service.codes.units import convert, in_words, up_to
from service.models.finding import Record, Source, Text
from service.models.rule import Number

CASE_BY_CASE = "case_by_case"
Cell = Number | Literal["case_by_case"]


class Row(Record):
    """One row: applies above the row before it and up to `up_to`, that figure included."""

    up_to: Number
    cells: dict[str, Cell]
    name: str = ""


class Table(Record):
    """A table of limits.

    `key` is the quantity that picks the row, in `key_unit`; every cell is in `unit`. Below zero and above the
    last row nothing is published: `beyond` is then a cell for every column, or None for no limit known.
    """

    id: Text
    key: str
    key_unit: str
    unit: str
    source: Source
    rows: tuple[Row, ...]
    beyond: Literal["case_by_case"] | None = None
    from_zero: bool = False

    @model_validator(mode="after")
    def _rows_climb(self) -> "Table":
        if not self.rows:
            raise ValueError("a table needs at least one row")
        bounds = [0.0, *(row.up_to for row in self.rows)]
        if any(later <= earlier for earlier, later in pairwise(bounds)):
            raise ValueError("the rows' up_to have to climb from above zero")
        if any(row.cells.keys() != self.rows[0].cells.keys() for row in self.rows):
            raise ValueError("every row needs the same columns")
        return self

    @property
    def columns(self) -> tuple[str, ...]:
        """The names of the columns."""
        return tuple(self.rows[0].cells)

    def cell(self, value: float, value_unit: str, column: str) -> float | str:
        """The cell for a key value; a sentence in place of a figure where the table has none.

        Returns
        -------
        float or str
            The figure in `unit`, `CASE_BY_CASE`, or why there is no row.
        """
        key = convert(value, value_unit, self.key_unit)
        if key < 0.0 or (key == 0.0 and not self.from_zero):
            return f"{self.key} is {in_words(key, self.key_unit)}: the table starts above zero"
        for row in self.rows:
            if up_to(key, row.up_to):
                return row.cells[column]
        if self.beyond is not None:
            return self.beyond
        return f"{self.key} is {in_words(key, self.key_unit)}: the table ends at " \
               f"{in_words(self.rows[-1].up_to, self.key_unit)}"
