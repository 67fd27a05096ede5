"""Fixes as they are shown: each change once, with all the findings that it clears."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from service.models.advice import Fix
from service.models.finding import WORST_FIRST

STRAIGHT_FIRST = (
    "As it is the rocket does not fly straight. That is mended first: what would clear the rest was worked out with it "
    "flying straight."
)


@dataclass(frozen=True)
class FixGroup:
    """One change, and the findings that it clears. `number` is that of its first finding in the list, from 1."""

    number: int
    fix: Fix
    clears: tuple[Fix, ...]
    besides: tuple[str, ...]
    """Statements of more findings that it clears, whose own fix is another."""

    gravest: int
    """Place of the worst standing that it clears among all, the worst first."""

    @property
    def gain(self) -> int:
        """How many findings it clears. [count]"""
        return len(self.clears) + len(self.besides)

    @property
    def shared(self) -> tuple[str, ...]:
        """Other entries on the pad that it sets."""
        return self.fix.pad_shared_with


def grouped(fixes: Iterable[Fix]) -> tuple[FixGroup, ...]:
    """The changes that help: what the others rest on first, then what clears the gravest, the most, with the least."""
    listed = list(fixes)
    open_now = {each.rule: each for each in listed}
    roots = {each.rests_on for each in listed}
    groups: dict[str, FixGroup] = {}
    for number, fix in enumerate(listed, start=1):
        if fix.found == "none":
            continue
        key = repr(fix.changes)
        if key in groups:
            groups[key] = replace(groups[key], clears=(*groups[key].clears, fix))
        else:
            groups[key] = FixGroup(number, fix, (fix,), (), 0)
    helps = []
    for group in groups.values():
        named = {each.rule for each in group.clears}
        also = {rule: None for each in group.clears for rule in each.also_clears}
        besides = [open_now[rule] for rule in also if rule in open_now and rule not in named]
        gravest = min(WORST_FIRST.index(each.before) for each in (*group.clears, *besides))
        helps.append(replace(group, besides=tuple(each.statement for each in besides), gravest=gravest))
    return tuple(sorted(helps, key=lambda each: _place(each, roots)))


def _place(group: FixGroup, roots: set[str]) -> tuple[bool, int, int, int]:
    rooted = bool(roots & {each.rule for each in group.clears})
    return not rooted, group.gravest, -group.gain, len(group.fix.steps)
