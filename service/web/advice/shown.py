"""Advice as the pages show it: the answer in a sentence, the picks, the rungs, the changes that help."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from service.models.advice import Fix, Ladder, Pick, Rung
from service.models.together import Together
from service.planning.advise.aims import at_caution, picks
from service.planning.advise.grouped import STRAIGHT_FIRST, FixGroup, grouped
from service.planning.advise.picture import ladder_picture
from service.planning.pictures import NARROW, WIDE, svg_text
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
PICTURE_WIDE, PICTURE_NARROW = WIDE[0], NARROW[0]


@dataclass(frozen=True)
class FixesShown:
    answer: str
    helps: tuple[FixGroup, ...]
    """That which the others rest on first, then what clears the gravest."""
    hopeless: tuple[Fix, ...]
    together: Together | None
    """What the changes come to together; or that which leaves no more by itself."""


def fixes_shown(found: Fixes, asked: Advised) -> FixesShown:
    """The changes, each once, with all that it clears."""
    hopeless = tuple(fix for fix in found.fixes if fix.found == "none")
    shared = with_shared(found, asked)
    return FixesShown(_fixes_answer(found, hopeless), grouped(shared.fixes), hopeless, shared.together)


def with_shared(found: Fixes, asked: Advised) -> Fixes:
    """The fixes with the other entries that stand on the pads they set: these change without any advice changing."""
    fixes = tuple(
        fix.model_copy(update={"pad_shared_with": asked.pads.get(fix.pad.name, ()) if fix.pad else ()})
        for fix in found.fixes
    )
    whole = found.together
    if whole is not None and whole.pad is not None:
        whole = whole.model_copy(update={"pad_shared_with": asked.pads.get(whole.pad.name, ())})
    return found.model_copy(update={"fixes": fixes, "together": whole})


def _fixes_answer(found: Fixes, hopeless: Sequence[Fix]) -> str:
    total = len(found.fixes)
    if not total:
        return "Every check is clear: nothing has to be changed."
    able = total - len(hopeless)
    of_all = "The finding that is not clear" if total == 1 else f"{able} of {total} findings that are not clear"
    if able == 0:
        which = "The finding that is not clear" if total == 1 else f"None of the {total} findings that are not clear"
        return f"{which} can{'not' if total == 1 else ''} be cleared by one change, or two, within what was tried."
    first = f" {STRAIGHT_FIRST}" if any(each.rests_on for each in found.fixes) else ""
    return f"{of_all} can be cleared by a change below.{first}"


@dataclass(frozen=True)
class RungShown:
    rung: Rung
    left: int | None
    aims: tuple[str, ...]
    flown_now: bool


@dataclass(frozen=True)
class LadderShown:
    """`why_none` stands in place of picks, where no motor passes and none stands at caution."""

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
        why_none="" if any(each.motor for each in chosen) else chosen[0].why,
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
    fits = "fits" if len(found.rungs) == 1 else "fit"
    fit = f"{len(found.rungs)} of {counted(total, 'motor', 'motors')} on offer {fits}"
    first = chosen[0]
    passes = "1 passes" if len(passing) == 1 else f"{len(passing) or 'none'} {'pass' if passing else 'passes'}"
    said = f"{fit}; {passes} every check."
    if not passing and (cautioned := at_caution(found)):
        said += f" {counted(len(cautioned), 'stands', 'stand')} at caution."
    if first.motor is None:
        return said
    rung = found.rung(first.motor)
    delay = f" with a delay of {rung.delay_s:g} s" if rung.delay_s is not None else ""
    top = figure(rung.apogee_m.nominal, "length", units, rung.apogee_m.half_width)
    marked = "" if rung.passes else ", at CAUTION"
    return f"{said} For a gentle first flight{marked}: {rung.name}{delay}, to {top}."


def effects(asked: Advised) -> tuple[str, ...]:
    """The effects that motors on offer have."""
    return tuple(sorted({each.effect for each in asked.day.motors if each.effect}))
