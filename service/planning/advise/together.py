"""The fixes made together: of up to four sets that were flown in full, and of each fix alone, what leaves least.

Each fix was flown by itself, so what a set of them should clear is known; what they do to each other is not. The most
promising set is flown first. What it shows counts against every larger set that holds it, and the search ends where no
set promises more than was found.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import combinations

from service.models.advice import Fix
from service.models.finding import Standing
from service.models.together import Together
from service.planning.advise.merging import Merged, merged
from service.planning.advise.parts import Left, Part, Parts, Whole, credited, left_of, parts_of, trouble
from service.planning.advise.single import Seeker
from service.planning.advise.together_words import told
from service.planning.advise.trials import RANK

MOST_FLOWN = 4  # sets that are flown in full


def together_of(seeker: Seeker, fixes: Sequence[Fix]) -> Together | None:
    """What the fixes of an entry come to together; None where none was found.

    Parameters
    ----------
    seeker : Seeker
        Of the entry as it stands, whose trials the fixes were verified in.
    fixes : sequence of Fix
        One a finding, in their order.

    Raises
    ------
    AdviceStopped
        If called off.
    """
    parts = parts_of(fixes, seeker.trials, seeker.now)
    if not parts:
        return None
    best = min((_alone(each) for each in parts), key=lambda each: (each.left, trouble(each.parts)))
    untried = [each for size in range(2, len(parts) + 1) for each in combinations(parts, size)]
    flown: list[Whole] = []
    while untried and len(flown) < MOST_FLOWN:
        chosen = min(untried, key=lambda each: (_promised(seeker, each, flown), trouble(each)))
        if _promised(seeker, chosen, flown) >= best.left:
            break
        untried.remove(chosen)
        made = merged(seeker.trials.day, seeker.entry, [each.fix for each in chosen])
        if made is None:  # and so none that holds these two, or more, beside others
            untried = [each for each in untried if not set(chosen) <= set(each)]
            continue
        result = seeker.trials.full(made.entry, made.pad)
        whole = Whole(chosen, made, result, credited(seeker.now, result), tuple(seeker.harms(result)))
        flown.append(whole)
        if whole.harmless and whole.left < best.left:
            best = whole
    return told(seeker, fixes, parts, best, flown)


def _alone(part: Part) -> Whole:
    """A fix by itself, which was flown when it was found."""
    assert part.fix.entry is not None  # it was found
    return Whole((part,), Merged(part.fix.entry, part.fix.pad, part.fix.steps), part.result, part.after)


def _promised(seeker: Seeker, parts: Parts, flown: Sequence[Whole]) -> Left:
    """What a set should leave: of each finding the best that its parts have shown, alone and together so far."""
    expected = _best_of(seeker, parts)
    for whole in flown:
        if not set(whole.parts) <= set(parts):
            continue
        if not whole.harmless:
            return left_of(seeker.before.values())
        added = _best_of(seeker, [each for each in parts if each not in whole.parts])
        for rule, stands in expected.items():
            least = min(whole.after.get(rule, "clear"), added.get(rule, "stop"), key=RANK.__getitem__)
            expected[rule] = max(stands, least, key=RANK.__getitem__)
    return left_of(expected.values())


def _best_of(seeker: Seeker, parts: Iterable[Part]) -> dict[str, Standing]:
    """For each rule that is not clear as it stands, the best that it stands at with one of these changes alone."""
    best: dict[str, Standing] = {}
    for part in parts:
        for rule, stands in seeker.before.items():
            if stands != "clear":
                best[rule] = min(best.get(rule, stands), part.after.get(rule, "clear"), key=RANK.__getitem__)
    return best
