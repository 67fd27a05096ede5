"""The one typeface of the paper, and what becomes of letters it does not have.

Bitstream Vera Sans comes inside reportlab, is embedded in every sheet, and has figures of one width.
It covers western European letters. An accent it lacks is dropped; any other letter prints as a lozenge,
and the sheet says so.
"""

from __future__ import annotations

import unicodedata
from functools import cache

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

PLAIN = "Vera"
BOLD = "VeraBd"
ITALIC = "VeraIt"
FILES = {PLAIN: "Vera.ttf", BOLD: "VeraBd.ttf", ITALIC: "VeraIt.ttf"}
MISSING = "\N{LOZENGE}"
MISSING_NOTE = f"{MISSING} stands for a letter that the typeface of this sheet does not have."


@cache
def register() -> None:
    """Make the typeface known to reportlab, once."""
    for name, file in FILES.items():
        pdfmetrics.registerFont(TTFont(name, file))
    pdfmetrics.registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=ITALIC, boldItalic=BOLD)


@cache
def letters() -> frozenset[int]:
    """Code points that every cut of the typeface has."""
    register()
    cuts = [pdfmetrics.getFont(name).face.charToGlyph for name in FILES]
    return frozenset(set(cuts[0]).intersection(*cuts[1:]))


@cache
def _letter(char: str) -> str:
    if ord(char) in letters():
        return char
    kind = unicodedata.category(char)
    if kind in ("Cf", "Mn", "Me"):
        return ""  # marks without a body, and orders to the line breaker
    if kind[0] == "Z" or kind == "Cc":
        return " "
    bare = [c for c in unicodedata.normalize("NFKD", char) if unicodedata.category(c) != "Mn"]
    return "".join(bare) if bare and all(ord(c) in letters() for c in bare) else MISSING


def printable(text: str) -> str:
    """The text in letters the typeface has; control characters become spaces.

    >>> printable("Ștefan"), printable("二重")
    ('Stefan', '◊◊')
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(" " if unicodedata.category(c) == "Cc" else _letter(c) for c in unicodedata.normalize("NFC", text))


def width(text: str, size: float, bold: bool = False) -> float:
    """Width of a line of text, in the unit of `size`."""
    register()
    return float(pdfmetrics.stringWidth(printable(text), BOLD if bold else PLAIN, size))


def clip(text: str, most: int) -> str:
    """At most so many letters; what was cut shows as an ellipsis."""
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def fit(text: str, size: float, room: float, bold: bool = False) -> str:
    """The longest start of the text that fits into the room."""
    if width(text, size, bold) <= room:
        return text
    shortest, longest = 0, min(len(text), int(room / (0.2 * size)) + 1)  # no letter is narrower than a fifth
    while shortest < longest:
        half = (shortest + longest + 1) // 2
        if width(text[:half] + "…", size, bold) <= room:
            shortest = half
        else:
            longest = half - 1
    return text[:shortest].rstrip() + "…"


def lines_of(text: str, size: float, room: float, bold: bool = False, most: int = 2) -> list[str]:
    """The text in so many lines at most, broken between words; what does not fit into a line is cut there.

    >>> lines_of("Long Heron", 7.5, 30.0), lines_of("Long Heron", 7.5, 90.0)
    (['Long', 'Heron'], ['Long Heron'])
    """
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and len(lines) < most and width(longer, size, bold) > room:
            lines.append(word)
        else:
            lines[-1] = longer
    return [fit(line, size, room, bold) for line in lines]


def fit_lines(text: str, lines: int, size: float, room: float, bold: bool = False) -> str:
    """As much of the text as fits into so many lines, words kept whole; what was cut shows as an ellipsis."""
    used, line, kept = 1, "", []
    for word in text.split():
        if width(word, size, bold) > room:  # one word wider than a line ends the text
            kept.append(word)
            break
        longer = f"{line} {word}".strip()
        if line and width(longer, size, bold) > room:
            if used == lines:
                break
            used, longer = used + 1, word
        line = longer
        kept.append(word)
    else:
        return " ".join(kept)
    while line and width(f"{line}…", size, bold) > room:
        kept.pop()
        line = line.rpartition(" ")[0]
    return fit(" ".join(kept), size, lines * room - 2 * size, bold).rstrip(" ,;(…") + "…"
