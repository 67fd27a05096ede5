"""Two changes together, where no single one clears a finding."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from itertools import chain

from service.models.assessment import Assessment
from service.models.finding import Finding, Standing
from service.planning.advise.lever import Lever, Trial
from service.planning.advise.levers import levers
from service.planning.advise.search import first_that_works, settled
from service.planning.advise.single import Answer, Seeker, guess_in
from service.planning.advise.trials import RANK, standings, worsened

FULL_PAIRS = 4  # pairs that are tested with full assessments, best first
FULL_TESTS = 6  # full assessments that the second change may take to settle
FIRST_STEPS = 6  # steps that the first change may be taken back, once the second is there


@dataclass(frozen=True)
class Half:
    """A place in a lever's row."""

    lever: Lever
    place: int

    @property
    def trial(self) -> Trial:
        return self.lever.trials[self.place - 1]


@dataclass(frozen=True)
class Pair:
    """A first change and, made on top of it, a second; `row` is the second lever's place among the levers."""

    first: Half
    second: Half
    row: tuple[str, int]

    @property
    def size(self) -> float:
        return self.first.trial.size + self.second.trial.size


def pair_that_works(seeker: Seeker, finding: Finding, budget: int) -> Answer | None:
    """The pair that takes the least of both levers' reach together; None where none is found within the budget."""
    seeker.trials.allow(budget)
    found: list[Pair] = []
    for first in _firsts(seeker, finding):
        for row, lever in _seconds(seeker, first.trial, _quantities(seeker, first.trial, finding)).items():
            if seeker.trials.spent():
                break
            place = guess_in(seeker, lever, finding.rule, len(lever.trials) + 1)
            if place is not None:
                found.append(Pair(first, Half(lever, place), row))
    for pair in sorted(found, key=lambda each: each.size)[:FULL_PAIRS]:
        answer = _settled_pair(seeker, finding, pair)
        if answer is not None:
            return answer
    return None


def nearest_words(seeker: Seeker, finding: Finding) -> str:
    """The single change that clears a finding at the least price, said with that price; empty where there is none."""
    seeker.trials.allow(10**6)
    priced = []
    for half in _firsts(seeker, finding):
        trial = half.trial
        if seeker.clears_quick(trial, finding.rule):
            after = seeker.after_quick(trial.entry, trial.pad)
            worse = worsened(seeker.before_quick, after)
            priced.append((max((RANK[after[rule]] for rule in worse), default=0), len(worse), trial))
    for _rank, _count, trial in sorted(priced, key=lambda each: each[:2])[:2]:
        result = seeker.trials.full(trial.entry, trial.pad)
        after = standings(result)
        worse = worsened(seeker.before, after)
        if result.estimate is not None and after.get(finding.rule, "clear") == "clear" and worse:
            price = "; ".join(
                f"{each.standing}: {each.statement.rstrip('.')}" for each in result.findings if each.rule in worse
            )
            return f"Nearest to it: {trial.step.words} That clears this, but then stands at {price}."
    return ""


def _firsts(seeker: Seeker, finding: Finding) -> Iterator[Half]:
    """First halves: for each lever the least that clears the finding itself, or else its furthest that helps."""
    now = seeker.before_quick.get(finding.rule, "clear")
    for lever in chain.from_iterable(seeker.rows(finding.quantity)):
        if seeker.trials.spent():
            return
        count = len(lever.trials)
        if lever.ramp:
            place = first_that_works(partial(_clears, seeker, lever, finding.rule), count)
            if place is not None:
                yield Half(lever, place)
            elif _helps(seeker, lever.trials[-1], finding, now):
                yield Half(lever, count)
        else:
            yield from (
                Half(lever, k) for k in range(1, count + 1) if seeker.clears_quick(lever.trials[k - 1], finding.rule)
            )


def _clears(seeker: Seeker, lever: Lever, rule: str, place: int) -> bool:
    return seeker.clears_quick(lever.trials[place - 1], rule)


def _helps(seeker: Seeker, trial: Trial, finding: Finding, now: Standing) -> bool:
    """Whether a change brings the finding nearer to clear without clearing it."""
    after = next(
        (each for each in seeker.trials.quick(trial.entry, trial.pad).findings if each.rule == finding.rule), None
    )
    if after is None or RANK[after.standing] > RANK[now]:
        return False
    if RANK[after.standing] < RANK[now]:
        return True
    return after.margin is not None and finding.margin is not None and after.margin > finding.margin


def _quantities(seeker: Seeker, first: Trial, finding: Finding) -> list[str | None]:
    """Quantities of the finding and of what the first change breaks, once each."""
    after = seeker.after_quick(first.entry, first.pad)
    rules = {finding.rule, *worsened(seeker.before_quick, after)}
    findings = seeker.trials.quick(first.entry, first.pad).findings
    return list(dict.fromkeys(each.quantity for each in findings if each.rule in rules)) or [finding.quantity]


def _seconds(seeker: Seeker, first: Trial, quantities: list[str | None]) -> dict[tuple[str, int], Lever]:
    """Levers on top of the first change, other than the one it moved, by name and number among those of the name."""
    no_motor = Lever("motor", (), ramp=False)  # a second motor is no second change
    found: dict[tuple[str, int], Lever] = {}
    words: set[str] = set()
    for quantity in quantities:
        for lever in levers(seeker.trials, first.entry, first.pad, quantity, lambda: no_motor):
            last = lever.trials[-1].step.words if lever.trials else ""
            if last and lever.name != first.step.lever and last not in words:
                words.add(last)
                found[lever.name, sum(1 for name, _ in found if name == lever.name)] = lever
    return found


def _settled_pair(seeker: Seeker, finding: Finding, pair: Pair) -> Answer | None:
    """Both changes as full assessments bear them out, each no further than it has to be beside the other."""
    rule = finding.rule
    lever = pair.second.lever
    place = settled(lambda k: seeker.works(lever.trials[k - 1], rule), pair.second.place, len(lever.trials), FULL_TESTS)
    if place is None:
        return None
    pair = Pair(pair.first, Half(lever, place), pair.row)
    smaller: list[tuple[str, Assessment]] = []
    for _ in range(FIRST_STEPS):
        less = _first_less(seeker, finding, pair)
        if less is None:
            break
        trial = less.second.trial
        if not seeker.works(trial, rule):
            smaller.append((less.first.trial.step.words, seeker.trials.full(trial.entry, trial.pad)))
            break
        pair = less
    before = pair.second.lever.trials[pair.second.place - 2] if pair.second.place > 1 else pair.first.trial
    words = before.step.words if pair.second.place > 1 else "without the second change"
    smaller.append((words, seeker.trials.full(before.entry, before.pad)))
    last = pair.second.trial
    return Answer((pair.first.trial, last), seeker.trials.full(last.entry, last.pad), tuple(smaller))


def _first_less(seeker: Seeker, finding: Finding, pair: Pair) -> Pair | None:
    """The pair with its first change a step smaller and its second as it is; None where there is no such step."""
    if not pair.first.lever.ramp or pair.first.place < 2:
        return None
    less = Half(pair.first.lever, pair.first.place - 1)
    quantities = _quantities(seeker, pair.first.trial, finding)
    lever = _seconds(seeker, less.trial, quantities).get(pair.row)
    if lever is None or len(lever.trials) < pair.second.place:
        return None
    return Pair(less, Half(lever, pair.second.place), pair.row)
