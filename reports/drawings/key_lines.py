"""Words under a picture, broken into as many lines as its width takes."""

from __future__ import annotations

from collections.abc import Iterable

from reports.drawings.axes import TYPE
from reports.scene import Label, Shape
from reports.typeface import fit
from reports.typeface import width as text_width

SIZE = TYPE - 0.2  # still 16 px on a phone
LEAD = 10.0


def key_lines(sentences: Iterable[str], width: float) -> list[str]:
    """The lines, each as long as fits, every sentence on a line of its own.

    >>> key_lines(["one two"], 500.0), key_lines(["one two"], 16.0)
    (['one two'], ['one', 'two'])
    """
    lines: list[str] = []
    for sentence in sentences:
        line = ""
        for word in sentence.split():
            longer = f"{line} {word}".strip()
            if line and text_width(longer, SIZE) > width:
                lines.append(line)
                longer = word
            line = longer
        lines.append(line)
    return [fit(line, SIZE, width) for line in lines]


def draw_lines(lines: Iterable[str], top: float) -> list[Shape]:
    """The lines from a height down."""
    return [
        Label(line, (0.0, top + LEAD * (number + 1)), SIZE, role="soft", name="key")
        for number, line in enumerate(lines)
    ]
