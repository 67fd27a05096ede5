"""Paper for reports that nobody signs: title and date above, the deferral and 'page n of N' below."""

from __future__ import annotations

from dataclasses import dataclass

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Frame, PageTemplate

from reports.errors import UnknownChoice
from reports.pages.stationery import COLOURS, FINE, FOOT, SIDE, SIZES
from reports.sentences import DEFERRAL
from reports.typeface import BOLD, PLAIN, fit, printable, width

HEAD = 15.0 * mm
CODES_AT_END = " in full on the last page"


@dataclass(frozen=True)
class Heading:
    """What stands on every page."""

    title: str
    subject: str
    lines: tuple[str, ...]  # at the foot, in fine type
    creator: str


class NumberedCanvas(Canvas):
    """Holds pages back until their number is known, then prints head and foot on each."""

    heading: Heading

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self._held: list[dict] = []

    def showPage(self) -> None:  # noqa: N802
        self._held.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        for number, held in enumerate(self._held, start=1):
            self.__dict__.update(held)
            _frame_page(self, number, len(self._held))
            super().showPage()
        super().save()


class PlainPaper(BaseDocTemplate):
    """The document: one kind of page."""

    def __init__(self, out, paper: str, heading: Heading) -> None:
        if paper not in SIZES:
            raise UnknownChoice(f"paper: '{paper}' is not offered; choose one of {', '.join(SIZES)}")
        page = SIZES[paper]
        super().__init__(
            out, pagesize=page, leftMargin=SIDE, rightMargin=SIDE, topMargin=HEAD, bottomMargin=FOOT,
            title=printable(f"{heading.title}: {heading.subject}"), subject=printable(DEFERRAL), author="",
            creator=printable(heading.creator), lang="en", invariant=1,
        )  # fmt: skip
        self.text_width = page[0] - 2 * SIDE
        self.text_height = page[1] - HEAD - FOOT

        def under(canvas: Canvas, _doc: BaseDocTemplate) -> None:
            canvas.heading = heading

        frame = Frame(
            SIDE, FOOT, self.text_width, self.text_height, leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0
        )
        self.addPageTemplates([PageTemplate("page", [frame], onPage=under)])


def _frame_page(canvas: NumberedCanvas, number: int, total: int) -> None:
    heading, (wide, tall) = canvas.heading, canvas._pagesize
    room = wide - 2 * SIDE
    canvas.saveState()
    canvas.setFillColor(COLOURS["ink"])
    canvas.setFont(BOLD, 8)
    canvas.drawString(SIDE, tall - 9.4 * mm, printable(fit(heading.title, 8, 0.4 * room, True)))
    canvas.setFont(PLAIN, 8)
    canvas.drawRightString(wide - SIDE, tall - 9.4 * mm, printable(fit(heading.subject, 8, 0.55 * room)))
    canvas.setStrokeColor(COLOURS["rule"])
    canvas.setLineWidth(0.5)
    canvas.line(SIDE, tall - 11.2 * mm, wide - SIDE, tall - 11.2 * mm)
    canvas.line(SIDE, FOOT - 3.0 * mm, wide - SIDE, FOOT - 3.0 * mm)
    canvas.setFont(BOLD, 8)
    pages = f"page {number} of {total}"
    canvas.drawRightString(wide - SIDE, FOOT - 6.4 * mm, pages)
    canvas.drawString(SIDE, FOOT - 6.4 * mm, fit(DEFERRAL, 8, room - width(pages, 8, True) - 8, True))
    canvas.setFont(PLAIN, FINE)
    canvas.setFillColor(COLOURS["soft"])
    for place, line in enumerate(heading.lines):
        if line.startswith("Codes") and width(line, FINE) > room:
            line = fit(line, FINE, room - width(CODES_AT_END, FINE)) + CODES_AT_END
        canvas.drawString(SIDE, FOOT - 9.8 * mm - place * 8.2, printable(fit(line, FINE, room)))
    canvas.restoreState()
