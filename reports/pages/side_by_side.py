"""Many short paragraphs in columns of equal height, cut into pieces where they do not fit a page."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import Flowable, Paragraph

from reports.pages.fitting import balanced, how_many_fit
from reports.pages.tables import columns

GAP = 9.0


def column_width(wide: float, count: int) -> float:
    return (wide - GAP * (count - 1)) / count


def in_columns(paragraphs: Sequence[Paragraph], wide: float, count: int) -> Flowable:
    """All of them, dealt out in order so that the columns end about level."""
    dealt = balanced(_heights(paragraphs, wide, count), count)
    return side_by_side([[paragraphs[i] for i in column] for column in dealt], wide, count)


def in_pieces(paragraphs: Sequence[Paragraph], wide: float, count: int, tall: float) -> list[Flowable]:
    """As `in_columns`, in pieces no taller than asked for, so that pages may break between them."""
    rest, pieces = list(paragraphs), []
    while rest:
        heights = _heights(rest, wide, count)
        some = how_many_fit(heights, count * (tall - max(heights)))
        pieces.append(in_columns(rest[:some], wide, count))
        rest = rest[some:]
    return pieces


def side_by_side(cells: Sequence[list], wide: float, count: int) -> Flowable:
    room = column_width(wide, count)
    return columns([cell or "" for cell in cells], [*[room + GAP] * (count - 1), room], gap=GAP)


def _heights(paragraphs: Sequence[Paragraph], wide: float, count: int) -> list[float]:
    room = column_width(wide, count)
    return [p.wrap(room, 1e6)[1] + p.getSpaceAfter() for p in paragraphs]
