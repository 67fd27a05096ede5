"""Two changes together, where no single one clears a finding."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

from service.models.assessment import Assessment
from service.models.finding import Finding, Standing
from service.planning.advise.lever import Lever, Trial
from service.planning.advise.levers import levers
from service.planning.advise.search import first_that_works
from service.planning.advise.single import Answer, Seeker, guess_in
from service.planning.advise.trials import RANK, worsened

FULL_PAIRS = 4  # pairs that are tested with full assessments, best first


def pair_that_works(seeker: Seeker, finding: Finding, budget: int) -> Answer | None:
    """The pair that takes the least of both levers' reach together; None where none is found within the budget."""
    seeker.trials.allow(budget)
    found: list[tuple[float, tuple[Trial, Trial], tuple[Lever, int]]] = []
    for first in _firsts(seeker, finding):
        broken = worsened(seeker.before_quick, seeker.after_quick(first.entry, first.pad))
        quantities = _quantities(seeker, first, [*broken, finding.rule])
        for second in _seconds(seeker, first, quantities):
            if seeker.trials.spent():
                break
            place = guess_in(seeker, second, finding.rule, len(second.trials) + 1)
            if place is not None:
                trial = second.trials[place - 1]
                found.append((first.size + trial.size, (first, trial), (second, place)))
    for _size, (first, _second), (lever, place) in sorted(found, key=lambda each: each[0])[:FULL_PAIRS]:
        answer = _settled_pair(seeker, finding.rule, first, lever, place)
        if answer is not None:
            return answer
    return None


def _firsts(seeker: Seeker, finding: Finding) -> Iterator[Trial]:
    """First halves: for each lever the least that clears the finding itself, or else its furthest that helps."""
    now = seeker.before_quick.get(finding.rule, "clear")
    for lever in chain.from_iterable(seeker.rows(finding.quantity)):
        if seeker.trials.spent():
            return
        if lever.ramp:
            place = first_that_works(lambda k, row=lever: seeker.clears_quick(row.trials[k - 1], finding.rule), len(lever.trials))
            if place is not None:
                yield lever.trials[place - 1]
            elif _helps(seeker, lever.trials[-1], finding, now):
                yield lever.trials[-1]
        else:
            yield from (trial for trial in lever.trials if seeker.clears_quick(trial, finding.rule))


def _helps(seeker: Seeker, trial: Trial, finding: Finding, now: Standing) -> bool:
    """Whether a change brings the finding nearer to clear without clearing it."""
    after = next((each for each in seeker.trials.quick(trial.entry, trial.pad).findings if each.rule == finding.rule), None)
    if after is None or RANK[after.standing] > RANK[now]:
        return False
    if RANK[after.standing] < RANK[now]:
        return True
    return after.margin is not None and finding.margin is not None and after.margin > finding.margin


def _quantities(seeker: Seeker, first: Trial, rules: list[str]) -> list[str | None]:
    """Quantities of rules as the first change leaves them, once each."""
    findings = seeker.trials.quick(first.entry, first.pad).findings
    return list(dict.fromkeys(finding.quantity for finding in findings if finding.rule in rules)) or [None]


def _seconds(seeker: Seeker, first: Trial, quantities: list[str | None]) -> Iterator[Lever]:
    """Levers on top of the first change, other than the one it moved."""
    seen: set[tuple[str, int]] = set()
    for quantity in quantities:
        nothing = Lever("motor", (), ramp=False)  # a second motor is no second change
        for number, lever in enumerate(levers(seeker.trials, first.entry, first.pad, quantity, lambda: nothing)):
            key = (lever.trials[-1].step.words if lever.trials else "", number if not lever.trials else 0)
            if lever.trials and lever.name != first.step.lever and key not in seen:
                seen.add(key)
                yield lever


def _settled_pair(seeker: Seeker, rule: str, first: Trial, lever: Lever, place: int) -> Answer | None:
    """The second change as full assessments bear it out, no further than it has to be."""
    from service.planning.advise.search import settled

    k = settled(lambda number: seeker.works(lever.trials[number - 1], rule), place, len(lever.trials), 6)
    if k is None:
        return None
    second = lever.trials[k - 1]
    less: tuple[Trial | None, Assessment | None] = (first, seeker.trials.full(first.entry, first.pad))
    if k > 1:
        smaller = lever.trials[k - 2]
        less = (smaller, seeker.trials.full(smaller.entry, smaller.pad))
    return Answer((first, second), seeker.trials.full(second.entry, second.pad), (less,))
