"""The smallest single change that clears a finding."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from itertools import groupby

from service.models.assessment import Assessment
from service.models.entry import Entry
from service.models.field import Pad
from service.models.finding import Finding, Standing
from service.planning.advise.lever import Lever, Reach, Trial
from service.planning.advise.levers import levers
from service.planning.advise.motor_lever import motor_lever
from service.planning.advise.search import first_that_works, gallop, settled
from service.planning.advise.trials import RANK, Trials, nearly, standings, worsened
from service.planning.advise.worse import further, miss

PROBE = 3  # steps of the guide after which a bearing that brings nothing is given up
FULL_TESTS = 10  # full assessments that one lever may take to settle


@dataclass(frozen=True)
class Answer:
    """Changes that work together, the assessment that shows it, and what a step less in each of them leaves."""

    trials: tuple[Trial, ...]  # one, or two; the last holds entry and pad as they end up
    result: Assessment
    smaller: tuple[tuple[str, Assessment], ...]  # the step less, as a sentence begins; none for a first
    again: Callable[[Finding], Answer | None]  # the same levers, moved no further than another finding asks for
    also: tuple[Finding, ...] = ()  # what else has to be clear with them


@dataclass
class Seeker:
    """One entry, as it stands, and the tests that a change has to pass.

    `reach` says how far the levers go. `upon` is the change that those tried now are made on top of, `pad` the pad it
    sets; `also` are rules that have to be clear besides the one sought. `tried` keeps for each rule what was tried,
    so that it can be told what came nearest. `cut_off` says that a search for pairs ended with its budget. `adapters`
    and `reloads` are as for the motor ladder.
    """

    trials: Trials
    entry: Entry
    now: Assessment
    reach: Reach = Reach.TABLE
    upon: tuple[Trial, ...] = ()
    pad: Pad | None = None
    also: tuple[str, ...] = ()
    adapters: bool = True
    reloads: bool | None = None
    cut_off: bool = False
    tried: dict[str, dict[tuple[str, ...], tuple[Trial, ...]]] = field(default_factory=dict)

    @cached_property
    def before(self) -> dict[str, Standing]:
        return standings(self.now)

    @cached_property
    def now_quick(self) -> Assessment:
        """As it stands, by few flights."""
        return self.trials.quick(self.entry, self.pad)

    @cached_property
    def before_quick(self) -> dict[str, Standing]:
        """The worse of what few flights and all show: no trial is blamed for what few flights cannot tell."""
        few = standings(self.now_quick, quick=True)
        return {
            rule: max(self.before.get(rule, "clear"), few.get(rule, "clear"), key=RANK.__getitem__)
            for rule in {*self.before, *few}
        }

    @cached_property
    def motors(self) -> Lever:
        return motor_lever(self.trials, self.entry, self.pad, adapters=self.adapters, reloads=self.reloads)

    def rows(self, quantity: str | None) -> Iterator[list[Lever]]:
        """Levers in order, those of one name together; none that was moved already."""
        moved = {trial.step.lever for trial in self.upon}
        found = levers(self.trials, self.entry, self.pad, quantity, lambda: self.motors, self.reach)
        for name, group in groupby(found, key=lambda lever: lever.name):
            if name not in moved:
                yield list(group)

    def note(self, trial: Trial, rule: str) -> None:
        """Remember what was tried."""
        made = (*self.upon, trial)
        self.tried.setdefault(rule, {})[tuple(each.step.words for each in made)] = made

    def after_quick(self, entry: Entry, pad: Pad | None) -> dict[str, Standing]:
        return standings(self.trials.quick(entry, pad), quick=True)

    def harms(self, result: Assessment) -> list[str]:
        """Rules that a whole assessment of a change shows worse, in standing or in figure."""
        return _united(worsened(self.before, standings(result)), further(self.now, result))

    def harms_quick(self, result: Assessment) -> list[str]:
        """The same as few flights show it."""
        few = self.now_quick
        return _united(worsened(self.before_quick, standings(result, quick=True)), further(few, result, few=True))

    def clears_quick(self, trial: Trial, rule: str) -> bool:
        """The finding alone, with few flights."""
        self.note(trial, rule)
        return self.after_quick(trial.entry, trial.pad).get(rule, "clear") == "clear"

    def nearer(self, trial: Trial, rule: str) -> bool:
        """Whether few flights put the finding nearer to its limit than it is now; yes where that cannot be told."""
        now, then = (
            next((each for each in assessment.findings if each.rule == rule), None)
            for assessment in (self.now_quick, self.trials.quick(trial.entry, trial.pad))
        )
        misses = (miss(now), miss(then)) if now and then else (None, None)
        return misses[0] is None or misses[1] is None or misses[1] < misses[0]

    def works_quick(self, trial: Trial, rule: str) -> bool:
        """The finding, and none other worse, with few flights."""
        self.note(trial, rule)
        result = self.trials.quick(trial.entry, trial.pad)
        return self._all_clear(standings(result, quick=True), rule) and not self.harms_quick(result)

    def nearly_works(self, trial: Trial, rule: str) -> bool:
        """Whether few flights leave the finding just short, and none other worse: all of them may clear it."""
        result = self.trials.quick(trial.entry, trial.pad)
        finding = next((each for each in result.findings if each.rule == rule), None)
        return finding is not None and nearly(finding, result.samples) and not self.harms_quick(result)

    def works(self, trial: Trial, rule: str) -> bool:
        """The same by a full assessment, of a flight that could be computed."""
        result = self.trials.full(trial.entry, trial.pad)
        clear = self._all_clear(standings(result), rule)
        return result.estimate is not None and clear and not self.harms(result)

    def _all_clear(self, after: dict[str, Standing], rule: str) -> bool:
        return all(after.get(each, "clear") == "clear" for each in (rule, *self.also))


def _united(one: list[str], other: list[str]) -> list[str]:
    return list(dict.fromkeys((*one, *other)))


def single_that_works(seeker: Seeker, finding: Finding) -> Answer | None:
    """The first lever, least to do first, that clears a finding; moved no further than it has to be."""
    for row in seeker.rows(finding.quantity):
        answer = _from_row(seeker, row, finding.rule)
        if answer is not None:
            return answer
    return None


def _from_row(seeker: Seeker, row: list[Lever], rule: str) -> Answer | None:
    """The smallest change among levers of one name, such as the twelve ways to lean a guide."""
    guesses: list[tuple[int, int]] = []
    for number, lever in enumerate(row):
        least = min((place for place, _ in guesses), default=len(lever.trials) + 1)
        guess = guess_in(seeker, lever, rule, least if lever.ramp else len(lever.trials) + 1)
        if guess is not None:
            guesses.append((guess, number))
    for guess, number in sorted(guesses):
        answer = settled_single(seeker, row[number], rule, guess)
        if answer is not None:
            return answer
    return None


def less_words(lever: Lever, less: Trial) -> str:
    """A smaller change than the one found, as a sentence begins: delays, pads and motors have no steps."""
    return f"{'A step less' if lever.ramp else 'A smaller change'} ({less.step.words.rstrip('.')})"


def settled_single(seeker: Seeker, lever: Lever, rule: str, guess: int) -> Answer | None:
    """A lever moved no further than full assessments ask for; None where they bear nothing out."""
    place = _settle(seeker, lever, rule, guess)
    if place is None:
        return None
    trial = lever.trials[place - 1]
    less = lever.trials[place - 2] if place > 1 else None
    smaller = ((less_words(lever, less), seeker.trials.full(less.entry, less.pad)),) if less else ()

    def again(other: Finding) -> Answer | None:
        guess = guess_in(seeker, lever, other.rule, place + 1)
        return settled_single(seeker, lever, other.rule, guess or place)

    return Answer((trial,), seeker.trials.full(trial.entry, trial.pad), smaller, again)


def guess_in(seeker: Seeker, lever: Lever, rule: str, below: int) -> int | None:
    """Where few flights say that a lever first works, among its places below one; None for nowhere."""
    count = min(len(lever.trials), below - 1)
    if not lever.ramp:
        return next((k for k in range(1, count + 1) if seeker.works_quick(lever.trials[k - 1], rule)), None)
    if lever.name == "setting" and count >= PROBE and not seeker.nearer(lever.trials[PROBE - 1], rule):
        return None  # leaning that way makes it worse
    root = first_that_works(lambda k: seeker.clears_quick(lever.trials[k - 1], rule), count)
    if root is None:
        return None
    # what else breaks may mend a little further on
    return next((k for k in gallop(count, root) if seeker.works_quick(lever.trials[k - 1], rule)), None)


def _settle(seeker: Seeker, lever: Lever, rule: str, guess: int) -> int | None:
    """The place that full assessments bear out, its next smaller not."""

    def works(k: int) -> bool:
        return seeker.works(lever.trials[k - 1], rule)

    if lever.ramp:
        return settled(works, guess, len(lever.trials), FULL_TESTS)
    for earlier in range(1, guess):  # few flights may put what does by a little on the wrong side of the limit
        if seeker.nearly_works(lever.trials[earlier - 1], rule) and works(earlier):
            return earlier
    place: int | None = guess
    while place is not None and not works(place):  # few flights were mistaken: on to the next that looks right
        later = range(place + 1, len(lever.trials) + 1)
        place = next((k for k in later if seeker.works_quick(lever.trials[k - 1], rule)), None)
    while place is not None and place > 1 and works(place - 1):
        place -= 1
    return place
