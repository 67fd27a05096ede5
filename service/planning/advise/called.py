"""Motors that only the ceiling in force keeps down, flown as if the call were made that a higher one waits for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from service.models.advice import Excluded
from service.models.ceiling import Ceiling
from service.models.entry import Entry
from service.models.motor import Motor
from service.planning.advise.candidates import Candidate, fly_motor, with_all_samples
from service.planning.advise.trials import Trials, could_caution, seen_standing
from service.planning.call_first import MAY_FLY, as_called, call_words, kept_down


def with_call(
    trials: Trials, entry: Entry, motor: Motor, found: Candidate | Excluded, calls: Iterable[Ceiling]
) -> Candidate | Excluded:
    """What was found of a motor; or its flight under a higher ceiling, marked, where that is all it lacks.

    It stands as it does without the call: what is not done yet permits nothing. How it stands with it, and that only a
    ceiling keeps it down without, is told by as many flights as the policy asks for. `calls` are the ceilings that wait
    for one, lowest first.
    """
    if not _kept_down(found):
        return found
    when = max(trials.at or trials.conditions.observed_at, trials.conditions.observed_at)
    for ceiling in calls:
        day = as_called(trials.day, ceiling, when)
        then = replace(trials, day=day, _known={})
        made = fly_motor(then, entry, motor, ceiling.height_agl_m(day.field.elevation_m))
        if isinstance(made, Excluded) or not could_caution(made.result):
            continue
        made = with_all_samples(then, made)
        if made.result.standing in MAY_FLY:
            plain = replace(made, result=trials.full(made.entry))
            if plain.result.standing in MAY_FLY:  # few flights had it over a ceiling that all of them keep
                return plain
            if not _kept_down(plain):
                return found
            return replace(plain, call_first=call_words(trials.day, ceiling, when), called=made.result.standing)
    return found


def _kept_down(found: Candidate | Excluded) -> bool:
    """Whether the ceiling in force is all that speaks against it, as far as was seen."""
    if isinstance(found, Excluded):
        return found.screened_for == "ceiling"
    return kept_down((seen_standing(each), each) for each in found.result.findings)
