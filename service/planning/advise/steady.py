"""A rocket that does not fly straight: what mends that comes first, and what else it flew rests on it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from service.codes.quantities import QUANTITIES
from service.models.finding import Finding
from service.planning.advise.lever import Reach
from service.planning.advise.single import Answer, Seeker, single_that_works
from service.planning.advise.trials import standings

STRAIGHT = ("static_margin", "least_static")
FLOWN = ("estimate", "footprint")  # where a quantity comes from that a tumbling flight falsifies
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
    """The entry as it flies straight, and what is sought on top of that."""

    seeker: Seeker
    root: Finding
    first: Answer

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
                return Answer((*self.first.trials, *more.trials), more.result, more.smaller, more.again)
        return None
