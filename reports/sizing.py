"""The report on a field's size as a PDF."""

from __future__ import annotations

import io
from typing import Literal

from reports import typeface
from reports.figures import Units, check_units
from reports.pages.plain_paper import Heading, NumberedCanvas, PlainPaper
from reports.pages.sizing_pages import answer_page, basis_page, codes_page, sheet_pages, winds_page
from reports.sizing_data import SizingReport


def render_sizing(report: SizingReport, paper: Literal["A4", "letter"] = "A4", units: Units = "si") -> bytes:
    """Print a report on a field's size; the same report always gives the same bytes.

    Raises
    ------
    UnknownChoice
        If the paper or the units are not offered.
    """
    check_units(units)
    out = io.BytesIO()
    heading = Heading(
        title="Field report",
        subject=typeface.clip(f"{report.field.name}, {report.day}, {report.date.isoformat()}", 110),
        lines=(
            f"engine {report.engine_version} · winds {report.fingerprint[:16]}",
            f"Codes: {'; '.join(report.code_editions) or 'none named'}",
        ),
        creator=f"rangehand {report.engine_version}",
    )
    document = PlainPaper(out, paper, heading)
    wide = document.text_width
    story = [
        *answer_page(report, units, wide, document.text_height),
        *winds_page(report, units, wide, document.text_height),
        *codes_page(report, units, wide),
        *sheet_pages(report, units, wide),
        *basis_page(report, units),
    ]
    document.build(story, canvasmaker=NumberedCanvas)
    return out.getvalue()
