"""The findings that are not clear, in full: standing, sentence, found, limit, source, and initials or room for them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from reportlab.platypus import Paragraph, Table

from reports.amounts import Standing
from reports.figures import Units
from reports.pages import stationery as paper
from reports.pages.forms import Form
from reports.pages.stationery import stated, words
from reports.pages.tables import marked, measured_texts, ruled
from reports.sentences import say, sentence
from reports.sheet_data import Finding

Row: TypeAlias = list
HEAD = ("finding", "", "found", "limit")


@dataclass(frozen=True)
class _Same:
    """What findings share that say the same thing from different sources."""

    standing: Standing
    says: str
    found: str
    asked: str
    change: str
    initials: str  # one row, one word: what one of its sources lacks must not stand as given


def against_rows(
    findings: Sequence[Finding], units: Units, form: Form, initials: Mapping[str, str] | None = None
) -> list[Row]:
    """A row for each thing that stands against the flight; the same thing said by several sources is one row.

    `initials` are those given on cautions, by rule.
    """
    sources: dict[_Same, list[str]] = {}
    for finding in findings:
        found, asked = measured_texts(finding.measured, finding.limit, units)
        given = (initials or {}).get(finding.rule_id, "")
        same = _Same(finding.standing, say(finding.says, units), found, asked, say(finding.change, units), given)
        source = source_words(finding, form.brief)
        kept = sources.setdefault(same, [])
        if source not in kept:
            kept.append(source)
    return [_row(same, texts, form) for same, texts in sources.items()]


def against_table(rows: Sequence[Row], wide: float, form: Form, initialled: bool = False) -> Table:
    """The rows under their heads; where initials are given, a head says what they are."""
    widths = [wide * f for f in (0.108, 0.591, 0.117, 0.129, 0.055)]
    return ruled(rows, widths, (*HEAD, "initials" if initialled else ""), pad=form.row_pad)


def _row(same: _Same, sources: list[str], form: Form) -> Row:
    change = f"Would clear it: {sentence(same.change)}" if same.change else ""
    text = stated(same.says, change, ". ".join(sources), form.finding)
    found = words(same.found, form.found, 120)
    initials: Paragraph | str = ""
    if same.standing == "caution":
        initials = words(same.initials, paper.FINE_STRONG, 8) if same.initials else words("initials", paper.COLUMN)
    return [marked(same.standing, 7.0), text, found, words(same.asked, paper.SMALL, 120), initials]


def source_words(finding: Finding, brief: bool = False) -> str:
    """'NAR model code, item 6; 2012-08; code, read in a copy'; nothing is said twice.

    `brief` is where room is short: how the figure is known then stands at the end of the sheet only.
    """
    if brief and finding.short_source:
        return finding.short_source
    weight = "" if finding.weight in finding.known.split() else finding.weight
    known = ", ".join(part for part in (weight, finding.known) if part)
    return "; ".join(dict.fromkeys(part for part in (finding.clause, finding.edition, known) if part))
