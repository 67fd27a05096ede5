"""The order of the entries: what needs a human eye first."""

from __future__ import annotations

from reports.amounts import STANDINGS_WORST_FIRST, Standing
from reports.sheet_data import EntryPage, Finding


def _rank(standing: Standing) -> int:
    return STANDINGS_WORST_FIRST.index(standing)


def by_attention(entries: tuple[EntryPage, ...]) -> list[EntryPage]:
    """Worst standing first; among equals as handed over, which is the order of every other list of the day."""
    return sorted(entries, key=lambda entry: _rank(entry.standing))


def findings_by_attention(findings: tuple[Finding, ...]) -> tuple[list[Finding], list[Finding]]:
    """Those that are not clear, worst first; and the clear ones."""
    ordered = sorted(findings, key=lambda finding: _rank(finding.standing))
    return [f for f in ordered if f.standing != "clear"], [f for f in ordered if f.standing == "clear"]
