"""The table on the terminal: nothing rounds to certainty, figures only as fine as they are known."""

from __future__ import annotations

import doctest
import io

import pytest
from pypdf import PdfReader

from reports.figures import amount_text
from reports.sentences import say
from service.models.assessment import Spread
from service.planning import table
from service.planning.assess import assess_day
from service.planning.sheet import range_sheet, sheet_pdf
from tests.planning.quick import MADE_AT, quick_day, too_heavy


def test_the_examples_hold():
    assert doctest.testmod(table).failed == 0


@pytest.mark.parametrize(
    ("nominal", "half", "text"),
    [(412.37, 32.1, "410 ± 30 m"), (13.94, 0.96, "13.9 ± 1.0 m"), (843.4, 94.0, "840 ± 90 m"),
     (1843.8, 180.0, "1,840 ± 180 m"), (5.57, 0.03, "5.57 ± 0.03 m")],
)  # fmt: skip
def test_a_value_is_rounded_to_what_is_known_of_it(nominal, half, text):
    assert table.rounded(Spread(nominal=nominal, p025=nominal - half, p975=nominal + half), "length") == text


def test_what_has_no_spread_or_no_value():
    assert table.rounded(Spread(nominal=None), "length") == "unknown"
    assert table.rounded(Spread(nominal=412.37), "length") == "412 m"


def test_every_entry_has_a_line_and_says_what_decides():
    result = assess_day(quick_day(too_heavy), "0" * 64)
    lines = list(table.table_lines(result))
    assert lines[0].startswith("Caldén winter morning, 2028-07-09, conditions of 2028-07-09T09:40:00-03:00; engine 0.")
    lost = next(line for line in lines if line.startswith("n1"))
    assert lost.count("unknown") == 3 and "STOP" in lost  # apogee, exit speed, chance inside
    assert any("never carries the rocket" in line for line in lines)
    assert all(len(line) <= table.WIDTH or line.startswith(("n", "Cald")) for line in lines)
    assert lines[-1] == "3 entries: 2 stop, 1 unknown, 0 caution, 0 clear."


def test_one_entry_is_one_entry():
    result = assess_day(quick_day(too_heavy), "0" * 64, entries=["n3"])
    assert list(table.table_lines(result))[-1].startswith("1 entry: ")


def test_the_table_says_what_the_sheet_says():
    """Same order, same figures, same words for what decides, read back from the first page."""
    day = quick_day()
    result = assess_day(day, "0" * 64)
    sheet = range_sheet(day, result, made_at=MADE_AT, age_min=None)
    first = " ".join(PdfReader(io.BytesIO(sheet_pdf(sheet))).pages[0].extract_text().split())
    lines = list(table.table_lines(result))[2:-1]
    heads = [i for i, line in enumerate(lines) if not line.startswith(" ")]
    assert [lines[i].split()[0] for i in heads] == [page.entry_id for page in sheet.entries]
    for i, page in zip(heads, sheet.entries, strict=True):
        assert lines[i][17:33].strip() == amount_text(page.apogee, "si") and lines[i][17:33].strip() in first
        assert lines[i][49:61].strip() in first
        if page.standing != "clear":
            why = " ".join(line.strip() for line in lines[i + 1 :] if line.startswith(" "))
            assert why.startswith(say(page.decides_short or page.decides, "si").rstrip("."))
