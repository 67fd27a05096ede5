"""How closely an entry's page is set: from roomy to close, tried in this order until everything fits.

What decides is never set smaller than the reading size of the form; only the sheet's last resort goes below 9 pt.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from reports.pages import stationery as paper
from reports.pages.clear_list import ClearItem, listed, run_on


@dataclass(frozen=True)
class Form:
    """Type and room of one page. `brief` prints sources and what decides as short as they are known."""

    finding: ParagraphStyle
    found: ParagraphStyle
    figure: float  # type size [pt]
    figure_pad: float
    row_pad: float  # above and below a finding
    map_least: float
    plot_least: float
    brief: bool
    clear: Callable[[Sequence[ClearItem], float], list[Flowable]]


ROOMY = Form(paper.FINDING, paper.FOUND, 7.4, 0.5, 1.0, 58 * mm, 29 * mm, False, listed)
RUN = Form(paper.FINDING, paper.FOUND, 7.4, 0.5, 1.0, 56 * mm, 26 * mm, False, run_on)
CLOSE = Form(paper.style(8.4, 9.7), paper.style(9, 9.7, bold=True), 7.0, 0.1, 0.4, 50 * mm, 20 * mm, True, run_on)
FORMS = (ROOMY, RUN, CLOSE)
MAP_MOST, PLOT_MOST = 86 * mm, 42 * mm
