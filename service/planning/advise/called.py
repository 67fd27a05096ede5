"""Motors that only the ceiling in force keeps down, flown as if the call were made that a higher one waits for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from service.models.advice import Excluded
from service.models.assessment import Assessment
from service.models.ceiling import Ceiling
from service.models.entry import Entry
from service.models.finding import Standing
from service.models.motor import Motor
from service.planning.advise.candidates import Candidate, fly_motor
from service.planning.advise.trials import RANK, Trials, seen_standing
from service.planning.call_first import MAY_FLY, as_called, call_words, kept_down


def with_call(
    trials: Trials, entry: Entry, motor: Motor, found: Candidate | Excluded, calls: Iterable[Ceiling]
) -> Candidate | Excluded:
    """What was found of a motor; or its flight under a higher ceiling, marked, where that is all it lacks.

    It stands as it does without the call: what is not done yet permits nothing. `calls` are the ceilings that wait
    for one, lowest first.
    """
    if not _kept_down(found, trials):
        return found
    when = max(trials.at or trials.conditions.observed_at, trials.conditions.observed_at)
    for ceiling in calls:
        day = as_called(trials.day, ceiling, when)
        then = replace(trials, day=day, _known={})
        made = fly_motor(then, entry, motor, ceiling.height_agl_m(day.field.elevation_m))
        if isinstance(made, Excluded):
            continue
        stands = _stands(made.result, trials)
        if stands in MAY_FLY:
            plain = trials.full if _whole(made.result, trials) else trials.quick
            words = call_words(trials.day, ceiling, when)
            return replace(made, result=plain(made.entry), call_first=words, called=stands)
    return found


def _kept_down(found: Candidate | Excluded, trials: Trials) -> bool:
    if isinstance(found, Excluded):
        return found.screened_for == "ceiling"
    whole = _whole(found.result, trials)
    return kept_down((each.standing if whole else seen_standing(each), each) for each in found.result.findings)


def _whole(result: Assessment, trials: Trials) -> bool:
    return result.samples >= trials.day.policy.samples


def _stands(result: Assessment, trials: Trials) -> Standing:
    """As all flights show it; as few do where no more were flown, since it passes with no number of them."""
    if _whole(result, trials):
        return result.standing
    return max((seen_standing(each) for each in result.findings), key=RANK.__getitem__, default="unknown")
