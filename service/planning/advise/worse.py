"""Whether a change does harm: another finding that stands worse, or whose figure moves further past its limit.

A finding at stop cannot stand worse, but what it measures can: a landing outside in 42 of 100 flights is no reason to
make it 66. Nor may it come to stand at unknown because there is nothing left to measure.
"""

from __future__ import annotations

from geo.containment import upper_bound
from service.models.assessment import Assessment
from service.models.finding import Finding
from service.planning.advise.trials import RISK_FACTOR, RISKS, seen_standing

LEAST_SHARE = 0.02  # of the limit: less than this further is the rounding of a figure, not another flight
RISK_AGAIN = 1.25  # a risk that rises by less is the same, as far as all flights can tell
CONFIDENCE = 0.975  # of the upper end of a chance, as in its two-sided interval of 95 %


def miss(finding: Finding) -> float | None:
    """How far a figure lies beyond its limit, in the rule's unit; below zero inside; None where there is no figure."""
    measured, limit = finding.measured, finding.limit
    if limit is None or isinstance(measured, bool) or not isinstance(measured, float | int):
        return None
    over = float(measured) - limit
    return {"at_most": over, "at_least": -over}.get(finding.comparison, abs(over))


def further(before: Assessment, after: Assessment, few: bool = False) -> list[str]:
    """Rules still not clear after a change whose figure it moves further past the limit, or from a stop to no figure.

    Parameters
    ----------
    before, after : Assessment
        Of the same draws, so that they differ by the change alone.
    few : bool
        Whether both are of few flights: findings are then read as these show them.
    """
    was = {each.rule: each for each in before.findings}
    samples = min(before.samples, after.samples)
    found = []
    for finding in after.findings:
        stands = seen_standing(finding) if few else finding.standing
        if stands == "clear" or finding.rule not in was:
            continue
        earlier = was[finding.rule]
        then, now = miss(earlier), miss(finding)
        if then is not None and now is None and (earlier.standing, stands) == ("stop", "unknown"):
            found.append(finding.rule)  # it mends nothing that it cannot be told any more
        elif then is not None and now is not None and now > max(then, 0.0) + _room(earlier, samples, few):
            found.append(finding.rule)
    return found


def _room(finding: Finding, samples: int, few: bool) -> float:
    """How much further a figure may lie and still be called the same, in the rule's unit."""
    measured = float(finding.measured or 0.0)  # a number: `miss` has said so
    least = LEAST_SHARE * abs(finding.limit or 0.0)
    if finding.quantity in RISKS:
        return max(least, measured * ((RISK_FACTOR if few else RISK_AGAIN) - 1.0))
    if "chance" in (finding.quantity or "") and samples > 0:
        unit = 0.01 if finding.unit == "%" else 1.0
        share = min(max(measured * unit, 0.0), 1.0)
        return max(least, (upper_bound(round(share * samples), samples, CONFIDENCE) - share) / unit)
    return least
