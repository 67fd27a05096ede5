"""How far a motor is from passing: what it misses by, and whether that keeps it from staying inside."""

from __future__ import annotations

from collections.abc import Iterable

from service.models.finding import Finding
from service.planning.advise.trials import seen_standing
from service.planning.advise.worse import miss

MOST = 1.0  # a limit missed by more than itself counts as that much: chances miss theirs a hundredfold
FIELD = "outside_chance"  # planned mode
CEILING = ("apogee", "simultaneous_apogee")


def gap(finding: Finding) -> float:
    """What is missing, as a share of the limit; 1 where that cannot be told."""
    over = miss(finding)
    if over is None or not finding.limit:
        return 1.0
    return max(over, 0.0) / abs(finding.limit)


def shortfall(not_clear: Iterable[Finding]) -> float:
    """All that is missing, each limit missed counted once at most."""
    return round(sum(min(gap(finding), MOST) for finding in not_clear), 6)


def stays(findings: Iterable[Finding]) -> bool:
    """Whether it stays inside the field and under the ceiling, by every check of the two; no check is no answer."""
    bound = [each for each in findings if each.quantity == FIELD or (each.quantity or "").startswith(CEILING)]
    clear = all(seen_standing(each) == "clear" for each in bound)
    return clear and any(each.quantity == FIELD for each in bound)
