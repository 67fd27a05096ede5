"""What advice on one entry rests on: the day as that flyer finds it, with what is left of each motor."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from service.models.day import LaunchDay
from service.models.entry import Entry
from service.models.motor import Motor
from service.store import NotFound, Store
from service.store.entries import EntryRecord
from service.store.motors import Offer
from service.web.entry_fields import OWN_PREFIX


@dataclass(frozen=True)
class Advised:
    """One entry and its day, as of now.

    `day` holds no entries, and of the motors those that this flyer can have: how many others registered, and how many
    are left beyond what this rocket takes, changes no advice and repeats no work.
    """

    day_id: str
    day: LaunchDay
    record: EntryRecord
    header_revision: int
    left: dict[str, int | None]
    """By motor, how many this flyer can have; None where they are not counted."""
    pads: dict[str, tuple[str, ...]]
    """By pad, the other entries on it."""

    @property
    def entry(self) -> Entry:
        return self.record.entry

    @property
    def shared(self) -> tuple[str, ...]:
        """Other entries on this one's pad."""
        return self.pads.get(self.entry.pad, ())

    @cached_property
    def key(self) -> dict[str, Any]:
        """All that bears on the advice, as JSON."""
        day = self.day.model_dump(mode="json", by_alias=True, exclude={"entries", "forecast", "name"})
        return {"day": day, "entry": self.entry.model_dump(mode="json", by_alias=True)}


def advised(store: Store, day_id: str, entry_id: str) -> Advised:
    """The entry and its day as they stand. Revisions are read first: a change in between is noticed, not lost.

    Raises
    ------
    NotFound
        If there is no such entry, or it was withdrawn.
    """
    record, header = store.entries.get(day_id, entry_id), store.days.header(day_id)
    if record.withdrawn:
        raise NotFound(f"{entry_id} was withdrawn: there is nothing to advise on")
    day, entry = store.day_document(day_id), record.entry
    left = {each.motor.id: _left(each, record) for each in store.motors.all(day_id)}
    motors = tuple(_for(each, entry, left.get(each.id)) for each in day.motors if _may_have(each, entry))
    pads: dict[str, tuple[str, ...]] = {}
    for each in day.entries:
        if each.id != entry_id:
            pads[each.pad] = (*pads.get(each.pad, ()), each.id)
    alone = day.model_copy(update={"entries": (), "motors": motors})
    return Advised(day_id, alone, record, header.revision, left, pads)


def _left(offer: Offer, record: EntryRecord) -> int | None:
    """What is left for this entry: what it holds itself counts."""
    own = record.reserved if record.entry.motor == offer.motor.id else 0
    return None if offer.left is None else offer.left + own


def _may_have(motor: Motor, entry: Entry) -> bool:
    """Motors that other flyers bring are not on offer."""
    return motor.id == entry.motor or not motor.id.startswith(OWN_PREFIX)


def _for(motor: Motor, entry: Entry, left: int | None) -> Motor:
    short = left is not None and left < entry.motor_count
    return motor.model_copy(update={"stock": max(left or 0, 0) if short else None})
