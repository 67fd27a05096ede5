"""How far a guide may lean, by every rule in force on this entry."""

from __future__ import annotations

import math
from dataclasses import dataclass

from service.codes.rulebook import evaluate_all
from service.models.assessment import Assessment
from service.models.conditions import Conditions
from service.models.day import LaunchDay
from service.models.entry import Entry
from service.models.field import Pad
from service.models.finding import Finding
from service.planning import facts as known
from service.planning.ground import Ground

NO_RULE_DEG = 20.0  # NAR High Power Rocket Safety Code, item 7 (from memory): the stricter of the two NAR codes
UPRIGHT_DEG = 0.0


@dataclass(frozen=True)
class TiltLimit:
    """The furthest lean, in half degrees, and where it comes from."""

    half_deg: int
    rule: str | None
    words: str


def tilt_limit(
    day: LaunchDay, entry: Entry, pad: Pad, conditions: Conditions, ground: Ground, assessed: Assessment
) -> TiltLimit:
    """The strictest limit of all rules about the tilt that hold or may hold for this entry.

    A rule of which it is not known whether it applies counts as if it did.
    """
    upright = _tilt_findings(day, entry, pad, conditions, ground, assessed, UPRIGHT_DEG)
    limits = [(each.limit_si, each) for each in upright if each.comparison != "at_least" and each.limit_si is not None]
    if not limits:
        words = f"No code in force says how far a guide may lean; {NO_RULE_DEG:g}° was kept to."
        return TiltLimit(round(2 * NO_RULE_DEG), None, words)
    limit_deg, finding = min(limits, key=lambda each: each[0])
    half_deg = math.floor(2.0 * max(limit_deg, 0.0) + 1e-9)
    while half_deg > 0 and not _holds(
        _tilt_findings(day, entry, pad, conditions, ground, assessed, 0.5 * half_deg), upright
    ):
        half_deg -= 1  # a rule that asks for more than a figure
    clause = f"{finding.source.clause}, {finding.source.edition}".rstrip(", ")
    return TiltLimit(half_deg, finding.rule, f"{finding.statement} ({clause}.)")


def _tilt_findings(
    day: LaunchDay, entry: Entry, pad: Pad, conditions: Conditions, ground: Ground, assessed: Assessment,
    tilt_deg: float,
) -> list[Finding]:  # fmt: skip
    leant = pad.model_copy(update={"tilt_deg": tilt_deg})
    estimate = assessed.estimate
    facts = {
        **known.rocket_facts(day, entry),
        **known.weather_facts(
            day, conditions, leant, conditions.observed_at, estimate.flight_time_s.nominal if estimate else None
        ),
        **known.estimate_facts(None, estimate, conditions, None),
        **known.field_facts(day, ground, leant, conditions.observed_at),
    }
    return [each for each in evaluate_all(day.codes, day.local_rules, facts) if each.quantity == "tilt_deg"]


def _holds(found: list[Finding], upright: list[Finding]) -> bool:
    """No rule about the tilt stands at stop or caution that does not stand so upright already."""
    before = {each.rule: each.standing for each in upright}
    return all(each.standing in ("clear", "unknown", before.get(each.rule)) for each in found)
