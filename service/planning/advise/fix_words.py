"""A change that works as a fix: its record, its sentence, and what it leaves."""

from __future__ import annotations

from collections.abc import Iterator

from service.models.advice import Fix
from service.models.assessment import Assessment
from service.models.entry import Entry
from service.models.finding import Finding
from service.planning.advise.changes import entry_changes, pad_changes
from service.planning.advise.ladder import GRAVITY_MPS2
from service.planning.advise.lever import MARGINS, Trial
from service.planning.advise.single import Answer, Seeker
from service.planning.advise.trials import standings, worsened
from service.planning.words import found_words


def hopeless(entry: Entry, finding: Finding) -> str:
    """Why nothing about the entry can clear a finding; empty where something may."""
    if entry.rocket.airframe is None and finding.standing == "unknown" and (finding.quantity or "").startswith(MARGINS):
        return "The airframe is not described, so its margin cannot be told: describe nose, body and fins."
    return ""


def no_fix(finding: Finding, why: str) -> Fix:
    """Nothing found, and why."""
    return Fix(
        rule=finding.rule, statement=finding.statement, before=finding.standing, found="none", steps=(), words=why,
        changes=(), entry=None, pad=None, measured_before=found_words(finding), measured_after="", also_clears=(),
        standing_after=None, samples=0, assessment=None, smaller="", notes=(),
    )  # fmt: skip


def fix_of(seeker: Seeker, finding: Finding, answer: Answer) -> Fix:
    """The fix that an answer makes."""
    day, entry, result = seeker.trials.day, seeker.entry, answer.result
    last = answer.trials[-1]
    after = standings(result)
    cleared = [
        rule
        for rule, standing in seeker.before.items()
        if standing != "clear" and after.get(rule, "clear") == "clear" and rule != finding.rule
    ]
    measured = next((found_words(each) for each in result.findings if each.rule == finding.rule), "no longer applies")
    changed_pad = last.pad
    shared = [
        each.id for each in day.entries if changed_pad is not None and each.pad == changed_pad.name and each.id != entry.id
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
        smaller=_smaller(seeker, finding, answer),
        notes=tuple(_notes(seeker, answer)),
        pad_shared_with=tuple(shared),
    )


def _smaller(seeker: Seeker, finding: Finding, answer: Answer) -> str:
    less, result = answer.smaller[-1]
    if less is None or result is None:
        return f"This is the smallest step ({answer.trials[-1].step.step})."
    alone = "Without the second change" if less is answer.trials[0] and len(answer.trials) > 1 else "The next smaller change"
    what = "" if alone.startswith("Without") else f" ({less.step.words.rstrip('.')})"
    after = standings(result)
    standing = after.get(finding.rule, "clear")
    if standing != "clear":
        measured = next(found_words(each) for each in result.findings if each.rule == finding.rule)
        return f"{alone}{what} leaves this at {standing}: {measured}."
    worse = worsened(seeker.before, after)
    named = "; ".join(each.statement for each in result.findings if each.rule in worse)
    return f"{alone}{what} makes something else worse: {named}" if named else f"{alone}{what} could not be flown."


def _notes(seeker: Seeker, answer: Answer) -> Iterator[str]:
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
