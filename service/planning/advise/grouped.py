"""Fixes as they are shown: each change once, with all the findings that it clears."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from service.models.advice import Fix

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

    @property
    def gain(self) -> int:
        """How many findings it clears. [count]"""
        return len(self.clears) + len(self.besides)

    @property
    def shared(self) -> tuple[str, ...]:
        """Other entries on the pad that it sets."""
        return self.fix.pad_shared_with


def grouped(fixes: Iterable[Fix]) -> tuple[FixGroup, ...]:
    """The changes that help: that which the others rest on first, then those that clear most."""
    listed = list(fixes)
    says = {each.rule: each.statement for each in listed}
    roots = {each.rests_on for each in listed}
    groups: dict[str, FixGroup] = {}
    for number, fix in enumerate(listed, start=1):
        if fix.found == "none":
            continue
        key = repr(fix.changes)
        if key in groups:
            groups[key] = replace(groups[key], clears=(*groups[key].clears, fix))
        else:
            groups[key] = FixGroup(number, fix, (fix,), ())
    helps = []
    for group in groups.values():
        named = {each.rule for each in group.clears}
        also = {rule: None for each in group.clears for rule in each.also_clears}
        helps.append(replace(group, besides=tuple(says[rule] for rule in also if rule in says and rule not in named)))
    return tuple(sorted(helps, key=lambda each: (not roots & {one.rule for one in each.clears}, -each.gain)))
