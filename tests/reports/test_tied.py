"""Figures and their units stay on one line; what only looks like a unit breaks where it will.

A no-break space between value and unit is what ISO 80000-1 and NIST SP 811 ask for (from memory, not re-read).
"""

import io

import pytest
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas

from reports.pages.stationery import words
from reports.tied import tied


@pytest.mark.parametrize(
    ("text", "one_line"),
    [
        ("at least 13.4 m/s (30 mph)", ["13.4~m/s", "30~mph"]),
        ("410 ± 30 m", ["410~±~30~m"]),
        ("< 0.05 %, 10 N·s, 1.8 cal, 20 °C", ["<~0.05~%", "10~N·s", "1.8~cal", "20~°C"]),
        ("hold for 60 s after; 300 ft high", ["60~s", "300~ft"]),
    ],
)
def test_a_figure_keeps_its_unit(text, one_line):
    found = tied(text).replace("\u00a0", "~")
    assert all(each in found for each in one_line) and found.replace("~", " ") == text


@pytest.mark.parametrize("text", ["97 of 100 flights", "3 motors", "2 sides", "12 minutes", "class A 4 members"])
def test_words_behind_a_number_are_no_units(text):
    assert tied(text) == text


@pytest.mark.parametrize("wide", range(60, 130, 6))
def test_paper_breaks_no_line_between_figure_and_unit(wide):
    out = io.BytesIO()
    canvas = Canvas(out)
    paragraph = words("it lands at 6.1 m/s and 300 ft off, 410 ± 30 m up after 60 s")
    paragraph.wrapOn(canvas, float(wide), 800.0)
    paragraph.drawOn(canvas, 10.0, 100.0)
    canvas.save()
    lines = [line.replace("\u00a0", " ").strip() for line in PdfReader(out).pages[0].extract_text().splitlines()]
    assert len(lines) > 1 and not [line for line in lines if line.startswith(("m/s", "ft", "m ", "s", "±"))]
