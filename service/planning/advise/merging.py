"""Changes of an entry and its pad made beside each other, where they leave each other alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import TypeVar

from pydantic import ValidationError

from service.models.advice import Change, Fix, FixStep, LeverName
from service.models.day import LaunchDay
from service.models.entry import Entry
from service.models.field import Pad
from service.planning.advise.changes import apply_changes, differences, plain

# a delay is chosen for one motor, and so is the backup of an altimeter
CLASH: tuple[frozenset[LeverName], ...] = (frozenset({"motor", "delay"}), frozenset({"motor", "electronics"}))
ENTRY, PAD = "/entry", "/pad"  # where the pointers of each start here
# levers of which the further of two moves takes the other in, and under which pointer lies all that they change
FURTHER: dict[LeverName, str] = {
    "nose_weight": f"{ENTRY}/rocket", "tail_weight": f"{ENTRY}/rocket", "guide_length": f"{PAD}/guide_length_m",
    "canopy": f"{ENTRY}/recovery", "glide": f"{ENTRY}/recovery", "main_altitude": f"{ENTRY}/recovery",
}  # fmt: skip
Model = TypeVar("Model", Entry, Pad)


@dataclass(frozen=True)
class Merged:
    """The entry and the pad with all changes made, and the steps that are left to do."""

    entry: Entry
    pad: Pad | None
    steps: tuple[FixStep, ...]


@dataclass
class _Move:
    """What one fix changes, by pointer, and in which steps; both shrink where another fix goes further."""

    changes: dict[str, Change]
    steps: list[FixStep]


def merged(day: LaunchDay, entry: Entry, fixes: Sequence[Fix]) -> Merged | None:
    """The entry and the pad with the changes of all fixes made; of two that move one lever, the further.

    None where two of them set the same value otherwise, where one was worked out for what another replaces, or where
    the outcome would be refused as a document.
    """
    names = {fix.pad.name for fix in fixes if fix.pad is not None}
    if len(names) > 1:
        return None
    pad = day.pad_by_name(names.pop()) if names else None
    moves = [_move(entry, pad, fix) for fix in fixes]
    for one, other in combinations(moves, 2):
        if _clash(one, other) or not _settle(one, other):
            return None
    changes = {pointer: change for move in moves for pointer, change in move.changes.items()}
    steps = {step.words: step for move in moves for step in move.steps}
    try:
        changed = _with(entry, changes, ENTRY)
        set_pad = _with(pad, changes, PAD) if pad is not None else None
    except ValidationError:
        return None
    if set_pad is not None and set_pad.name != changed.pad:
        return None  # it would stand on another pad than the one that is set
    return Merged(changed, set_pad, tuple(steps.values()))


def _move(entry: Entry, pad: Pad | None, fix: Fix) -> _Move:
    of_entry = differences(entry, fix.entry) if fix.entry is not None else ()
    of_pad = differences(pad, fix.pad) if pad is not None and fix.pad is not None else ()
    changes = {f"{root}{each.pointer}": each for root, found in ((ENTRY, of_entry), (PAD, of_pad)) for each in found}
    return _Move(changes, list(fix.steps))


def _with(before: Model, changes: dict[str, Change], root: str) -> Model:
    mine = [change for pointer, change in changes.items() if pointer.startswith(f"{root}/")]
    return type(before).model_validate(apply_changes(plain(before), mine))


def _own(one: _Move, other: _Move) -> set[LeverName]:
    """Levers that one moves in steps which the other does not share."""
    shared = {step.words for step in other.steps}
    return {step.lever for step in one.steps if step.words not in shared}


def _clash(one: _Move, other: _Move) -> bool:
    """Whether two fixes move levers that do not go together."""
    return any({a, b} in CLASH for a in _own(one, other) for b in _own(other, one))


def _settle(one: _Move, other: _Move) -> bool:
    """Whether two fixes can stand beside each other; what both change is left to the one that goes further.

    That is one lever, and nothing else may be set by both: the steps that stay have to be those that are made.
    """
    touching = [(a, b) for a in one.changes for b in other.changes if _touch(a, b)]
    touching = [(a, b) for a, b in touching if one.changes[a] != other.changes[b]]
    if not touching:
        return True
    levers = _own(one, other) & _own(other, one)
    root = FURTHER.get(next(iter(levers))) if len(levers) == 1 else None
    if root is None or any(a != b or not _touch(a, root) for a, b in touching):
        return False
    first = touching[0][0]
    how_far = [_way(move.changes[first]) for move in (one, other)]
    if how_far[0] * how_far[1] <= 0.0:
        return False  # apart, or no numbers
    less = one if abs(how_far[0]) < abs(how_far[1]) else other
    less.steps = [step for step in less.steps if step.lever not in levers]
    for pointer, _ in touching:
        del less.changes[pointer]
    return True


def _touch(one: str, other: str) -> bool:
    """Whether two pointers lead to the same value, or one to a part of what the other leads to."""
    return f"{one}/".startswith(f"{other}/") or f"{other}/".startswith(f"{one}/")


def _way(change: Change) -> float:
    """How far a number is moved, and which way; 0 for what is no number."""
    numbers = all(
        isinstance(each, float | int) and not isinstance(each, bool) for each in (change.before, change.after)
    )
    return float(change.after) - float(change.before) if numbers else 0.0
