"""Where the RSO rules: approved, held or refused, why, initials on each caution, name, time, signature."""

from __future__ import annotations

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable, Table

from reports.figures import Units
from reports.pages import stationery as paper
from reports.pages.front_page import clock
from reports.pages.stationery import words
from reports.sentences import say
from reports.sheet_data import EntryPage
from reports.theme import LIGHT

MOST_CAUTIONS = 8
WORDS = ("approved", "held", "refused")


def ruling_box(entry: EntryPage, units: Units, wide: float) -> Flowable:
    """The one framed thing on the page."""
    ruling = entry.ruling
    choices = "      ".join(f"[{'×' if ruling and ruling.word == word else '   '}] {word.upper()}" for word in WORDS)
    title = "Ruling of the range safety officer"
    if ruling and ruling.word == "lapsed":
        title += ": LAPSED, it ruled on an earlier assessment"
    rows: list[list] = [[words(title, paper.STRONG), words(choices, paper.STRONG)]]
    for i, caution in enumerate(entry.cautions[:MOST_CAUTIONS], start=1):
        rows.append([words(f"Caution {i}: {say(caution, units)}", paper.BODY, 300), words("initials", paper.COLUMN)])
    if len(entry.cautions) > MOST_CAUTIONS:
        rest = len(entry.cautions) - MOST_CAUTIONS
        rows.append([words(f"and {rest} more, listed above", paper.STRONG), words("initials", paper.COLUMN)])
    rows.append([_line("reason", ruling.reason if ruling else ""), ""])
    filled = (ruling.by, ruling.role, clock(ruling.at)) if ruling else ("", "", "")
    names = ("name", "role", "date, time")
    cells = [_line(name, value) for name, value in zip(names, filled, strict=True)]
    inner = Table([[*cells, _line("signature", "")]], colWidths=[(wide - 12) * f for f in (0.26, 0.2, 0.22, 0.32)])
    inner.setStyle(
        [
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("TOPPADDING", (0, 0), (-1, -1), 0),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
        ]
    )
    rows.append([inner, ""])
    ink, rule = HexColor(LIGHT["ink"]), HexColor(LIGHT["rule"])
    return Table(
        rows,
        colWidths=[
            wide * 0.5 if not entry.cautions else wide * 0.62,
            wide * 0.5 if not entry.cautions else wide * 0.38,
        ],
        style=[
            ("BOX", (0, 0), (-1, -1), 1.3, ink),
            ("LINEBELOW", (0, 0), (-1, -3), 0.4, rule),
            ("SPAN", (0, -1), (-1, -1)),
            ("SPAN", (0, -2), (-1, -2)),
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), 6),
            ("RIGHTPADDING", (0, 0), (-1, -1), 6),
            ("TOPPADDING", (0, 0), (-1, -1), 3),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
        ],
        hAlign="LEFT",
    )


def _line(name: str, value: str) -> list[Flowable]:
    """A named place to write on, or what was written."""
    return [words(name, paper.COLUMN), words(value, paper.BODY, 400)]
