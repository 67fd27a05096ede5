"""The range sheet as a PDF: the first page for the RSO, a page for each entry, then how it was reckoned."""

from __future__ import annotations

import dataclasses
import io
from collections.abc import Callable
from typing import Literal

from reportlab.pdfgen.canvas import Canvas

from reports import typeface
from reports.figures import Units, check_units
from reports.ground_data import Contour
from reports.pages.attention import by_attention
from reports.pages.clock import clock
from reports.pages.entry_page import entry_page
from reports.pages.front_page import front_page, signature_block
from reports.pages.reckoning import reckoning
from reports.pages.stationery import Imprint, SheetCanvas, Stationery
from reports.sheet_data import Flight, RangeSheet

AROUND = 2  # pages before and after the entries', of most days


def render_sheet(
    sheet: RangeSheet,
    paper: Literal["A4", "letter"] = "A4",
    units: Units = "si",
    progress: Callable[[int, int, str], None] | None = None,
) -> bytes:
    """Print a range sheet.

    The same sheet always gives the same bytes. Without a `signature` every page says UNSIGNED.

    Parameters
    ----------
    sheet : RangeSheet
        What to print; nothing is computed but rounding, units and the order of entries.
    paper : 'A4' or 'letter'
    units : 'si' or 'us'
        Units of the reader; values stay SI inside.
    progress : callable, optional
        Told (done, in all, words) as entries are laid out and pages drawn; what it raises ends the work.

    Returns
    -------
    bytes
        A PDF file with its typeface embedded and its text as text.

    Raises
    ------
    UnknownChoice
        If the paper or the units are not offered.
    UnevenSeries
        If a flight has more times than heights, or fewer.
    """
    check_units(units)
    out = io.BytesIO()

    def sign(canvas: Canvas, left: float, top: float, wide: float) -> None:
        signature_block(canvas, left, top, wide, sheet.signature)

    document = Stationery(out, paper, _imprint(sheet), sign)
    wide, tall = document.text_width, document.text_height
    count = len(sheet.entries)
    total = 2 * count + AROUND

    def told(done: int, words: str) -> None:
        if progress:
            progress(min(done, total), total, words)

    story = front_page(sheet, units, wide)
    for index, entry in enumerate(by_attention(sheet.entries)):
        told(index, f"laying out {typeface.clip(entry.entry_id, 40)}")
        story += entry_page(sheet, entry, index, units, wide, tall)
    story += reckoning(sheet, units, wide)
    document.setProgressCallBack(
        lambda kind, page: told(count + page - 1, f"drawing page {page}") if kind == "PAGE" else None
    )
    document.build(story, canvasmaker=SheetCanvas)
    return out.getvalue()


def _imprint(sheet: RangeSheet) -> Imprint:
    signature = sheet.signature
    return Imprint(
        day=typeface.clip(sheet.day, 60),
        date=sheet.date.isoformat(),
        document=sheet.document_hash,
        engine=sheet.engine_version,
        codes=sheet.code_titles or sheet.code_editions,
        signed=f"Signed by {signature.by}, {signature.role}" if signature else "",
        signed_at=clock(signature.at) if signature else "",
        letters_missing=typeface.MISSING_NOTE if _letters_missing(sheet) else "",
    )


def _letters_missing(value: object) -> bool:
    """Whether any text in the sheet has letters that the typeface lacks."""
    if isinstance(value, str):
        return typeface.MISSING in typeface.printable(value)
    if isinstance(value, (Contour, Flight)):
        value = value.events if isinstance(value, Flight) else ()  # the rest is thousands of numbers
    if isinstance(value, (tuple, list)):
        return any(_letters_missing(item) for item in value if not isinstance(item, float))
    if dataclasses.is_dataclass(value):
        return any(_letters_missing(getattr(value, field.name)) for field in dataclasses.fields(value))
    return False
