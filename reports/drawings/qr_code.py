"""A QR code (ISO/IEC 18004) as a picture."""

from __future__ import annotations

import itertools

import segno

from reports.scene import Area, Look, Scene

LONGEST = 300  # bytes; more would need modules too fine to scan off a printed page
QUIET = 2  # modules left white around it; the paper around is white as well


def scannable(text: str) -> bool:
    """Whether a code of this text can be read off a printed page."""
    return 0 < len(text.encode("utf-8", "replace")) <= LONGEST


def qr_code(text: str, size: float, title: str = "QR code") -> Scene:
    """The code of a text, as a square. [pt]

    >>> len(qr_code("http://192.0.2.7/assessments/1", 48.0).shapes)
    1
    """
    rows = [list(row) for row in segno.make(text, error="m", micro=False).matrix_iter(border=QUIET)]
    step = size / len(rows)
    bars = []
    for y, row in enumerate(rows):
        x = 0
        for dark, run in itertools.groupby(row):
            count = len(list(run))
            if dark:
                left, right, top, bottom = x * step, (x + count) * step, y * step, (y + 1) * step
                bars.append(((left, top), (right, top), (right, bottom), (left, bottom)))
            x += count
    scene = Scene(size, size, title)
    scene.add(Area(tuple(bars), Look(fill="ink"), name="code"))
    return scene
