"""Advice as the pages show it: the answer in a sentence, the picks, the rungs, the changes that help."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from markupsafe import Markup

from service.models.advice import Fix, Ladder, Pick, Rung
from service.planning.advise.aims import picks
from service.planning.advise.picture import ladder_picture
from service.planning.pictures import svg_text
from service.planning.quantities import Units, figure
from service.web.advice.state import Advised
from service.web.advice.tasks import Fixes
from service.web.words import counted

AIM_WORDS = {
    "gentle": "A gentle first flight",
    "highest": "The highest that stays inside",
    "fastest": "The fastest",
    "cheapest": "The cheapest",
    "effect": "With the effect asked for",
    "altitude": "Nearest to the altitude asked for",
}
PICTURE_WIDE, PICTURE_NARROW = 520.0, 216.0  # as the other pictures of pages


@dataclass(frozen=True)
class FixShown:
    """One change, and the findings that it clears. `number` is that of its first finding in the list, from 1."""

    number: int
    fix: Fix
    clears: tuple[Fix, ...]
    besides: tuple[str, ...]
    shared: tuple[str, ...]
    """Other entries on the pad that it sets."""

    @property
    def gain(self) -> int:
        """How many findings it clears. [count]"""
        return len(self.clears) + len(self.besides)


@dataclass(frozen=True)
class FixesShown:
    answer: str
    helps: tuple[FixShown, ...]
    """Those that clear most first."""
    hopeless: tuple[Fix, ...]


def fixes_shown(found: Fixes, asked: Advised) -> FixesShown:
    """The changes, each once, with all that it clears."""
    says = {each.rule: each.statement for each in found.fixes}
    groups: dict[str, FixShown] = {}
    for number, fix in enumerate(with_shared(found, asked).fixes, start=1):
        if fix.found == "none":
            continue
        key = repr(fix.changes)
        if key in groups:
            groups[key] = replace(groups[key], clears=(*groups[key].clears, fix))
        else:
            groups[key] = FixShown(number, fix, (fix,), (), fix.pad_shared_with)
    helps = []
    for group in groups.values():
        named = {each.rule for each in group.clears}
        besides = tuple(says[rule] for rule in group.fix.also_clears if rule in says and rule not in named)
        helps.append(replace(group, besides=besides))
    hopeless = tuple(fix for fix in found.fixes if fix.found == "none")
    return FixesShown(_fixes_answer(found, hopeless), tuple(sorted(helps, key=lambda each: -each.gain)), hopeless)


def with_shared(found: Fixes, asked: Advised) -> Fixes:
    """The fixes with the other entries that stand on the pads they set: these change without any advice changing."""
    fixes = tuple(
        fix.model_copy(update={"pad_shared_with": asked.pads.get(fix.pad.name, ()) if fix.pad else ()})
        for fix in found.fixes
    )
    return found.model_copy(update={"fixes": fixes})


def _fixes_answer(found: Fixes, hopeless: Sequence[Fix]) -> str:
    total = len(found.fixes)
    if not total:
        return "Every check is clear: nothing has to be changed."
    able = total - len(hopeless)
    of_all = "The finding that is not clear" if total == 1 else f"{able} of {total} findings that are not clear"
    if able == 0:
        which = "The finding that is not clear" if total == 1 else f"None of the {total} findings that are not clear"
        return f"{which} can{'not' if total == 1 else ''} be cleared by one change, or two, within what was tried."
    return f"{of_all} can be cleared by a change below."


@dataclass(frozen=True)
class RungShown:
    rung: Rung
    left: int | None
    aims: tuple[str, ...]
    flown_now: bool


@dataclass(frozen=True)
class LadderShown:
    """`why_none` stands in place of picks, where no motor passes."""

    answer: str
    why_none: str
    picks: tuple[tuple[str, Pick, RungShown | None], ...]
    rungs: tuple[RungShown, ...]
    ladder: Ladder
    wide: Markup
    narrow: Markup


def ladder_shown(
    found: Ladder, asked: Advised, units: Units, effect: str | None = None, altitude_m: float | None = None
) -> LadderShown:
    """The ladder with the picks for what is wanted."""
    chosen = picks(found, asked.day, effect=effect, altitude_m=altitude_m)
    aims: dict[str, tuple[str, ...]] = {}
    for each in chosen:
        if each.motor:
            aims[each.motor] = (*aims.get(each.motor, ()), AIM_WORDS[each.aim])
    now = (asked.entry.motor, asked.entry.delay_s)
    rungs = {
        each.motor: RungShown(
            each, asked.left.get(each.motor), aims.get(each.motor, ()), (each.motor, each.delay_s) == now
        )
        for each in found.rungs
    }
    return LadderShown(
        answer=_ladder_answer(found, chosen, units),
        why_none="" if any(each.passes for each in found.rungs) else chosen[0].why,
        picks=tuple((AIM_WORDS[each.aim], each, rungs.get(each.motor or "")) for each in chosen),
        rungs=tuple(rungs.values()),
        ladder=found,
        wide=Markup(svg_text(ladder_picture(found, chosen, units, PICTURE_WIDE), "ladder-wide")),
        narrow=Markup(svg_text(ladder_picture(found, chosen, units, PICTURE_NARROW), "ladder-narrow")),
    )


def with_left(found: Ladder, asked: Advised) -> Ladder:
    """The ladder with what is left of each motor now."""
    rungs = tuple(each.model_copy(update={"stock": asked.left.get(each.motor)}) for each in found.rungs)
    return found.model_copy(update={"rungs": rungs})


def _ladder_answer(found: Ladder, chosen: Sequence[Pick], units: Units) -> str:
    total = len(found.rungs) + len(found.excluded)
    if not found.rungs:
        return f"None of the {counted(total, 'motor', 'motors')} on offer fits this rocket and its flyer."
    passing = [each for each in found.rungs if each.passes]
    fit = f"{len(found.rungs)} of {counted(total, 'motor', 'motors')} on offer fit"
    if not passing:
        return f"{fit}; none passes every check."
    first = chosen[0]
    if first.motor is None:
        return f"{fit}; {len(passing)} of them pass every check."
    rung = found.rung(first.motor)
    delay = f" with a delay of {rung.delay_s:g} s" if rung.delay_s is not None else ""
    top = figure(rung.apogee_m.nominal, "length", units, rung.apogee_m.half_width)
    return f"{fit}; {len(passing)} pass every check. For a gentle first flight: {rung.name}{delay}, to {top}."


def effects(asked: Advised) -> tuple[str, ...]:
    """The effects that motors on offer have."""
    return tuple(sorted({each.effect for each in asked.day.motors if each.effect}))
