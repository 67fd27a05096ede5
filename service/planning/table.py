"""The day's assessments as a table for the terminal."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator

from service.models.assessment import Assessment, DayAssessment, Spread

WIDTH = 118


def rounded(spread: Spread, unit: str) -> str:
    """A value rounded to what is known of it, with its spread: `410 ± 30 m`."""
    if spread.nominal is None:
        return "unknown"
    half = spread.half_width
    if not half:
        return f"{spread.nominal:,.3g} {unit}"
    step = 10.0 ** max(len(str(int(half))) - 1, 0) if half >= 1.0 else 0.1
    digits = 0 if step >= 1.0 else 1
    return f"{step * round(spread.nominal / step):,.{digits}f} ± {step * max(round(half / step), 1):,.{digits}f} {unit}"


def share_words(chance: float) -> str:
    """A share in per cent, rounded down, so that only what is all of them reads as all.

    >>> share_words(0.9996), share_words(1.0), share_words(0.0), share_words(0.0004)
    ('99.9 %', '100 %', '0 %', '< 0.1 %')
    """
    if chance in (0.0, 1.0):
        return f"{100.0 * chance:.0f} %"
    tenths = math.floor(1000.0 * chance + 1e-9)
    return f"{tenths / 10.0:.1f} %" if tenths else "< 0.1 %"


def table_lines(result: DayAssessment) -> Iterator[str]:
    """A line or two an entry, the ones that need attention most first."""
    yield f"{result.day}, {result.date}, conditions of {result.conditions_at}; engine {result.engine}"
    yield f"{'entry':<7}{'standing':<10}{'apogee':<15}{'off the guide':<15}{'inside':<9}rocket, motor, and what decides"
    for each in result.assessments:
        yield from _rows(each)
    counts = ", ".join(f"{number} {standing}" for standing, number in result.standings.items())
    yield f"{len(result.assessments)} entries: {counts}."


def _rows(each: Assessment) -> Iterator[str]:
    estimate = each.estimate
    planned = each.footprint("planned")
    inside = share_words(planned.inside.estimate) if planned and planned.inside else "unknown"
    apogee = rounded(estimate.apogee_m, "m") if estimate else "unknown"
    leaves = rounded(estimate.exit_speed_mps, "m/s") if estimate else "unknown"
    head = f"{each.entry:<7}{each.standing.upper():<10}{apogee:<15}{leaves:<15}{inside:<9}"
    yield f"{head}{each.rocket}, {each.motor}"
    if each.standing != "clear":
        yield from textwrap.wrap(each.decides, WIDTH, initial_indent=" " * 17, subsequent_indent=" " * 17)
