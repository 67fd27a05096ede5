"""Findings as the sheet and the terminal print them: in words, each figure in the reader's units."""

from __future__ import annotations

from typing import Literal

from reports.amounts import Against, Amount, Limit, Quantity, Words, joined
from reports.sheet_data import Finding
from service.models.assessment import Assessment
from service.models.finding import Finding as Found
from service.planning.printed_figures import in_readers_units, quantity_of, rule_words
from service.planning.sheet_words import (
    KNOWN_WORDS,
    clause_words,
    note_words,
    plain_words,
    short_meaning,
    short_source,
)
from service.planning.words import figure as figure_words
from service.planning.words import kept_words

UNKNOWN = "UNKNOWN"


def printed_finding(found: Found) -> Finding:
    """One finding, ready to be printed."""
    said, note = plain_words(found.statement), note_words(found)
    return Finding(
        rule_id=found.rule,
        says=joined(rule_words(said, found), *((" ", in_readers_units(note, quantity_of(found))) if note else ())),
        standing=found.standing,
        weight=found.weight,
        measured=_measured(found),
        limit=_limit(found),
        clause=clause_words(found.source.clause),
        edition=found.source.edition,
        known=_known(found),
        short=short_meaning(found),
        short_source=short_source(found),
    )


def _known(found: Found) -> str:
    """How the figure is known; '' for one that the organiser set, which nobody has to look up."""
    own = found.source.clause in ("the organiser's limit", "the launch day's ceiling")
    return "" if own else KNOWN_WORDS[found.source.known]


def _measured(found: Found) -> Amount | str | None:
    quantity = quantity_of(found)
    if isinstance(found.measured, bool) or (found.comparison == "requires" and not isinstance(found.measured, float)):
        return kept_words(found)
    if isinstance(found.measured, str) or found.measured is None:
        return plain_words(found.measured) if found.measured else None
    if quantity and found.measured_si is not None:
        return Amount(found.measured_si, quantity)
    return figure_words(float(found.measured), found.unit)


def _limit(found: Found) -> Limit | str | None:
    quantity = quantity_of(found)
    if found.limit is None:
        return None
    if quantity and found.limit_si is not None:
        return Limit(_sense(found), Amount(found.limit_si, quantity))
    return f"{_sense(found).replace('_', ' ')} {figure_words(found.limit, found.unit)}"


def limit_beside(found: Found, quantity: Quantity) -> Limit | None:
    """The limit of a finding, to stand beside a figure of that kind."""
    if found.limit_si is None or found.comparison not in ("at_least", "at_most"):
        return None
    return Limit(found.comparison, Amount(found.limit_si, quantity))  # type: ignore[arg-type]  # one of the two


def _sense(found: Found) -> Literal["at_least", "at_most"]:
    """Which way a limit cuts; of a rule with two, that of the side it names, which is the nearer or the broken one."""
    if found.comparison in ("at_least", "at_most"):
        return found.comparison  # type: ignore[return-value]
    over = isinstance(found.measured, float) and found.limit is not None and found.measured > found.limit
    return "at_least" if over == (found.margin is None or found.margin >= 0.0) else "at_most"


def decides(each: Assessment, findings: tuple[Finding, ...]) -> Words:
    """What decides the standing, in one sentence. Findings come worst first."""
    if not findings or findings[0].standing == "clear" or each.estimate is None:
        return in_readers_units(plain_words(each.decides))
    worst, more = findings[0], _more(findings)
    tail = f" And {more} more at {worst.standing}." if more else ""
    if worst.measured is None:
        return joined("Not known: ", worst.says, tail)
    return joined(worst.says, " Found: ", (worst.measured, "."), tail)


def decides_short(each: Assessment, findings: tuple[Finding, ...]) -> Words:
    """The worst finding as a figure beside its limit: 'apogee up to 1,739 m (at most 1,500 m); 2 more'.

    Nothing where a flight was not flown or a sentence has to say it. Findings come worst first.
    """
    if not findings or findings[0].standing == "clear" or each.estimate is None or not findings[0].short:
        return ""
    worst, more = findings[0], _more(findings)
    tail = f"; {more} more" if more else ""
    if each.findings[0].measured is None:
        return f"{worst.short} {UNKNOWN}{tail}"
    if isinstance(each.findings[0].measured, bool):
        return f"{worst.short}{tail}"
    if worst.limit is None:
        return ""
    what = f"{worst.short} ".replace(", upper bound ", " up to ").replace(", lower bound ", " down to ")
    if isinstance(worst.measured, Amount) and isinstance(worst.limit, Limit):
        return (what, Against(worst.measured, worst.limit), tail)
    return (what, worst.measured or UNKNOWN, " (", worst.limit, f"){tail}")


def _more(findings: tuple[Finding, ...]) -> int:
    return sum(finding.standing == findings[0].standing for finding in findings) - 1

