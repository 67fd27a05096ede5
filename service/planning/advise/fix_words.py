"""A change that works as a fix: its record, its sentence, and what it leaves."""

from __future__ import annotations

from collections.abc import Iterator

from service.models.advice import Fix
from service.models.assessment import Assessment
from service.models.finding import Finding
from service.planning.advise.changes import entry_changes, pad_changes
from service.planning.advise.ladder import GRAVITY_MPS2
from service.planning.advise.lever import Trial
from service.planning.advise.otherwise import somebody_else
from service.planning.advise.parts import credited
from service.planning.advise.single import Answer, Seeker
from service.planning.advise.trials import standings
from service.planning.ground import PEOPLE_KINDS
from service.planning.words import found_words


def no_fix(finding: Finding, why: str) -> Fix:
    """Nothing found, and why."""
    return Fix(
        rule=finding.rule, statement=finding.statement, before=finding.standing, found="none", steps=(), words=why,
        changes=(), entry=None, pad=None, measured_before=found_words(finding), measured_after="", also_clears=(),
        standing_after=None, samples=0, assessment=None, smaller="", notes=(),
    )  # fmt: skip


def fix_of(seeker: Seeker, finding: Finding, answer: Answer, first: tuple[Finding, Answer] | None = None) -> Fix:
    """The fix that an answer makes; `first` is the finding, and the answer to it, that has to be mended before."""
    day, entry, result = seeker.trials.day, seeker.entry, answer.result
    last = answer.trials[-1]
    after = credited(seeker.now, result)
    cleared = [
        rule
        for rule, standing in seeker.before.items()
        if standing != "clear" and after.get(rule, "clear") == "clear" and rule != finding.rule
    ]
    measured = next(
        (_found_after(finding, each) for each in result.findings if each.rule == finding.rule), "no longer raised"
    )
    changed_pad = last.pad
    shared = [
        each.id
        for each in day.entries
        if changed_pad is not None and each.pad == changed_pad.name and each.id != entry.id
    ]
    return Fix(
        rule=finding.rule,
        statement=finding.statement,
        before=finding.standing,
        found="pair" if len(answer.trials) > 1 else "single",
        steps=tuple(trial.step for trial in answer.trials),
        words=" ".join(trial.step.words for trial in answer.trials),
        changes=(*entry_changes(day, entry, last.entry), *pad_changes(day, changed_pad)),
        entry=last.entry,
        pad=changed_pad,
        measured_before=found_words(finding),
        measured_after=measured,
        also_clears=tuple(cleared),
        standing_after=result.standing,
        samples=result.samples,
        assessment=result.id,
        smaller=_smaller(seeker, _bound(finding, answer, first), answer),
        notes=((FIRST,) if first else ()) + tuple(_notes(seeker, finding, answer)),
        rests_on=first[0].rule if first else "",
        pad_shared_with=tuple(shared),
        people_unknown=_people_unknown(seeker, answer),
    )


FIRST = "As it is the rocket does not fly straight: that is mended first, and this rests on it."
PEOPLE_UNKNOWN = (
    "No zone of people is drawn on this field: whether this carries the flight over or toward people is UNKNOWN. "
    "Draw where they stand, and work it out again."
)


def _people_unknown(seeker: Seeker, answer: Answer) -> str:
    """Said of what sends the flight another way, which a person would think was kept off the people."""
    elsewhere = any(trial.step.lever in ("setting", "pad") for trial in answer.trials)
    return PEOPLE_UNKNOWN if elsewhere and not seeker.trials.ground.of_kind(*PEOPLE_KINDS) else ""


def _found_after(before: Finding, after: Finding) -> str:
    """What is measured after the change, with the limit where that has moved."""
    return found_words(after) + ("" if after.limit == before.limit else f" ({after.statement})")


def _bound(finding: Finding, answer: Answer, first: tuple[Finding, Answer] | None) -> tuple[Finding, ...]:
    """What has to be clear with an answer, itself first: where it rests on another, that too."""
    if first is None:
        return (finding,)
    return (first[0],) if answer is first[1] else (finding, first[0], *answer.also)


def _smaller(seeker: Seeker, bound: tuple[Finding, ...], answer: Answer) -> str:
    if not answer.smaller:
        return f"This is the smallest step ({answer.trials[-1].step.step})."
    return " ".join(_left(seeker, bound, words, result) for words, result in answer.smaller)


def _left(seeker: Seeker, bound: tuple[Finding, ...], said: str, result: Assessment) -> str:
    """What a smaller change leaves."""
    after = standings(result)
    for finding in bound:
        standing = after.get(finding.rule, "clear")
        if standing != "clear":
            measured = next(found_words(each) for each in result.findings if each.rule == finding.rule)
            which = "this" if finding is bound[0] else "the stability that it rests on"
            return f"{said} leaves {which} at {standing}: {measured}."
    worse = seeker.harms(result)
    named = "; ".join(_worse(seeker, each) for each in result.findings if each.rule in worse)
    if named:
        return f"{said} clears this but makes something else worse, {named}"
    return f"{said} could not be flown." if result.estimate is None else f"{said} clears this as well."


def _worse(seeker: Seeker, finding: Finding) -> str:
    """A finding that stands worse, or that as it stands is further past its limit."""
    said = f"{finding.standing}: {finding.statement}"
    earlier = next((each for each in seeker.now.findings if each.rule == finding.rule), None)
    if earlier is None or earlier.standing != finding.standing:
        return said
    return f"{said.rstrip('.')} (now {found_words(earlier)}, then {found_words(finding)})"


def _notes(seeker: Seeker, finding: Finding, answer: Answer) -> Iterator[str]:
    if somebody := somebody_else(finding):
        yield somebody
    estimate = answer.result.estimate
    for trial in answer.trials:
        yield from trial.notes
        if trial.step.lever == "canopy" and estimate is not None and estimate.descent_speed_mps.nominal is not None:
            yield f"Comes down at {estimate.descent_speed_mps.nominal:.1f} m/s."
        if trial.step.lever == "guide_length":
            yield from _guide_rule(seeker, trial, answer.result)


def _guide_rule(seeker: Seeker, trial: Trial, result: Assessment) -> Iterator[str]:
    """The even-acceleration figure beside the flown one: L = v² / (2 (T/W - 1) g)."""
    finding = next((each for each in seeker.now.findings if each.quantity == "exit_speed_mps"), None)
    estimate = result.estimate
    if finding is None or finding.limit_si is None or estimate is None or estimate.thrust_to_weight <= 1.0:
        return
    length_m = finding.limit_si**2 / (2.0 * (estimate.thrust_to_weight - 1.0) * GRAVITY_MPS2)
    yield (
        f"Cross-check, common practice: even acceleration by the average thrust asks for {length_m:.1f} m to "
        f"{finding.limit_si:.1f} m/s."
    )
