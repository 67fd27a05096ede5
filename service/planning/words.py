"""Sentences about an assessment, as said to a person."""

from __future__ import annotations

import math
from typing import Literal

from reports import sentences
from reports.amounts import Amount, Limit
from reports.figures import MINUS, UNKNOWN, beside, rough
from reports.ground_data import Footprint, NearestEdge
from reports.sentences import share_of_flights
from service.models.assessment import ModeFootprint
from service.models.finding import Finding
from service.planning.plain_words import plain_words


def compass_word(bearing_deg: float) -> str:
    """The nearest of eight points.

    >>> compass_word(44.0), compass_word(338.0)
    ('north-east', 'north')
    """
    return sentences.compass(bearing_deg)


def of_100(chance: float) -> str:
    """A chance as a count of flights, rounded down, as on the sheet; never to certainty.

    >>> of_100(0.979), of_100(0.9996), of_100(1.0), of_100(0.002)
    ('97 of 100 flights', 'more than 99 of 100 flights', 'all flights flown', 'fewer than 1 of 100 flights')
    """
    if chance >= 1.0:
        return "all flights flown"
    if chance <= 0.0:
        return "none of the flights flown"
    return share_of_flights(Footprint("planned", chance_inside=chance))


def distance_in_words(distance_m: float) -> str:
    """A distance rounded to what it is known to, as on the sheet. [m]

    >>> distance_in_words(143.2), distance_in_words(12.6), distance_in_words(1234.0)
    ('140 m', '13 m', '1,200 m')
    """
    return rough(distance_m, "si")


def answer(planned: ModeFootprint | None, why_unknown: str = "") -> str:
    """Where it comes down, in one sentence: the sheet's own."""
    if planned is None or planned.inside is None or planned.nearest_edge is None:
        why = why_unknown or (planned.unknown if planned else "") or "the flight could not be computed"
        return f"Where it comes down is not known: {why}."
    edge = planned.nearest_edge
    return sentences.answer(
        Footprint(
            planned.mode,
            chance_inside=planned.inside.estimate,
            nearest_edge=NearestEdge(edge.distance_m, edge.bearing_deg, edge.contour_point, edge.boundary_point),
            samples=planned.samples or None,
        ),
        "si",
    )


UNIT_WORDS = {"1": "", "cal": "calibers", "deg": "°", "ft*lbf": "ft·lbf", "N*s": "N·s"}


def figure(value: float, unit: str) -> str:
    """A measured value with three digits, a true minus and its unit.

    >>> figure(-1.5834, "cal"), figure(1.0, "1"), figure(5599.06, "ft"), figure(0.0, "1")
    ('−1.58 calibers', '1', '5,599 ft', '0')
    """
    digits = max(0, 2 - math.floor(math.log10(abs(value)))) if 0.0 < abs(value) < 1000.0 else 0
    text = f"{value:,.{min(digits, 9)}f}" if abs(value) >= 1e-3 else f"{value:.1e}"
    if value == round(value) and abs(value) < 1000.0:
        text = f"{value + 0.0:.0f}"
    if text.startswith("-"):
        text = MINUS + text[1:]
    word = UNIT_WORDS.get(unit, unit)
    return f"{text}{'' if word == '°' else ' '}{word}".strip()


def kept_words(finding: Finding) -> str:
    """Whether a rule that asks for no figure is met. A plain yes or no would be read as the answer to its sentence.

    What is not known has one word, as a figure that is not: UNKNOWN.
    """
    return {"clear": "met", "unknown": UNKNOWN}.get(finding.standing, "not met")


def found_words(finding: Finding) -> str:
    """What was measured, in the rule's unit and, where that differs, in SI."""
    if isinstance(finding.measured, bool) or finding.measured is None:
        return kept_words(finding)
    if isinstance(finding.measured, str):
        return finding.measured
    if "chance" in (finding.quantity or "") and finding.unit == "%" and finding.limit is not None:
        # as far as samples can tell, as on paper
        sense: Literal["at_least", "at_most"] = "at_least" if finding.comparison == "at_least" else "at_most"
        limit = Limit(sense, Amount(finding.limit / 100.0, "chance"))
        return beside(Amount(float(finding.measured) / 100.0, "chance"), limit, "si")[0]
    said = figure(float(finding.measured), finding.unit)
    if finding.measured_si is not None and finding.si_unit not in ("", "1", finding.unit):
        said += f" ({figure(finding.measured_si, finding.si_unit)})"
    return said


def finding_sentence(finding: Finding) -> str:
    """A finding with what was measured."""
    statement = plain_words(finding.statement)
    if finding.standing == "unknown" and finding.measured is None:
        return f"Not known: {statement} {_capital(plain_words(finding.note))}".strip()
    said = f"{statement} Found: {found_words(finding)}."
    if finding.standing == "unknown" and finding.note:
        said += f" {_capital(plain_words(finding.note))}"
    return said


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:] + ("" if text.endswith(".") or not text else ".")


def decides(findings: list[Finding]) -> str:
    """What decides the standing, in one sentence; findings come worst first."""
    if not findings:
        return "No rule was checked."
    worst = findings[0]
    if worst.standing == "clear":
        return "Every computed and measured check is met."
    rest = sum(1 for each in findings[1:] if each.standing == worst.standing)
    more = f" And {rest} more at {worst.standing}." if rest else ""
    return finding_sentence(worst) + more
