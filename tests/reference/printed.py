"""Printed tables beside the tests: read them, and hold a figure to half of the last digit printed."""

from __future__ import annotations

import csv
from decimal import Decimal
from pathlib import Path

FOLDER = Path(__file__).parent


def printed_table(name: str) -> list[dict[str, str]]:
    """Rows of a CSV beside this file, as printed; lines that start with # say where it comes from."""
    lines = [line for line in (FOLDER / name).read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def half_a_digit(printed: str) -> float:
    """Half a unit in the last printed place: '281.651' gives 0.0005, '1.1117E+0' gives 0.00005."""
    exponent = Decimal(printed).as_tuple().exponent
    assert isinstance(exponent, int), printed
    return 0.5 * 10.0**exponent
