"""For each finding that is not clear, the smallest change that clears it and makes no other worse.

Levers are tried in the order of how little there is to do. Each is searched with few flights of the same draws,
then settled with full assessments: the change shown is clear in one, and the next smaller is not. Where no single
change works, what clears another finding is tried, then two together; where no two do, what has to be built. Where
that does not do either, the words say what came nearest and by how much it misses. Where a rocket does not fly
straight, that is mended first and all else that it flew is sought on top of it. In the end what was found is made
together, since whoever has four findings wants to know what four changes come to.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import datetime

from service.models.advice import Fix
from service.models.assessment import Assessment
from service.models.conditions import Conditions
from service.models.day import LaunchDay
from service.models.entry import Entry
from service.models.finding import Finding
from service.models.together import Together
from service.planning.advise.fix_words import FIRST, fix_of, no_fix
from service.planning.advise.lever import Reach
from service.planning.advise.nearest import nearest_words
from service.planning.advise.otherwise import another_hour, hopeless, somebody_else
from service.planning.advise.pairs import pair_that_works
from service.planning.advise.single import Answer, Seeker, single_that_works
from service.planning.advise.steady import NEVER, Steady, rests_on_flight, straightener, tumbles
from service.planning.advise.together import together_of
from service.planning.advise.trials import SCREENING_SAMPLES, Progress, Stop, Trials, standings, stopper
from service.planning.assess import SAMPLE_CAP
from service.planning.ground import Ground, ground_of

PAIR_TRIALS = 1_000  # quick trials that the search for a pair may take, a finding
ALL_TOGETHER = "all together"  # what is being tried, where that is no rule


@dataclass(frozen=True)
class Mended:
    """One fix a finding, and what they come to together: None for fewer than two findings, or where none was found."""

    fixes: tuple[Fix, ...]
    together: Together | None


def fixes_for(
    day: LaunchDay,
    entry: Entry,
    assessment: Assessment,
    *,
    rules: Iterable[str] | None = None,
    conditions: Conditions | None = None,
    ground: Ground | None = None,
    at: datetime | None = None,
    pairs: bool = True,
    adapters: bool = True,
    reloads: bool | None = None,
    samples: int = SCREENING_SAMPLES,
    most_samples: int = SAMPLE_CAP,
    threads: int | None = None,
    progress: Progress | None = None,
    should_stop: Stop = None,
) -> Mended:
    """One fix for each finding that is not clear, in the order of the findings, and what they come to together.

    Parameters
    ----------
    day, entry : LaunchDay, Entry
        The entry need not be on the day yet; its motor and pad are.
    assessment : Assessment
        Of this entry, in these conditions, counted to the same moment.
    rules : iterable of str, optional
        Only findings of these rules.
    conditions, ground, at, threads : optional
        As for `assess_entry`.
    pairs : bool
        Whether to try two changes together where no single one works.
    adapters, reloads : optional
        Which other motors may be used, as for the motor ladder.
    samples : int
        Flights of a trial while searching; what is shown is verified with the policy's count.
    most_samples : int
        Where to stop drawing more for a verdict too near to call.
    progress : callable, optional
        Called with (findings done, in all, rule), and with every trial flown; two findings or more count one more, for
        what they come to together. What it raises ends the work.
    should_stop : callable or threading.Event, optional
        Asked before each trial.

    Returns
    -------
    Mended
        Of a fix `found` is ``single``, ``pair`` or ``none``. It carries the changed entry, the pad where that changes,
        and the record of the changes.

    Raises
    ------
    AdviceStopped
        If called off.
    """
    trials = Trials(
        day, ground or ground_of(day), conditions or day.conditions, at, samples, most_samples, threads,
        stopper(should_stop),
    )  # fmt: skip
    chosen = set(rules) if rules is not None else None
    open_findings = [
        finding
        for finding in assessment.findings
        if finding.standing != "clear" and (chosen is None or finding.rule in chosen)
    ]
    search = Search(Seeker(trials, entry, assessment, adapters=adapters, reloads=reloads), pairs)
    found: dict[str, Fix] = {}
    several = len(open_findings) > 1
    total = len(open_findings) + several
    for finding in sorted(open_findings, key=lambda each: not tumbles(each)):
        if progress:
            trials.on_trial = _reporter(progress, len(found), total, finding.rule)
        found[finding.rule] = search.fix(finding)
        if progress:
            progress(len(found), total, finding.rule)
    fixes = tuple(found[finding.rule] for finding in open_findings)
    if not several:
        return Mended(fixes, None)
    if progress:
        trials.on_trial = _reporter(progress, len(fixes), total, ALL_TOGETHER)
    together = together_of(search.seeker, fixes)
    if progress:
        progress(total, total, ALL_TOGETHER)
    return Mended(fixes, together)


def _reporter(progress: Progress, done: int, total: int, rule: str) -> Callable[[int], None]:
    """Says with every trial flown how far it is, since one finding may take many."""
    return lambda flown: progress(done, total, f"{rule}, {flown} trials")


@dataclass
class Search:
    """The search for one entry's fixes, a finding at a time: what clears one may clear another."""

    seeker: Seeker
    pairs: bool
    answers: list[tuple[Reach, Answer]] = field(default_factory=list)
    straight: list[tuple[Finding, Answer | None]] = field(default_factory=list)

    def fix(self, finding: Finding) -> Fix:
        """The fix of one finding; those of a margin below zero have to come first."""
        seeker, rooted = self.seeker, rests_on_flight(finding) and not tumbles(finding)
        if rooted and self.straight:
            return self._on_top(finding)
        why = hopeless(seeker.entry, finding)
        answer = None if why else self._answer(finding)
        if tumbles(finding):
            self.straight.append((finding, answer))
        if answer is not None:
            self.answers.append((seeker.reach, answer))
            return fix_of(seeker, finding, answer)
        return no_fix(finding, _said(why or self._tried(), finding, seeker))

    def _answer(self, finding: Finding) -> Answer | None:
        seeker = self.seeker
        seeker.cut_off = False
        for reach in Reach:
            seeker.reach = reach
            answer = single_that_works(seeker, finding) or self._again(finding)
            if answer is None and self.pairs and reach < Reach.LEANT:
                answer = pair_that_works(seeker, finding, PAIR_TRIALS)
            if answer is not None:
                return answer
        return None

    def _again(self, finding: Finding) -> Answer | None:
        """What clears another finding, where it clears this one too; moved no further than this one asks for."""
        for reach, answer in self.answers:
            if reach <= self.seeker.reach and standings(answer.result).get(finding.rule, "clear") == "clear":
                return answer.again(finding) or answer
        return None

    def _on_top(self, finding: Finding) -> Fix:
        """What clears a finding once the rocket flies straight."""
        first = straightener(self.straight)
        if first is None:
            return no_fix(finding, NEVER)
        steady = Steady(self.seeker, *first, tuple(each for each, _ in self.straight))
        answer = steady.answer(finding)
        if answer is not None:
            return fix_of(self.seeker, finding, answer, first)
        return no_fix(finding, _said(f"{FIRST} {self._tried(alone=True)}", finding, steady.upon))

    def _tried(self, alone: bool = False) -> str:
        pairs = self.pairs and not alone
        if pairs and self.seeker.cut_off:
            return (
                "No single change tried clears this without making another finding worse; the search for pairs was "
                f"cut off after {PAIR_TRIALS:,} trials and had found none."
            )
        tried = "No single change tried" + (" and no pair of them" if pairs else "")
        return f"{tried} clears this without making another finding worse."


def _said(why: str, finding: Finding, seeker: Seeker) -> str:
    more = (nearest_words(seeker, finding), somebody_else(finding), another_hour(seeker, finding))
    return " ".join(each for each in (why, *more) if each)
