"""Changes to the launch-day document, each as a JSON pointer with its value before and after (RFC 6901)."""

from __future__ import annotations

import copy
from collections.abc import Iterable
from typing import Any

from service.models.advice import Change, Fix
from service.models.day import LaunchDay
from service.models.entry import Entry
from service.models.field import Pad


def entry_changes(day: LaunchDay, before: Entry, after: Entry) -> tuple[Change, ...]:
    """What differs between two states of an entry of the day, value by value."""
    index = next((number for number, each in enumerate(day.entries) if each.id == before.id), None)
    root = "" if index is None else f"/entries/{index}"  # an entry not yet on the day: pointers start at the entry
    return tuple(_differences(root, plain(before), plain(after)))


def pad_changes(day: LaunchDay, after: Pad | None) -> tuple[Change, ...]:
    """What differs between a pad as it stands and as a trial sets it."""
    if after is None:
        return ()
    index = next(number for number, each in enumerate(day.field.pads) if each.name == after.name)
    return tuple(_differences(f"/field/pads/{index}", plain(day.field.pads[index]), plain(after)))


def differences(before: Entry | Pad, after: Entry | Pad) -> tuple[Change, ...]:
    """What differs between two states of an entry or a pad; pointers start at it."""
    return tuple(_differences("", plain(before), plain(after)))


def plain(model: Entry | Pad) -> Any:
    """As JSON, under the names of the document."""
    return model.model_dump(mode="json", by_alias=True)


def _differences(where: str, before: Any, after: Any) -> Iterable[Change]:
    if isinstance(before, dict) and isinstance(after, dict) and before.keys() == after.keys():
        for key in before:
            yield from _differences(f"{where}/{key.replace('~', '~0').replace('/', '~1')}", before[key], after[key])
    elif isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        for number, (one, other) in enumerate(zip(before, after, strict=True)):
            yield from _differences(f"{where}/{number}", one, other)
    elif before != after:
        yield Change(pointer=where, before=before, after=after)


def apply_changes(document: Any, changes: Iterable[Change]) -> Any:
    """A copy of a JSON document with the changes made.

    A value that the document leaves out counts as null. Checking the outcome is the reader's, as for any document.

    Raises
    ------
    KeyError, IndexError
        If a pointer leads nowhere.
    ValueError
        If the value found is not the one the change was worked out for.
    """
    changed = copy.deepcopy(document)
    for change in changes:
        *path, last = (part.replace("~1", "/").replace("~0", "~") for part in change.pointer.split("/")[1:])
        place = changed
        for part in path:
            place = place[int(part)] if isinstance(place, list) else place[part]
        key: Any = int(last) if isinstance(place, list) else last
        found = place[key] if isinstance(place, list) else place.get(key)
        if found != change.before and found is not None:
            raise ValueError(f"{change.pointer}: found {found!r}; the change was worked out for {change.before!r}")
        place[key] = change.after
    return changed


def with_fix(day: LaunchDay, fix: Fix) -> LaunchDay:
    """The day with a fix made.

    Raises
    ------
    KeyError
        If the entry is not on the day.
    """
    if fix.entry is None:
        return day
    day.entry_by_id(fix.entry.id)
    entries = tuple(fix.entry if each.id == fix.entry.id else each for each in day.entries)
    pads = tuple(fix.pad if fix.pad and each.name == fix.pad.name else each for each in day.field.pads)
    return day.model_copy(update={"entries": entries, "field": day.field.model_copy(update={"pads": pads})})
