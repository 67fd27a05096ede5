"""The paper: sizes, margins, type, header, footer, page numbers and the UNSIGNED mark. Their one owner.

Every page carries the day, what it belongs to, the deferral, 'page n of N', the engine and the codes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from xml.sax.saxutils import escape

from reportlab import rl_config
from reportlab.lib.colors import HexColor
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate, Paragraph

from reports.errors import UnknownChoice
from reports.sentences import DEFERRAL, sentence
from reports.theme import LIGHT, Role
from reports.tied import tied
from reports.typeface import BOLD, PLAIN, clip, fit, printable, register, width

rl_config.useA85 = 0  # plain binary streams: a fifth smaller than as letters, and quicker to write
SIZES = {"A4": A4, "letter": LETTER}
SIDE = 11.5 * mm
HEAD = 13.5 * mm  # top of the page to the text
FOOT = 17.5 * mm
SIGN_BLOCK = 29 * mm  # kept free at the foot of the first page
UNSIGNED = "UNSIGNED"
UNSIGNED_LINE = "UNSIGNED: a draft until the range safety officer has signed it"
FINE, FINEST = 6.8, 6.5  # the smallest type on the sheet
COLOURS = {role: HexColor(colour) for role, colour in LIGHT.items()}


@cache
def style(
    size: float, lead: float | None = None, bold: bool = False, role: Role = "ink", **more: float
) -> ParagraphStyle:
    register()
    return ParagraphStyle(
        f"{size}-{bold}-{role}",
        fontName=BOLD if bold else PLAIN,
        fontSize=size,
        leading=lead or round(size * 1.24, 2),
        textColor=COLOURS[role],
        splitLongWords=1,
        **more,
    )


register()
TITLE = style(17, 20.5, bold=True, role="accent")
ANSWER = style(12, 14.5, bold=True)
FINDING = style(9, 10.6)
FOUND = style(9, 10.6, bold=True)
HEADING = style(9.5, 12, bold=True, role="accent", spaceBefore=5, spaceAfter=1.5)
BODY = style(8.6)
STRONG = style(8.6, bold=True)
SMALL = style(7.4)
SETTING = style(8.0)
SMALL_STRONG = style(7.4, bold=True)
NOTE = style(FINE, role="soft")
NOTE_INK = style(FINE)
LISTED = style(FINE, 8.3, leftIndent=6.0, firstLineIndent=-6.0, spaceAfter=0.8)
FINE_STRONG = style(FINE, bold=True)
COLUMN = style(7.0, role="soft")
LOUD = style(9.5, bold=True, role="unknown")


def words(text: str, kind: ParagraphStyle = BODY, most: int = 1200, link: str = "") -> Paragraph:
    """A paragraph of plain text: nothing in it is read as markup."""
    body = escape(tied(printable(clip(text, most)))) or "&nbsp;"
    return Paragraph(f'<a href="#{link}">{body}</a>' if link else body, kind)


def lead_in(strong: str, text: str, kind: ParagraphStyle = BODY, most: int = 4000) -> Paragraph:
    """A paragraph that opens with a bold word."""
    start, rest = escape(printable(clip(strong, 400))), escape(tied(printable(clip(text, most))))
    return Paragraph(f"<b>{start}</b> {rest}", kind)


def stated(says: str, change: str, source: str, kind: ParagraphStyle) -> Paragraph:
    """A finding's sentence, what would clear it, and in small soft type its source, in one paragraph."""
    body, more, small = (escape(tied(printable(clip(text, 400)))) for text in (sentence(says), change, source))
    aside = f'<font size="{FINEST}" color="{LIGHT["soft"]}">{small}</font>' if small else ""
    return Paragraph(" ".join(part for part in (body, f"<i>{more}</i>" if more else "", aside) if part), kind)


@dataclass(frozen=True)
class Imprint:
    """What header and footer say about the whole sheet."""

    day: str
    date: str
    document: str
    engine: str
    codes: tuple[str, ...]
    signed: str  # by whom; empty: unsigned
    signed_at: str = ""
    letters_missing: str = ""


class PageMark(Flowable):
    """Tells the page it lands on what it belongs to, and leaves a place to jump to. Draws nothing."""

    def __init__(self, subject: str, assessment: str, anchor: str, outline: str) -> None:
        super().__init__()
        self.subject, self.assessment, self.anchor, self.outline = subject, assessment, anchor, outline
        self.width = self.height = 0.0

    def wrap(self, *_room: float) -> tuple[float, float]:
        return 0.0, 0.0

    def draw(self) -> None:
        canvas = self.canv
        canvas.page_subject, canvas.page_assessment = self.subject, self.assessment
        canvas.page_anchors = [*canvas.page_anchors, (self.anchor, self.outline)]


class SheetCanvas(Canvas):
    """Holds pages back until their number is known, then prints head and foot on each."""

    imprint: Imprint
    page_subject = ""
    page_assessment = ""
    page_anchors: list[tuple[str, str]] = []

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self._held: list[dict] = []

    def showPage(self) -> None:  # noqa: N802
        self._held.append(dict(self.__dict__))
        self.page_anchors = []
        self._startPage()

    def save(self) -> None:
        for number, held in enumerate(self._held, start=1):
            self.__dict__.update(held)
            for anchor, outline in self.page_anchors:  # only now does the page exist that they lead to
                self.bookmarkPage(anchor)
                self.addOutlineEntry(printable(outline), anchor, 0)
            _head(self)
            _foot(self, number, len(self._held))
            super().showPage()
        super().save()


class Stationery(BaseDocTemplate):
    """The document: a first page with room for the signature at its foot, then plain pages."""

    def __init__(self, out, paper: str, imprint: Imprint, sign: Callable[[Canvas, float, float, float], None]) -> None:
        if paper not in SIZES:
            raise UnknownChoice(f"paper: '{paper}' is not offered; choose one of {', '.join(SIZES)}")
        page = SIZES[paper]
        super().__init__(
            out,
            pagesize=page,
            leftMargin=SIDE,
            rightMargin=SIDE,
            topMargin=HEAD,
            bottomMargin=FOOT,
            title=printable(f"Range sheet: {imprint.day}, {imprint.date}"),
            subject=printable(DEFERRAL),
            author="",
            creator=printable(f"rangehand {imprint.engine}"),
            lang="en",
            invariant=1,
        )
        self.imprint = imprint
        self.text_width = page[0] - 2 * SIDE
        self.text_height = page[1] - HEAD - FOOT

        def under(canvas: Canvas, _doc: BaseDocTemplate) -> None:
            canvas.imprint = imprint
            if not imprint.signed:
                _unsigned_across(canvas, page)

        def under_first(canvas: Canvas, doc: BaseDocTemplate) -> None:
            under(canvas, doc)
            sign(canvas, SIDE, FOOT + SIGN_BLOCK - 2 * mm, self.text_width)

        self.addPageTemplates(
            [
                PageTemplate("first", [self._frame(SIGN_BLOCK)], onPage=under_first, autoNextPageTemplate="later"),
                PageTemplate("later", [self._frame(0.0)], onPage=under),
            ]
        )

    def _frame(self, kept_free: float) -> Frame:
        bottom, tall = FOOT + kept_free, self.text_height - kept_free
        return Frame(SIDE, bottom, self.text_width, tall, leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0)


def _unsigned_across(canvas: Canvas, page: tuple[float, float]) -> None:
    """A large pale word under the text, corner to corner."""
    canvas.saveState()
    canvas.setFillColor(COLOURS["ghost"])
    canvas.translate(page[0] / 2, page[1] / 2)
    canvas.rotate(54)
    canvas.setFont(BOLD, 118)
    canvas.drawCentredString(0, -40, UNSIGNED)
    canvas.restoreState()


def _head(canvas: SheetCanvas) -> None:
    imprint, (wide, tall) = canvas.imprint, canvas._pagesize
    subject = printable(fit(canvas.page_subject, 8, 165, True))
    canvas.saveState()
    if imprint.signed:
        canvas.setFillColor(COLOURS["ink"])
        canvas.setFont(BOLD, 9)
        room = wide - 2 * SIDE - width(subject, 8, True) - (14.0 if subject else 0.0)
        canvas.drawString(SIDE, tall - 9.4 * mm, _signed(imprint, room))
    else:
        canvas.setFillColor(COLOURS["ink"])
        canvas.rect(0, tall - 11.5 * mm, wide, 6.5 * mm, stroke=0, fill=1)
        canvas.setFillColor(COLOURS["paper"])
        canvas.setFont(BOLD, 9.5)
        canvas.drawString(SIDE, tall - 9.4 * mm, UNSIGNED_LINE)
    canvas.setFont(BOLD, 8)
    canvas.drawRightString(wide - SIDE, tall - 9.4 * mm, subject)
    canvas.restoreState()


def _signed(imprint: Imprint, room: float) -> str:
    """By whom and when; a name too long for its room is cut, the time never is."""
    at = f", {imprint.signed_at}" if imprint.signed_at else ""
    return printable(fit(imprint.signed, 9, room - width(at, 9, True), True) + at)


def _foot(canvas: SheetCanvas, number: int, total: int) -> None:
    imprint, wide = canvas.imprint, canvas._pagesize[0]
    room = wide - 2 * SIDE
    canvas.saveState()
    canvas.setStrokeColor(COLOURS["rule"])
    canvas.setLineWidth(0.5)
    canvas.line(SIDE, FOOT - 3.0 * mm, wide - SIDE, FOOT - 3.0 * mm)
    canvas.setFillColor(COLOURS["ink"])
    canvas.setFont(BOLD, 8)
    pages = f"page {number} of {total}"
    canvas.drawRightString(wide - SIDE, FOOT - 6.4 * mm, pages)
    canvas.drawString(SIDE, FOOT - 6.4 * mm, fit(DEFERRAL, 8, room - width(pages, 8, True) - 8, True))
    document = clip(imprint.document, 24)  # in full at the front
    belongs = f"assessment {canvas.page_assessment}" if canvas.page_assessment else f"document {document}"
    lines = [
        f"{imprint.day}, {imprint.date} · {belongs} · engine {imprint.engine}",
        f"Codes: {'; '.join(imprint.codes) or 'none named'}",
        imprint.letters_missing,
    ]
    canvas.setFont(PLAIN, FINE)
    canvas.setFillColor(COLOURS["soft"])
    for i, line in enumerate(line for line in lines if line):
        if line.startswith("Codes") and width(line, FINE) > room:
            line = fit(line, FINE, room - width(" in full at the front", FINE)) + " in full at the front"
        canvas.drawString(SIDE, FOOT - 9.8 * mm - i * 8.2, printable(fit(line, FINE, room)))
    canvas.restoreState()
