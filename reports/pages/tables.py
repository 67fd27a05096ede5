"""Tables of the sheet: thin rules, no boxes in boxes, heads that repeat on the next page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, Table

from reports.amounts import Amount, Limit, Standing
from reports.drawings.standing_mark import standing_mark
from reports.figures import UNKNOWN, Units, amount_text, beside, limit_text
from reports.pages.stationery import COLUMN, words
from reports.pdf import Picture
from reports.theme import LIGHT

Cell: TypeAlias = Flowable | str | list  # type: ignore[valid-type]
INK, RULE = HexColor(LIGHT["ink"]), HexColor(LIGHT["rule"])
NOTHING = "–"


def ruled(
    rows: Sequence[Sequence[Cell]],
    widths: Sequence[float],
    head: Sequence[str] = (),
    pad: float = 1.8,
    top_rule: bool = True,
    head_type: ParagraphStyle = COLUMN,
) -> Table:
    """Rows with a thin rule under each; the head, if any, under a thicker one."""
    head_row = [[words(name, head_type) for name in head]] if head else []
    look = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 5),
        ("TOPPADDING", (0, 0), (-1, -1), pad),
        ("BOTTOMPADDING", (0, 0), (-1, -1), pad),
        ("LINEBELOW", (0, 0), (-1, -1), 0.4, RULE),
    ]
    if head:
        look.append(("LINEBELOW", (0, 0), (-1, 0), 0.9, INK))
        look.append(("VALIGN", (0, 0), (-1, 0), "BOTTOM"))
    elif top_rule:
        look.append(("LINEABOVE", (0, 0), (-1, 0), 0.9, INK))
    return Table(
        [*head_row, *[list(row) for row in rows]],
        colWidths=list(widths),
        repeatRows=len(head_row),
        style=look,
        hAlign="LEFT",
    )


def columns(cells: Sequence[Cell], widths: Sequence[float], gap: float = 9.0) -> Table:
    """Things side by side, tops level, nothing drawn between them."""
    look = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), gap),
        ("RIGHTPADDING", (-1, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 0),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
    ]
    return Table([list(cells)], colWidths=list(widths), style=look, hAlign="LEFT")


def marked(standing: Standing, size: float = 8.6) -> Picture:
    return Picture(standing_mark(standing, size))


def measured_texts(measured: Amount | str | None, limit: Limit | str | None, units: Units) -> tuple[str, str]:
    """The two cells 'found' and 'limit'; what is missing says so, with its reason."""
    if isinstance(measured, Amount) and isinstance(limit, Limit):
        found, asked = beside(measured, limit, units)
    else:
        found = amount_text(measured, units) if isinstance(measured, Amount) else (measured or UNKNOWN)
        asked = limit_text(limit, units) if isinstance(limit, Limit) else (limit or NOTHING)
    if isinstance(measured, Amount) and not measured.known and measured.why_unknown:
        found += f": {measured.why_unknown}"
    return found, asked
