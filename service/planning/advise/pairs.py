"""Two changes together, where no single one clears a finding."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

from service.models.finding import Finding
from service.planning.advise.lever import EFFORT, OPENING, Lever, Reach, Trial
from service.planning.advise.levers import levers
from service.planning.advise.search import first_that_works, settled
from service.planning.advise.single import Answer, Seeker, guess_in, less_words, settled_single
from service.planning.advise.trials import RANK, seen_standing
from service.planning.advise.worse import miss

FULL_PAIRS = 4  # pairs that are tested with full assessments, best first
FULL_TESTS = 4  # full assessments that the second change may take to settle
FIRST_TESTS = 12  # full assessments that the first change may take to settle, once the second is there


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
    def size(self) -> tuple[int, float]:
        """What it takes to do both, then how far both are moved."""
        halves = (self.first.trial, self.second.trial)
        return sum(each.effort for each in halves), sum(each.size for each in halves)


def pair_that_works(seeker: Seeker, finding: Finding, budget: int) -> Answer | None:
    """The pair that takes least to do, and of those the least of both levers' reach; None where the budget finds none.

    A search that the budget ends is noted in `seeker.cut_off`.

    With what has to be built, only pairs that need it: the others were tried before.
    """
    seeker.trials.allow(budget)
    found: list[Pair] = []
    for first in _firsts(seeker, finding):
        for row, lever in _seconds(seeker, first.trial, _quantities(seeker, first.trial, finding)).items():
            if seeker.trials.spent():
                break
            seeker.upon = (first.trial,)
            place = guess_in(seeker, lever, finding.rule, len(lever.trials) + 1)
            seeker.upon = ()
            if place is not None:
                found.append(Pair(first, Half(lever, place), row))
    seeker.cut_off = seeker.cut_off or seeker.trials.spent()
    for pair in sorted(found, key=lambda each: each.size)[:FULL_PAIRS]:
        answer = _settled_pair(seeker, finding, pair)
        if answer is not None:
            return answer
    return None


def _firsts(seeker: Seeker, finding: Finding) -> Iterator[Half]:
    """First halves: for each lever the least that clears the finding itself, or else that which helps most.

    Of the bearings to lean toward only the best.
    """
    for row in seeker.rows(finding.quantity):
        if _leans_to_soften(row[0], finding.quantity):
            continue
        halves: list[tuple[tuple[bool, float], Half]] = []
        for lever in row:
            if seeker.trials.spent():
                break
            halves += _halves(seeker, lever, finding)
        if halves and row[0].name == "setting":
            halves = [min(halves, key=lambda each: each[0])]
        yield from (half for _, half in halves)


def _leans_to_soften(lever: Lever, quantity: str | None) -> bool:
    """Whether a guide would be leant for the sake of the opening, which is half of no good pair."""
    return lever.name == "setting" and (quantity or "").startswith(OPENING)


def _halves(seeker: Seeker, lever: Lever, finding: Finding) -> list[tuple[tuple[bool, float], Half]]:
    """Places of one lever worth building on, each with what it leaves, the smaller the better."""
    count, rule = len(lever.trials), finding.rule
    if lever.ramp:
        place = first_that_works(partial(_clears, seeker, lever, rule), count)
        if place is not None:
            return [((False, float(place)), Half(lever, place))]
        places = [count]
    else:
        clear = [k for k in range(1, count + 1) if _clears(seeker, lever, rule, k)]
        if clear:
            return [((False, float(k)), Half(lever, k)) for k in clear]
        places = list(range(1, count + 1)) if EFFORT[lever.name] == 1 else []
    helping = [
        ((True, left), Half(lever, k))
        for k in places
        if (left := _left(seeker, lever.trials[k - 1], finding)) is not None
    ]
    return [min(helping, key=lambda each: each[0])] if helping else []


def _clears(seeker: Seeker, lever: Lever, rule: str, place: int) -> bool:
    return seeker.clears_quick(lever.trials[place - 1], rule)


def _left(seeker: Seeker, trial: Trial, finding: Finding) -> float | None:
    """By how much a change that does not clear a finding leaves it short; None where it brings nothing."""
    now, then = (
        next((each for each in assessment.findings if each.rule == finding.rule), None)
        for assessment in (seeker.trials.quick(seeker.entry), seeker.trials.quick(trial.entry, trial.pad))
    )
    if now is None or then is None:
        return None
    before, after = RANK[seen_standing(now)], RANK[seen_standing(then)]
    short, shorter = miss(now), miss(then)
    if after < before:
        return shorter or 0.0
    nearer = after == before and short is not None and shorter is not None and shorter < short
    return shorter if nearer else None


def _quantities(seeker: Seeker, first: Trial, finding: Finding) -> list[str | None]:
    """Quantities of the finding and of what the first change breaks, once each."""
    result = seeker.trials.quick(first.entry, first.pad)
    rules = {finding.rule, *seeker.harms_quick(result)}
    return list(dict.fromkeys(each.quantity for each in result.findings if each.rule in rules)) or [finding.quantity]


def _seconds(seeker: Seeker, first: Trial, quantities: list[str | None]) -> dict[tuple[str, int], Lever]:
    """Levers on top of the first change, other than the one it moved, by name and number among those of the name."""
    no_motor = Lever("motor", (), ramp=False)  # a second motor is no second change
    found: dict[tuple[str, int], Lever] = {}
    words: set[str] = set()
    for quantity in quantities:
        for lever in levers(seeker.trials, first.entry, first.pad, quantity, lambda: no_motor, seeker.reach):
            if _leans_to_soften(lever, quantity):
                continue
            if seeker.reach >= Reach.BUILT and "electronics" not in (first.step.lever, lever.name):
                continue
            last = lever.trials[-1].step.words if lever.trials else ""
            if last and lever.name != first.step.lever and last not in words:
                words.add(last)
                found[lever.name, sum(1 for name, _ in found if name == lever.name)] = lever
    return found


def _settled_pair(seeker: Seeker, finding: Finding, pair: Pair) -> Answer | None:
    """Both changes as full assessments bear them out, each no further than it has to be beside the other.

    Where few flights were mistaken and the first does by itself, it alone.
    """
    if seeker.works(pair.first.trial, finding.rule):
        return settled_single(seeker, pair.first.lever, finding.rule, pair.first.place)
    second = _least_second(seeker, finding, pair)
    if second is None:
        return None
    pair = second
    quantities = _quantities(seeker, pair.first.trial, finding)

    def works(place: int) -> bool:
        less = _with_first(seeker, pair, place, quantities)
        return less is not None and seeker.works(less.second.trial, finding.rule)

    if pair.first.lever.ramp and pair.first.place > 1:
        place = settled(works, pair.first.place, pair.first.place, FIRST_TESTS) or pair.first.place
        shorter = _with_first(seeker, pair, place, quantities)
        pair = (shorter and _least_second(seeker, finding, shorter)) or pair
    smaller = []
    less = _with_first(seeker, pair, pair.first.place - 1, quantities) if pair.first.lever.ramp else None
    if less is not None:
        smaller.append(
            (
                less_words(less.first.lever, less.first.trial),
                seeker.trials.full(less.second.trial.entry, less.second.trial.pad),
            )
        )
    lever, place = pair.second.lever, pair.second.place
    before = lever.trials[place - 2] if place > 1 else pair.first.trial
    words = less_words(lever, before) if place > 1 else "The first change alone"
    smaller.append((words, seeker.trials.full(before.entry, before.pad)))
    last = pair.second.trial
    return Answer(
        (pair.first.trial, last), seeker.trials.full(last.entry, last.pad), tuple(smaller),
        lambda other: _settled_pair(seeker, other, pair),
    )  # fmt: skip


def _least_second(seeker: Seeker, finding: Finding, pair: Pair) -> Pair | None:
    """The pair with its second change as small as full assessments allow; None where they bear none out."""
    lever = pair.second.lever
    place = settled(
        lambda k: seeker.works(lever.trials[k - 1], finding.rule), pair.second.place, len(lever.trials), FULL_TESTS
    )
    return Pair(pair.first, Half(lever, place), pair.row) if place is not None else None


def _with_first(seeker: Seeker, pair: Pair, place: int, quantities: list[str | None]) -> Pair | None:
    """The pair with its first change at another place and its second as it is; None where there is none."""
    if place == pair.first.place:
        return pair
    if place < 1:
        return None
    first = Half(pair.first.lever, place)
    lever = _seconds(seeker, first.trial, quantities).get(pair.row)
    if lever is None or len(lever.trials) < pair.second.place:
        return None
    return Pair(first, Half(lever, pair.second.place), pair.row)
