"""What fixes come to together, as a record and in sentences; said is only what was flown."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.models.advice import Fix
from service.models.finding import Finding
from service.models.together import FindingThen, Together
from service.planning.advise.changes import entry_changes, pad_changes
from service.planning.advise.fix_words import FIRST
from service.planning.advise.merging import merged
from service.planning.advise.otherwise import hopeless, somebody_else
from service.planning.advise.parts import Parts, Whole
from service.planning.advise.single import Seeker
from service.planning.advise.steady import NEVER
from service.planning.advise.trials import standings
from service.planning.words import found_words

NO_WORSE = "No finding stands worse with {them}, and none misses its limit by more."
DOWN, SINKS = "Comes down at", "At the same speed through the air it then sinks"  # beginnings of notes of fixes
ALONE = (DOWN, "Cross-check")  # of figures that one change alone comes to
CROOKED = "With this the rocket does not yet fly straight: what such a flight shows is not counted as cleared."
NOTHING = "Nothing tried clears it without making another finding worse."


def told(seeker: Seeker, fixes: Sequence[Fix], parts: Parts, best: Whole, flown: Sequence[Whole]) -> Together:
    """The record of the best that was found among the parts; `flown` are the sets of them that were flown in full."""
    day, made = seeker.trials.day, best.made
    findings = tuple(
        _then(seeker, fixes, best, flown, each) for each in seeker.now.findings if each.standing != "clear"
    )
    alone = tuple(part.number for part in parts if part.fix.standing_after == "clear")
    shared = (each.id for each in day.entries if made.pad and each.pad == made.pad.name and each.id != seeker.entry.id)
    return Together(
        found="one" if len(best.parts) == 1 else "several",
        says=_says(best, findings, len(parts), len(alone), len(flown)),
        fixes=tuple(part.number for part in best.parts),
        alone=alone,
        steps=made.steps,
        words=" ".join(step.words for step in made.steps),
        notes=tuple(_notes(seeker, best)),
        changes=(*entry_changes(day, seeker.entry, made.entry), *pad_changes(day, made.pad)),
        entry=made.entry,
        pad=made.pad,
        findings=findings,
        standing_after=best.result.standing,
        samples=best.result.samples,
        assessment=best.result.id,
        combinations=len(flown),
        pad_shared_with=tuple(shared),
        people_unknown=next((part.fix.people_unknown for part in best.parts if part.fix.people_unknown), ""),
    )


def _says(best: Whole, findings: Sequence[FindingThen], parts: int, alone: int, flown: int) -> str:
    standing, several = best.result.standing, len(best.parts) > 1
    if standing == "clear" and not several:
        which = "One of the changes" if alone == 1 else f"Each of {alone} changes"
        return f"{which} makes the whole entry stand clear by itself{'; this is the least' if alone > 1 else ''}."
    count = len(best.made.steps)
    if standing == "clear":
        return f"None of the changes makes the whole entry stand clear by itself; these {count} together do."
    cleared = sum(each.after == "clear" for each in findings)
    clears = f"{cleared} of {len(findings)} findings that are not clear"
    no_worse = NO_WORSE.format(them="them" if several else "it")
    if several:
        return f"These {count} changes together clear {clears}: the entry then stands at {standing}. {no_worse}"
    if parts == 1:
        other = "Only one change was found"
    elif flown:
        other = "Nothing that was flown together leaves less than one change by itself"
    else:
        other = "No changes that can be made together promise more than one by itself"
    return f"{other}: it clears {clears}, and the entry then stands at {standing}. {no_worse}"


def _notes(seeker: Seeker, best: Whole) -> Iterator[str]:
    """The notes of the fixes, each once, but what was said of one finding or measured with one change alone."""
    made = {step.words for step in best.made.steps}
    others = {FIRST, *(somebody_else(finding) for finding in seeker.now.findings)}
    for part in best.parts:
        for note in part.fix.notes:
            less = any(step.lever == "glide" and step.words not in made for step in part.fix.steps)
            if note not in others and not note.startswith((*ALONE, SINKS) if less else ALONE):
                others.add(note)
                yield note
    estimate = best.result.estimate
    if estimate and estimate.descent_speed_mps.nominal is not None and "canopy" in {s.lever for s in best.made.steps}:
        yield f"{DOWN} {estimate.descent_speed_mps.nominal:.1f} m/s."


def _then(seeker: Seeker, fixes: Sequence[Fix], best: Whole, flown: Sequence[Whole], finding: Finding) -> FindingThen:
    after = next((each for each in best.result.findings if each.rule == finding.rule), None)
    stands = best.after.get(finding.rule, "clear")
    return FindingThen(
        rule=finding.rule,
        statement=finding.statement,
        before=finding.standing,
        after=stands,
        measured_before=found_words(finding),
        measured_after=found_words(after) if after else "no longer raised",
        why="" if stands == "clear" else _why(seeker, fixes, best, flown, finding),
    )


def _why(seeker: Seeker, fixes: Sequence[Fix], best: Whole, flown: Sequence[Whole], finding: Finding) -> str:
    """Why a finding stays not clear with all changes made."""
    if standings(best.result).get(finding.rule, "clear") == "clear":
        return CROOKED
    fix = next((each for each in fixes if each.rule == finding.rule), None)
    if fix is None:
        return "What would clear it was not sought."
    if fix.found == "none":
        return hopeless(seeker.entry, finding) or (NEVER if fix.words.startswith(NEVER) else NOTHING)
    if _cleared_by_part(best, finding):
        return "One of these changes clears it by itself, but not beside the others."
    made = [part.fix for part in best.parts]
    if merged(seeker.trials.day, seeker.entry, [*made, fix]) is None:
        return f"What clears it by itself cannot be made beside this: {fix.words}"
    beside = [whole for whole in flown if any(part.fix.changes == fix.changes for part in whole.parts)]
    for whole in beside:
        if not whole.harmless:
            harmed = (each for each in whole.result.findings if each.rule in whole.worse)
            worse = "; ".join(f"{each.standing}: {each.statement.rstrip('.')}" for each in harmed)
            does = f"makes another finding worse ({worse})" if worse else "could not be flown"
            return f"What clears it by itself, made beside other changes, {does}. It is: {fix.words}"
    if any(_tells(whole, best, finding) for whole in beside):
        return f"What clears it by itself brought no more beside this, as far as was flown: {fix.words}"
    return f"What clears it by itself was not flown beside this: {fix.words}"


def _tells(whole: Whole, best: Whole, finding: Finding) -> bool:
    """Whether a set flown with what clears a finding shows that it brings the best no more: beside all of that it left
    as much, or beside some of it the finding itself."""
    if set(best.parts) <= set(whole.parts):
        return True
    stays = whole.after.get(finding.rule, "clear") != "clear"
    return stays and bool(set(best.parts) & set(whole.parts))


def _cleared_by_part(whole: Whole, finding: Finding) -> bool:
    """Whether one of the parts clears a finding by itself."""
    return any(part.after.get(finding.rule, "clear") == "clear" for part in whole.parts)
