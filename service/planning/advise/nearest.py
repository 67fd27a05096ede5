"""Where nothing clears a finding: what came nearest, and by how much it misses."""

from __future__ import annotations

from dataclasses import dataclass

from service.models.assessment import Assessment
from service.models.finding import Finding
from service.planning.advise.lever import Trial
from service.planning.advise.shortfall import gap
from service.planning.advise.single import Seeker
from service.planning.advise.trials import RANK, standings
from service.planning.advise.worse import miss
from service.planning.words import figure, found_words

VERIFIED = 3  # of the nearest by few flights, flown in full until one bears out


@dataclass(frozen=True)
class Near:
    """Changes that miss by little: how they rank, and how many and how hard to do they are."""

    changes: tuple[Trial, ...]
    rank: tuple[int, float]

    @property
    def key(self) -> tuple[tuple[int, float], int]:
        return self.rank, sum(each.effort for each in self.changes)


def nearest_words(seeker: Seeker, finding: Finding) -> str:
    """The change that clears a finding at the least price, and that which comes nearest without one; in words."""
    priced, short = [], []
    for changes in seeker.tried.get(finding.rule, {}).values():
        result = seeker.trials.quick(changes[-1].entry, changes[-1].pad)
        after = standings(result, quick=True)
        if result.estimate is None:
            continue
        broken = seeker.harms_quick(result)
        if after.get(finding.rule, "clear") == "clear":
            worst = max((RANK[after[rule]] for rule in broken), default=0)
            priced.append(Near(changes, (worst, sum(_share(result, rule) for rule in broken))))
        elif not broken:
            short.append(Near(changes, (RANK[after[finding.rule]], _share(result, finding.rule))))
    return " ".join(each for each in (_price(seeker, finding, priced), _shortfall(seeker, finding, short)) if each)


def _price(seeker: Seeker, finding: Finding, priced: list[Near]) -> str:
    for near in sorted(priced, key=lambda each: each.key)[:VERIFIED]:
        result, after = _whole(seeker, near)
        worse = seeker.harms(result)
        if result.estimate is not None and after.get(finding.rule, "clear") == "clear" and worse:
            price = "; ".join(_stands(each) for each in result.findings if each.rule in worse)
            return f"Nearest to it: {_words(near)} That clears this, but then stands at {price}."
    return ""


def _shortfall(seeker: Seeker, finding: Finding, short: list[Near]) -> str:
    now = next((each for each in seeker.trials.quick(seeker.entry).findings if each.rule == finding.rule), finding)
    least = gap(now)
    for near in sorted(short, key=lambda each: each.key)[:VERIFIED]:
        if near.rank >= (RANK[finding.standing], least):
            return ""  # no nearer than it is now
        result, _standings = _whole(seeker, near)
        left = next((each for each in result.findings if each.rule == finding.rule), None)
        if left is None or left.standing == "clear" or seeker.harms(result) or gap(left) >= gap(finding):
            continue
        return f"Nearest without making another worse: {_words(near)} It then stands at {_stands(left, False)}."
    return ""


def _whole(seeker: Seeker, near: Near) -> tuple[Assessment, dict]:
    result = seeker.trials.full(near.changes[-1].entry, near.changes[-1].pad)
    return result, standings(result)


def _words(near: Near) -> str:
    return " ".join(each.step.words for each in near.changes)


def _stands(finding: Finding, named: bool = True) -> str:
    """A finding that misses, with its figure and by how much: `caution: ... (found 4.72, short by 0.28)`."""
    said = f"{finding.standing}: {finding.statement.rstrip('.')}" if named else finding.standing
    over = miss(finding)
    if over is None:
        return said
    how = "the spread of so many flights still reaches across the limit"
    if over > 0.0:
        how = f"{'short' if finding.comparison == 'at_least' else 'over'} by {figure(over, finding.unit)}"
    return f"{said} (found {found_words(finding)}, {how})"


def _share(result: Assessment, rule: str) -> float:
    return gap(next(each for each in result.findings if each.rule == rule))
