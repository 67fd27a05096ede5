"""A rocket that does not fly straight: what mends that comes first, and what else it flew rests on it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import partial

from service.codes.quantities import QUANTITIES
from service.models.assessment import Assessment
from service.models.finding import Finding
from service.planning.advise.lever import Lever, Reach, Trial
from service.planning.advise.search import settled
from service.planning.advise.single import Answer, Seeker, less_words, single_that_works
from service.planning.advise.trials import standings

STRAIGHT = ("static_margin", "least_static")
FLOWN = ("estimate", "footprint")  # where a quantity comes from that a tumbling flight falsifies
MOST_TURNS = 3  # times that the first change is lessened for the second, and the second for the first
FIRST_TESTS = 12  # full assessments that lessening the first change may take
NEVER = (
    "As it is the rocket does not fly straight, and nothing tried mends that: until it does, its flight cannot be "
    "mended in anything else."
)


def tumbles(finding: Finding) -> bool:
    """Whether a finding is of a margin below zero: the balance point lies behind where the air takes hold."""
    number = isinstance(finding.measured, float | int) and not isinstance(finding.measured, bool)
    named = (finding.quantity or "").startswith(STRAIGHT)
    return named and number and finding.standing != "clear" and float(finding.measured or 0.0) < 0.0


def rests_on_flight(finding: Finding) -> bool:
    """Whether what a finding measures is flown, rather than read from the document or the weather."""
    known = QUANTITIES.get(finding.quantity or "")
    return known is not None and known.origin in FLOWN


def straightener(answers: Iterable[tuple[Finding, Answer | None]]) -> tuple[Finding, Answer] | None:
    """Of the changes that mend a margin below zero the one that mends most of them, and for which finding."""
    found = [(finding, answer) for finding, answer in answers if answer is not None]
    rules = [finding.rule for finding, _ in found]

    def left(answer: Answer) -> int:
        after = standings(answer.result)
        return sum(after.get(rule, "clear") != "clear" for rule in rules)

    return min(found, key=lambda each: left(each[1]), default=None)


@dataclass
class Steady:
    """The entry as it flies straight, and what is sought on top of that; `roots` are all findings of margins."""

    seeker: Seeker
    root: Finding
    first: Answer
    roots: tuple[Finding, ...] = ()

    def __post_init__(self) -> None:
        last = self.first.trials[-1]
        self.upon = Seeker(
            self.seeker.trials, last.entry, self.first.result, upon=self.first.trials, pad=last.pad,
            adapters=self.seeker.adapters, reloads=self.seeker.reloads,
        )  # fmt: skip

    def answer(self, finding: Finding) -> Answer | None:
        """What clears another finding: the change that makes it fly straight, or one more on top of it."""
        if standings(self.first.result).get(finding.rule, "clear") == "clear":
            return self.first
        for reach in Reach:
            self.upon.reach = reach
            more = single_that_works(self.upon, finding)
            if more is not None and not self.seeker.harms(more.result):
                return self._least(finding, more)
        return None

    def _least(self, finding: Finding, more: Answer) -> Answer:
        """Both changes no further than they have to be beside each other: with another motor less weight may do."""
        found = Answer((*self.first.trials, *more.trials), more.result, more.smaller, more.again)
        lever, place = self._root()
        for _ in range(MOST_TURNS if lever is not None else 0):
            assert lever is not None
            first, second = lever.trials[place - 1], found.trials[-1]
            if second.entry.rocket != first.entry.rocket:
                break  # the second is made to the rocket as well: they cannot be told apart
            beside = partial(self._beside, finding, lever, second)
            less = settled(beside, place, place, FIRST_TESTS)
            if less is None or less == place:
                break
            place, first = less, lever.trials[less - 1]
            again = single_that_works(self._on(first), finding)
            if again is None:  # few flights doubt it, all bear it out
                same = _upon(first, second)
                again = Answer((same,), self.seeker.trials.full(same.entry, same.pad), (), found.again)
            smaller = (*self._less(lever, place, again.trials[-1]), *again.smaller)
            found = Answer((first, *again.trials), again.result, smaller, again.again, self._straight())
        return found

    def _root(self) -> tuple[Lever | None, int]:
        """The lever that makes it fly straight by a change to the rocket, and how far it is moved; else none."""
        first, was = self.first.trials[0], self.seeker.entry
        if len(self.first.trials) == 1 and first.entry.model_copy(update={"rocket": was.rocket}) == was:
            for lever in (each for row in self.seeker.rows(self.root.quantity) for each in row if each.ramp):
                for place, trial in enumerate(lever.trials, start=1):
                    if trial.entry == first.entry and trial.pad == first.pad:
                        return lever, place
        return None, 0

    def _straight(self) -> tuple[Finding, ...]:
        """The margins that the first change clears: what is on top of it may cost none of them."""
        after = standings(self.first.result)
        return tuple(each for each in (self.root, *self.roots) if after.get(each.rule, "clear") == "clear")

    def _on(self, first: Trial) -> Seeker:
        """What is sought on top of another first change: the margins have to be clear with it too."""
        also = tuple(each.rule for each in self._straight())
        return Seeker(
            self.seeker.trials, first.entry, self.seeker.now, self.upon.reach, upon=(first,), pad=first.pad, also=also,
            adapters=self.seeker.adapters, reloads=self.seeker.reloads,
        )  # fmt: skip

    def _beside(self, finding: Finding, lever: Lever, second: Trial, place: int) -> bool:
        """Whether the same second change does on top of a lesser first one."""
        return self._on(lever.trials[place - 1]).works(_upon(lever.trials[place - 1], second), finding.rule)

    def _less(self, lever: Lever, place: int, second: Trial) -> tuple[tuple[str, Assessment], ...]:
        """What a step less of the first change leaves, beside the second as it is."""
        if place == 1:
            return ()
        less = _upon(lever.trials[place - 2], second)
        return ((less_words(lever, lever.trials[place - 2]), self.seeker.trials.full(less.entry, less.pad)),)


def _upon(first: Trial, second: Trial) -> Trial:
    """A second change, which leaves the rocket as it is, on top of another change to the rocket."""
    return replace(second, entry=second.entry.model_copy(update={"rocket": first.entry.rocket}))
