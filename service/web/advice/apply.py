"""Making an advised change, in the store: the entry by its flyer or those who run the day, a pad by the latter only."""

from __future__ import annotations

from service.models.advice import Fix, Rung
from service.models.aiming import Aiming
from service.models.entry import Entry
from service.models.field import Pad
from service.models.together import Together
from service.planning.advise.changes import apply_changes
from service.store import DayHeader, Store
from service.web.advice.state import Advised
from service.web.callers import Caller
from service.web.errors import Denied, Superseded

WHY = 480  # letters of a reason that the store takes, less what is put before it


def apply_fix(store: Store, asked: Advised, fix: Fix | Together, by: Caller, based_on: int) -> None:
    """Change the entry, and the pad where the fix, or the fixes together, set it: all of it or nothing.

    Parameters
    ----------
    asked : Advised
        What stands now, which is what the fix was worked out for.
    based_on : int
        The revision of the entry that whoever asks has seen.

    Raises
    ------
    Superseded
        If there is nothing to make of it.
    Denied
        If it sets a pad, and the caller runs no launch day.
    Conflict, Refused
        As the store says: the entry has changed, has been ruled on, or its new motor is out of stock.
    """
    if fix.entry is None:
        raise Superseded("No change was found that would clear this; nothing was changed.")
    changed = fix.entry.model_copy(update={"attestations": asked.entry.attestations})
    if fix.pad is None:
        if changed != asked.entry:
            _save(store, asked, changed, by, based_on, fix.words)
        return
    if based_on != asked.record.revision:  # the entry bears on the pad's setting, though it may stay as it is
        raise Superseded(f"{asked.entry.id} has changed since; nothing was changed. Work it out again.")
    if changed == asked.entry:
        set_pad(store, asked, fix.pad, by, asked.header_revision, fix.words)
        return
    store.days.update_with_entry(
        asked.day_id, _with_pad(store, asked, fix.pad, by), changed, by.name(asked.entry.id),
        based_on=(asked.header_revision, based_on), until_ruled=by.person is None,
        why=_pad_reason(asked, fix.words), entry_why=_reason(fix.words),
    )  # fmt: skip


def apply_motor(store: Store, asked: Advised, rung: Rung, by: Caller, based_on: int) -> None:
    """Fly the entry on the motor of a rung, with the delay chosen for it. Raises as `apply_fix`."""
    before = asked.entry.model_dump(mode="json", by_alias=True)
    changed = Entry.model_validate(apply_changes(before, rung.changes))
    delay = f", delay {rung.delay_s:g} s" if rung.delay_s is not None else ""
    _save(store, asked, changed, by, based_on, f"Fly it on {rung.name}{delay}.")


def apply_aim(store: Store, asked: Advised, aiming: Aiming, milder: bool, by: Caller, based_on: int) -> None:
    """Set the pad as aimed, or to the setting that makes nothing worse. `based_on` is the header's revision.

    Raises
    ------
    Superseded, Denied, Conflict
        As `apply_fix`.
    """
    chosen = aiming.milder if milder else aiming
    if chosen is None or not chosen.changes:
        raise Superseded("There is no such setting to make; nothing was changed.")
    set_pad(store, asked, chosen.pad_after, by, based_on, chosen.words)


def set_pad(store: Store, asked: Advised, pad: Pad, by: Caller, based_on: int, words: str) -> None:
    """Set one pad otherwise; its other entries are assessed again with it."""
    changed = _with_pad(store, asked, pad, by)
    why = _pad_reason(asked, words)
    store.days.update(asked.day_id, changed, by.name(asked.entry.id), based_on=based_on, why=why)


def _with_pad(store: Store, asked: Advised, pad: Pad, by: Caller) -> DayHeader:
    if not by.roles(asked.day_id) & {"rso", "organiser"}:
        raise Denied(f"This sets pad {pad.name}, which the range safety officer or an organiser does.")
    header = store.days.header(asked.day_id).document
    pads = tuple(pad if each.name == pad.name else each for each in header.field.pads)
    return header.model_copy(update={"field": header.field.model_copy(update={"pads": pads})})


def _pad_reason(asked: Advised, words: str) -> str:
    return f"advice for {asked.entry.id}: {words}"[:WHY]


def _reason(words: str) -> str:
    return f"advice: {words}"[:WHY]


def _save(store: Store, asked: Advised, entry: Entry, by: Caller, based_on: int, words: str) -> None:
    store.entries.update(
        asked.day_id, entry, by.name(asked.entry.id), based_on=based_on, until_ruled=by.person is None,
        why=_reason(words),
    )  # fmt: skip
