"""What changed between two assessments of one entry: standing, landing point, apogee, and which findings."""

from __future__ import annotations

from dataclasses import dataclass

from geo.frame import distance_and_bearing
from reports.figures import Units, rough
from reports.sentences import compass
from service.models.assessment import Assessment
from service.models.finding import WORST_FIRST, Finding, Standing
from service.planning.words import found_words

NOT_WORTH_M = 5.0  # below this two nominal landings are one: a pad is set up no more exactly


@dataclass(frozen=True)
class FindingChange:
    """One finding whose standing is another now. `before` or `after` is None where the rule did not apply."""

    rule: str
    statement: str
    before: Standing | None
    after: Standing | None
    found_before: str
    found_after: str

    @property
    def worse(self) -> bool:
        """Whether it stands worse than before."""
        return _rank(self.after) < _rank(self.before)


@dataclass(frozen=True)
class Change:
    """From one assessment to another. `landing_moved_m` is None where either has no landing point. [m]"""

    entry: str
    before: Standing
    after: Standing
    landing_moved_m: float | None
    landing_moved_to: str
    apogee_before_m: float | None
    apogee_after_m: float | None
    findings: tuple[FindingChange, ...]
    new_conditions: bool

    @property
    def standing_changed(self) -> bool:
        """Whether the entry stands at another word now."""
        return self.before != self.after

    @property
    def worse(self) -> bool:
        """Whether the entry stands worse than before."""
        return _rank(self.after) < _rank(self.before)


def compare(before: Assessment, after: Assessment) -> Change:
    """What changed from one assessment of an entry to another; findings that got worse come first."""
    moved_m, toward = _moved(before, after)
    return Change(
        entry=after.entry,
        before=before.standing,
        after=after.standing,
        landing_moved_m=moved_m,
        landing_moved_to=toward,
        apogee_before_m=before.estimate.apogee_m.nominal if before.estimate else None,
        apogee_after_m=after.estimate.apogee_m.nominal if after.estimate else None,
        findings=_findings(before, after),
        new_conditions=before.conditions_at != after.conditions_at,
    )


def moved_words(change: Change, units: Units) -> str:
    """How far and where to the landing point moved, no finer than it is known."""
    if change.landing_moved_m is None:
        return "where the landing moved is not known"
    if change.landing_moved_m < NOT_WORTH_M:
        return "landing where it was"
    return f"landing moved {rough(change.landing_moved_m, units)} to the {change.landing_moved_to}"


def _rank(standing: Standing | None) -> int:
    return len(WORST_FIRST) if standing is None else WORST_FIRST.index(standing)


def _moved(before: Assessment, after: Assessment) -> tuple[float | None, str]:
    ends = [each.footprint("planned") for each in (before, after)]
    points = [each.landing if each else None for each in ends]
    if points[0] is None or points[1] is None:
        return None, ""
    distance_m, bearing_deg = distance_and_bearing(*points[0], *points[1])
    return float(distance_m), compass(float(bearing_deg))


def _findings(before: Assessment, after: Assessment) -> tuple[FindingChange, ...]:
    old = {each.rule: each for each in before.findings}
    new = {each.rule: each for each in after.findings}
    changes = [_change(old.get(rule), new.get(rule)) for rule in dict.fromkeys([*new, *old])]
    told = [each for each in changes if each is not None]
    return tuple(sorted(told, key=lambda each: (not each.worse, _rank(each.after))))


def _change(old: Finding | None, new: Finding | None) -> FindingChange | None:
    """None where nothing changed that a reader has to know: a check that came or went while clear is no news."""
    standings = (old.standing if old else None, new.standing if new else None)
    named = new or old
    if named is None or standings[0] == standings[1] or set(standings) == {None, "clear"}:
        return None
    found = [found_words(each) if each else "" for each in (old, new)]
    return FindingChange(named.rule, named.statement, *standings, *found)
