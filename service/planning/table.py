"""The day's assessments as a table for the terminal: in the words, the order and the rounding of the sheet."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator

from reports.amounts import Amount, Quantity
from reports.figures import UNKNOWN, amount_text
from reports.ground_data import Footprint
from reports.sentences import inside_text, plural, say, sentence
from service.models.assessment import Assessment, DayAssessment, Spread
from service.planning.sheet_findings import decides, decides_short, printed_finding

WIDTH = 118
INDENT = " " * 17


def rounded(spread: Spread, quantity: Quantity) -> str:
    """A value rounded to what is known of it, with its spread: `410 ± 30 m`."""
    return _lower(amount_text(Amount(spread.nominal, quantity, spread.half_width), "si"))


def _lower(text: str) -> str:
    """Capitals are for the standing alone."""
    return text.lower() if text == UNKNOWN else text


def share_words(chance: float) -> str:
    """A share of samples in per cent, rounded down; of samples none is certain, so it is never all or nothing.

    >>> share_words(0.9996), share_words(1.0), share_words(0.0), share_words(0.0004)
    ('99.9 %', '> 99.9 %', '< 0.1 %', '< 0.1 %')
    """
    if chance >= 1.0:
        return "> 99.9 %"
    tenths = math.floor(1000.0 * chance + 1e-9)
    return f"{tenths / 10.0:.1f} %" if tenths else "< 0.1 %"


def table_lines(result: DayAssessment) -> Iterator[str]:
    """A line or two an entry, the ones that need attention most first."""
    yield f"{result.day}, {result.date}, conditions of {result.conditions_at}; engine {result.engine}"
    yield from textwrap.wrap(result.wind, WIDTH)
    head = f"{'entry':<7}{'standing':<10}{'apogee':<16}{'off the guide':<16}{'inside':<12}"
    yield f"{head}rocket, motor, and what decides"
    for each in result.assessments:
        yield from _rows(each)
    counts = ", ".join(f"{number} {standing}" for standing, number in result.standings.items())
    yield f"{plural(len(result.assessments), 'entry', 'entries')}: {counts}."


def _rows(each: Assessment) -> Iterator[str]:
    estimate, planned = each.estimate, each.footprint("planned")
    inside = "unknown"
    if planned and planned.inside:
        inside = inside_text(Footprint("planned", chance_inside=planned.inside.estimate, samples=planned.samples))
    apogee = rounded(estimate.apogee_m if estimate else Spread(nominal=None), "length")
    leaves = rounded(estimate.exit_speed_mps if estimate else Spread(nominal=None), "speed")
    head = f"{each.entry:<7}{each.standing.upper():<10}{apogee:<16}{leaves:<16}{inside:<12}"
    yield f"{head}{each.rocket}, {each.motor}"
    if each.standing != "clear":
        findings = tuple(printed_finding(found) for found in each.findings)
        why = sentence(say(decides_short(each, findings) or decides(each, findings), "si"))
        yield from textwrap.wrap(why, WIDTH, initial_indent=INDENT, subsequent_indent=INDENT)
