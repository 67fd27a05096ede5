"""The text of a sheet, page by page, and the file it is compared with.

To renew the file after a change that was meant, read the difference, then: python -m tests.reports.golden
"""

from __future__ import annotations

import io
from pathlib import Path

from pypdf import PdfReader

GOLDEN = Path(__file__).with_name("sheet_a4_si.txt")


def page_texts(pdf: bytes) -> list[str]:
    """Text of each page; spaces and line breaks count as one space, so that wrapping does not matter."""
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages]


def golden_text(pdf: bytes) -> str:
    return "".join(f"== page {i} ==\n{text}\n" for i, text in enumerate(page_texts(pdf), start=1))


if __name__ == "__main__":
    from reports.sheet import render_sheet
    from tests.reports.sample import SHEET

    GOLDEN.write_text(golden_text(render_sheet(SHEET)), encoding="utf-8")
