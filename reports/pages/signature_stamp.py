"""Where the digital signature shows on a sheet's first page, and what stands there."""

from __future__ import annotations

import io

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from reports.pages import stationery as paper
from reports.pages.clock import clock
from reports.pages.front_page import SIGNATURE_SHARES
from reports.sheet_data import Signature
from reports.typeface import fit, printable, register

Place = tuple[float, float, float, float]  # left, bottom, right, top in points from the page's lower left corner
TALL = 34.0


def signature_place(page: tuple[float, float]) -> Place | None:
    """The place on a first page of this size; None for a page that is not one of the sheet's papers. [pt]"""
    if not any(abs(page[0] - w) < 1.0 and abs(page[1] - h) < 1.0 for w, h in paper.SIZES.values()):
        return None
    wide = page[0] - 2 * paper.SIDE
    left = paper.SIDE + wide * sum(SIGNATURE_SHARES[:3])
    bottom = paper.FOOT + paper.SIGN_BLOCK - 2 * mm - 52 + 1.5
    return left, bottom, left + wide * SIGNATURE_SHARES[3] - 10, bottom + TALL


def signature_stamp(signature: Signature, club: str, wide: float, tall: float) -> bytes:
    """A small PDF that names who signed, in which role, when, and by whose key."""
    register()
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(wide, tall), invariant=1)
    canvas.setFillColor(paper.COLOURS["ink"])
    lines = (
        (f"Signed by {signature.by}", 7.6, True),
        (signature.role, 7.2, False),
        (clock(signature.at), 7.2, False),
        (f"with the key of {club}", 6.8, False),
    )
    y = tall - 7.5
    for text, size, bold in lines:
        canvas.setFont(paper.BOLD if bold else paper.PLAIN, size)
        canvas.drawString(1.0, y, printable(fit(text, size, wide - 2.0, bold)))
        y -= 8.2
    canvas.showPage()
    canvas.save()
    return out.getvalue()
