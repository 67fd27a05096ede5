"""Found changes as parts of a whole, and the whole as it was flown."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from service.models.advice import Fix
from service.models.assessment import Assessment
from service.models.finding import Standing
from service.planning.advise.lever import EFFORT
from service.planning.advise.merging import FURTHER, Merged
from service.planning.advise.steady import rests_on_flight, tumbles
from service.planning.advise.trials import RANK, Trials, standings

MOST_PARTS = 8  # of different changes, those that leave least: sets of more are too many to weigh

Left = tuple[int, int]
"""How bad the worst is that stays not clear, and how many stay so: the less, the better."""


@dataclass(frozen=True, eq=False)
class Part:
    """One found change, its first place among the fixes from 1, and what it leaves by itself."""

    number: int
    fix: Fix
    result: Assessment
    after: dict[str, Standing]
    """Rule -> standing, with this change alone, as `credited`."""

    @property
    def left(self) -> Left:
        return left_of(self.after.values())


Parts = tuple[Part, ...]


@dataclass(frozen=True)
class Whole:
    """Parts made together, as they were flown."""

    parts: Parts
    made: Merged
    result: Assessment
    after: dict[str, Standing]
    """Rule -> standing, with all of them, as `credited`."""
    worse: tuple[str, ...] = ()
    """Rules that stand worse, or whose figure lies further past its limit, than without any of them."""

    @property
    def harmless(self) -> bool:
        """Whether it was flown and nothing is worse."""
        return self.result.estimate is not None and not self.worse

    @property
    def left(self) -> Left:
        return left_of(self.after.values())


def credited(now: Assessment, result: Assessment) -> dict[str, Standing]:
    """Rule -> standing with changes made, as far as it may be counted.

    While a margin below zero remains, the rocket does not fly straight: what is measured in its flight then stands no
    better than that margin, unless it did before.
    """
    after = standings(result)
    crooked = max((each.standing for each in result.findings if tumbles(each)), key=RANK.__getitem__, default=None)
    for finding in now.findings if crooked else ():
        if rests_on_flight(finding) and not tumbles(finding):
            held = min(finding.standing, crooked or "clear", key=RANK.__getitem__)
            after[finding.rule] = max(after.get(finding.rule, "clear"), held, key=RANK.__getitem__)
    return after


def parts_of(fixes: Iterable[Fix], trials: Trials, now: Assessment) -> Parts:
    """Each different change once; where there are too many, those that leave least. Each was flown in these trials."""
    first: dict[str, tuple[int, Fix]] = {}
    for number, fix in enumerate(fixes, start=1):
        if fix.found != "none":
            first.setdefault(repr(fix.changes), (number, fix))
    parts = []
    for number, fix in first.values():
        if fix.entry is not None:
            result = trials.full(fix.entry, fix.pad)
            parts.append(Part(number, fix, result, credited(now, result)))
    most = sorted(parts, key=lambda each: (each.left, each.number))[:MOST_PARTS]
    return tuple(sorted(most, key=lambda each: each.number))


def trouble(parts: Parts) -> tuple[int, int]:
    """How many steps they take, and what these take to do; a lever that several move counts once."""
    steps = {step.lever if step.lever in FURTHER else step.words: step for part in parts for step in part.fix.steps}
    return len(steps), sum(EFFORT[step.lever] for step in steps.values())


def left_of(standings: Iterable[Standing]) -> Left:
    """What standings leave."""
    ranks = [RANK[each] for each in standings if each != "clear"]
    return max(ranks, default=RANK["clear"]), len(ranks)
