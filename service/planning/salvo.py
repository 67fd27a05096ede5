"""Several rockets launched at once: what the codes ask of each because the others fly with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.codes.classify import category
from service.codes.rulebook import evaluate_all
from service.models.assessment import Assessment
from service.models.day import LaunchDay
from service.models.entry import Entry
from service.models.finding import Finding
from service.planning import facts as known
from service.planning.facts import Fact
from service.planning.ground import Ground


@dataclass(frozen=True)
class SalvoLine:
    """One of the rockets, and the findings that being launched together adds or changes, worst first."""

    entry_id: str
    findings: tuple[Finding, ...]


def salvo_findings(
    day: LaunchDay, ground: Ground, together: Sequence[tuple[Entry, Assessment | None]]
) -> tuple[SalvoLine, ...]:
    """Hold each rocket of a salvo against the codes once alone and once with the others; what differs is told.

    Parameters
    ----------
    day : LaunchDay
    ground : Ground
        Of the day's field.
    together : sequence of (Entry, Assessment or None)
        The rockets, each with its current assessment. Without one its apogee is not known, nor then a distance
        that rests on the highest of them.

    Notes
    -----
    The highest apogee is the largest 95th percentile: the distances grow with it, so this is the careful reading.
    """
    alone = [_facts(day, ground, entry, assessment) for entry, assessment in together]
    tops = [each["apogee_high_m"] for each in alone]
    shared: dict[str, Fact] = {
        "simultaneous_count": float(len(together)),
        "simultaneous_high_power_count": _high_power(alone),
        "simultaneous_impulse_ns": sum(float(each["impulse_ns"] or 0.0) for each in alone),
        "simultaneous_apogee_m": None if any(top is None for top in tops) else max(float(top or 0.0) for top in tops),
    }
    lines = []
    for (entry, _), own in zip(together, alone, strict=True):
        attested = {**day.attestations, **entry.attestations}
        single = {each.rule: each for each in evaluate_all(day.codes, day.local_rules, own, attested)}
        joint = evaluate_all(day.codes, day.local_rules, {**own, **shared}, attested)
        lines.append(SalvoLine(entry.id, tuple(each for each in joint if _differs(single.get(each.rule), each))))
    return tuple(lines)


def _facts(day: LaunchDay, ground: Ground, entry: Entry, assessment: Assessment | None) -> dict[str, Fact]:
    """What the rules about several at once may ask: rocket, pad, field, weather and the estimated flight."""
    pad, estimate = day.pad_by_name(entry.pad), assessment.estimate if assessment else None
    at = day.conditions.observed_at
    return {
        **known.rocket_facts(day, entry),
        **known.weather_facts(day, day.conditions, pad, at, estimate.flight_time_s.nominal if estimate else None),
        **known.estimate_facts(None, estimate, day.conditions, None),
        **known.field_facts(day, ground, pad, at),
    }


def _high_power(rockets: Sequence[dict[str, Fact]]) -> float | None:
    """How many are high power; None where that is not known of one. [count]"""
    kinds = [category(each) for each in rockets]
    return None if None in kinds else float(kinds.count("high_power"))


def _differs(alone: Finding | None, joint: Finding) -> bool:
    return alone is None or (alone.standing, alone.limit) != (joint.standing, joint.limit)
