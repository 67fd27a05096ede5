"""Accepting what a log speaks for, and taking it back. Both are changes of the header, with who, when and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from service.models.correction import Correction
from service.models.learning import Proposal
from service.models.policy import ModeChances, Policy
from service.planning.learning.proposals import LEARNT, accepted, reason_of, without_correction
from service.store import Store
from service.store.header import DayHeader
from service.store.versions import Version
from service.web.callers import Caller
from service.web.errors import Superseded
from service.web.learning.state import Asked

TAKEN_BACK = "taken back: "


@dataclass(frozen=True)
class Taken:
    """A spread or a chance that was learnt and still stands. `name` is the error source or the ending."""

    id: str
    what: str
    values: dict[str, float]
    before: dict[str, float | None]
    """What stood before; None for the service's own default."""
    why: str
    by: str
    at: str


def accept(store: Store, asked: Asked, proposal: Proposal, by: Caller, at: datetime, based_on: int) -> None:
    """Put a proposal in force. What it bears on is assessed anew by itself; the sheet names who accepted it.

    Raises
    ------
    Conflict, Refused
        As the store says.
    """
    called = by.person.name if by.person else by.name()
    changed = accepted(asked.header.document, proposal, called, at.replace(microsecond=0))
    store.days.update(asked.day_id, changed, by.name(), based_on=based_on, why=reason_of(proposal))


def take_back(store: Store, asked: Asked, what: str, by: str, based_on: int) -> str:
    """Take back a correction ("drag" and the rocket's name, or "drag" alone for all), or what else was learnt (its
    id). Returns it in words.

    Raises
    ------
    Superseded
        If it does not stand any more.
    """
    header = asked.header.document
    if what == "drag" or what.startswith("drag "):
        rocket = what.removeprefix("drag").removeprefix(" ") or None
        correction = next((each for each in header.corrections if each.rocket == rocket), None)
        if correction is None:
            raise Superseded("There is no such correction any more; nothing was changed.")
        changed, words = without_correction(header, rocket), correction_words(correction)
    else:
        taken = next((each for each in learnt(store.days.history(asked.day_id)) if each.id == what), None)
        if taken is None:
            raise Superseded("That does not stand any more; nothing was changed.")
        changed, words = _restored(header, taken), taken.what
    store.days.update(asked.day_id, changed, by, based_on=based_on, why=f"{TAKEN_BACK}{words}"[:480])
    return words


def correction_words(correction: Correction) -> str:
    """A correction in a few words."""
    whose = correction.rocket or "every rocket without a correction of its own"
    return f"drag of {whose} times {correction.drag_factor:.2f}"


def learnt(history: Sequence[Version[DayHeader]]) -> list[Taken]:
    """Spreads and chances that were learnt and stand as they were accepted, the last accepted first."""
    now = _figures(history[-1].document)
    found: dict[str, Taken] = {}
    for earlier, later in pairwise(history):
        if not later.why.startswith(LEARNT):
            continue
        before, after = _figures(earlier.document), _figures(later.document)
        changed = {name: value for name, value in after.items() if before.get(name) != value}
        name, _, _ = later.why.removeprefix(LEARNT).partition(":")
        if changed and all(now.get(each) == value for each, value in changed.items()):
            values = {each.partition(" ")[2]: value for each, value in changed.items()}
            was = {each.partition(" ")[2]: before.get(each) for each in changed}
            what = ", ".join(f"{each} {value:g}" for each, value in values.items())
            found[name] = Taken(name, what, values, was, later.why.removeprefix(LEARNT), later.by, later.at)
    return list(reversed(found.values()))


def _figures(header: DayHeader) -> dict[str, float]:
    """Spreads and chances by kind and name."""
    spreads = {f"spread {name}": value for name, value in header.policy.spreads.items()}
    return spreads | {f"mode {name}": value for name, value in header.mode_chances.model_dump().items()}


def _restored(header: DayHeader, taken: Taken) -> DayHeader:
    if taken.id.startswith("mode-"):
        chances = ModeChances.model_validate({**header.mode_chances.model_dump(), **taken.before})
        return header.model_copy(update={"mode_chances": chances})
    spreads = {**header.policy.spreads, **taken.before}
    kept = {name: value for name, value in spreads.items() if value is not None}
    policy = Policy.model_validate({**header.policy.model_dump(), "spreads": kept})
    return header.model_copy(update={"policy": policy})
