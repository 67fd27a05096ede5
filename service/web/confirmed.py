"""That an organiser has compared the edition of a code with the text in force where the day flies: who, and when.

Kept beside the launch day, in one small value with a revision: no figure rests on it, so nothing is assessed anew. It
counts for the edition that was compared; another one has to be compared again.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from service.codes.load import editions
from service.models.finding import CodeEdition
from service.store import NotFound, Store


@dataclass(frozen=True)
class Confirmed:
    """Who compared a code, and when."""

    by: str
    at: datetime


def confirmations(store: Store, day_id: str) -> dict[str, Confirmed]:
    """The codes of a day that an organiser has compared, in the editions that they have now, by id."""
    kept, _ = _kept(store, day_id)
    return {
        each.id: Confirmed(kept[each.id]["by"], datetime.fromisoformat(kept[each.id]["at"]))
        for each in editions(list(store.days.header(day_id).document.codes))
        if each.id in kept and kept[each.id]["edition"] == each.edition
    }


def confirm(store: Store, day_id: str, code: str, confirmed: bool, by: str, at: datetime) -> None:
    """Keep that a code was compared with the text in force, or that it was not after all.

    Raises
    ------
    NotFound
        When the code is not one of the day's.
    Conflict
        When somebody else confirmed one in the same moment.
    """
    codes = store.days.header(day_id).document.codes
    if code not in codes:
        raise NotFound(f'found no code "{code[:40]}" on launch day "{day_id}"; its codes: {", ".join(codes) or "none"}')
    kept, revision = _kept(store, day_id)
    here = confirmations(store, day_id)
    if confirmed == (code in here):
        return
    kept.pop(code, None)
    if confirmed:
        [edition] = editions([code])
        kept[code] = {"edition": edition.edition, "by": by, "at": at.isoformat()}
    store.settings.set(_name(day_id), kept, by, based_on=revision)


def checked_on(store: Store, day_id: str) -> dict[str, date]:
    """When each code was compared, on the day's own calendar, by id."""
    place = ZoneInfo(store.days.header(day_id).document.timezone)
    return {code: each.at.astimezone(place).date() for code, each in confirmations(store, day_id).items()}


def editions_of(store: Store, day_id: str, codes: Sequence[str]) -> list[CodeEdition]:
    """What to print about each code, with the day on which it was compared."""
    checked = checked_on(store, day_id)
    return [
        each.model_copy(update={"checked_on": checked[each.id]}) if each.id in checked else each
        for each in editions(list(codes))
    ]


def _kept(store: Store, day_id: str) -> tuple[dict[str, dict[str, str]], int]:
    found = store.settings.find(_name(day_id))
    return (dict(found.value), found.revision) if found is not None else ({}, 0)


def _name(day_id: str) -> str:
    """The setting that holds it: a name of its own however long the day's id."""
    return f"codes-confirmed.{hashlib.sha256(day_id.encode()).hexdigest()[:32]}"
