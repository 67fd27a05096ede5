"""For each finding that is not clear, the smallest change that clears it and makes no other worse.

Levers are tried in the order of how little there is to do. Each is searched with few flights of the same draws,
then settled with full assessments: the change shown is clear in one, and the next smaller is not. Where no single
change works, two are tried together; where no two do, what has to be built. Where that does not do either, the
words say what came nearest and by how much it misses.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime

from service.models.advice import Fix
from service.models.assessment import Assessment
from service.models.conditions import Conditions
from service.models.day import LaunchDay
from service.models.entry import Entry
from service.models.finding import Finding
from service.planning.advise.fix_words import fix_of, no_fix
from service.planning.advise.nearest import nearest_words
from service.planning.advise.otherwise import another_hour, hopeless, somebody_else
from service.planning.advise.pairs import pair_that_works
from service.planning.advise.single import Seeker, single_that_works
from service.planning.advise.trials import SCREENING_SAMPLES, Progress, Stop, Trials, stopper
from service.planning.assess import SAMPLE_CAP
from service.planning.ground import Ground, ground_of

PAIR_TRIALS = 250  # quick trials that the search for a pair may take, a finding


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
    samples: int = SCREENING_SAMPLES,
    most_samples: int = SAMPLE_CAP,
    threads: int | None = None,
    progress: Progress | None = None,
    should_stop: Stop = None,
) -> list[Fix]:
    """One fix for each finding that is not clear, in the order of the findings.

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
    samples : int
        Flights of a trial while searching; what is shown is verified with the policy's count.
    most_samples : int
        Where to stop drawing more for a verdict too near to call.
    progress : callable, optional
        Called with (findings done, in all, rule), and with every trial flown. What it raises ends the work.
    should_stop : callable or threading.Event, optional
        Asked before each trial.

    Returns
    -------
    list of Fix
        `found` is ``single``, ``pair`` or ``none``. A fix carries the changed entry, the pad where that changes, and
        the record of the changes.

    Raises
    ------
    AdviceStopped
        If called off.
    """
    trials = Trials(
        day, ground or ground_of(day), conditions or day.conditions, at, samples, most_samples, threads,
        stopper(should_stop),
    )  # fmt: skip
    seeker = Seeker(trials, entry, assessment)
    chosen = set(rules) if rules is not None else None
    open_findings = [
        finding
        for finding in assessment.findings
        if finding.standing != "clear" and (chosen is None or finding.rule in chosen)
    ]
    found: list[Fix] = []
    for finding in open_findings:
        if progress:
            trials.on_trial = _reporter(progress, len(found), len(open_findings), finding.rule)
        found.append(_fix(seeker, finding, pairs))
        if progress:
            progress(len(found), len(open_findings), finding.rule)
    return found


def _reporter(progress: Progress, done: int, total: int, rule: str) -> Callable[[int], None]:
    """Says with every trial flown how far it is, since one finding may take many."""
    return lambda flown: progress(done, total, f"{rule}, {flown} trials")


def _fix(seeker: Seeker, finding: Finding, pairs: bool) -> Fix:
    why = hopeless(seeker.entry, finding)
    for built in () if why else (False, True):
        seeker.built = built
        answer = single_that_works(seeker, finding)
        if answer is None and pairs:
            answer = pair_that_works(seeker, finding, PAIR_TRIALS)
        if answer is not None:
            return fix_of(seeker, finding, answer)
    if not why:
        tried = "No single change tried" + (" and no pair of them" if pairs else "")
        why = f"{tried} clears this without making another finding worse."
    more = (nearest_words(seeker, finding), somebody_else(finding), another_hour(seeker, finding))
    return no_fix(finding, " ".join(each for each in (why, *more) if each))
