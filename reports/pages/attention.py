"""The order of the entries: what needs a human eye first."""

from __future__ import annotations

import math

from reports.amounts import STANDINGS_WORST_FIRST, Standing
from reports.sheet_data import EntryPage, Finding


def _rank(standing: Standing) -> int:
    return STANDINGS_WORST_FIRST.index(standing)


def by_attention(entries: tuple[EntryPage, ...]) -> list[EntryPage]:
    """Worst standing first; among equals the smaller chance inside, unknown before all; then as handed over."""

    def key(entry: EntryPage) -> tuple[int, float]:
        planned = entry.footprint("planned")
        chance = planned.chance_inside if planned else None
        return _rank(entry.standing), chance if chance is not None and math.isfinite(chance) else -1.0

    return sorted(entries, key=key)


def findings_by_attention(findings: tuple[Finding, ...]) -> tuple[list[Finding], list[Finding]]:
    """Those that are not clear, worst first; and the clear ones."""
    ordered = sorted(findings, key=lambda finding: _rank(finding.standing))
    return [f for f in ordered if f.standing != "clear"], [f for f in ordered if f.standing == "clear"]
