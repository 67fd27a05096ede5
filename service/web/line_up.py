"""The order of flight: turns, each of one rocket or of several launched at once, and who stands on a pad already.

Kept as one small value with a revision, so that two people who shift it at once are told.
"""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from service.models.entry import Entry
from service.store import Store

Turns = tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class LineUp:
    """Turns of entry ids, the next one first; those of them that stand on their pad."""

    turns: Turns = ()
    on_pad: frozenset[str] = frozenset()
    revision: int = 0

    @property
    def entries(self) -> tuple[str, ...]:
        """Every entry in line, in order."""
        return tuple(each for turn in self.turns for each in turn)

    def turn_of(self, entry_id: str) -> int:
        """Which turn an entry is in, from 0; -1 for none."""
        return next((at for at, turn in enumerate(self.turns) if entry_id in turn), -1)

    def added(self, entry_id: str) -> LineUp:
        """With an entry at the end."""
        return self if entry_id in self.entries else self._with([*self.turns, (entry_id,)])

    def without(self, entry_ids: Collection[str]) -> LineUp:
        """Without these entries."""
        turns = [tuple(each for each in turn if each not in entry_ids) for turn in self.turns]
        return self._with(turns, self.on_pad - set(entry_ids))

    def moved(self, entry_id: str, by: int) -> LineUp:
        """With an entry's whole turn moved: -1 for earlier, 1 for later."""
        at = self.turn_of(entry_id)
        to = at + by
        if at < 0 or not 0 <= to < len(self.turns):
            return self
        turns = list(self.turns)
        turns[at], turns[to] = turns[to], turns[at]
        return self._with(turns)

    def joined(self, entry_id: str) -> LineUp:
        """With an entry launched together with the turn before its own."""
        at = self.turn_of(entry_id)
        if at < 1:
            return self
        turns = [list(turn) for turn in self.turns]
        turns[at].remove(entry_id)
        turns[at - 1].append(entry_id)
        return self._with(map(tuple, turns))

    def parted(self, entry_id: str) -> LineUp:
        """With an entry on its own again, after those it was with."""
        at = self.turn_of(entry_id)
        if at < 0 or len(self.turns[at]) < 2:
            return self
        turns = list(self.turns)
        turns[at : at + 1] = [tuple(each for each in turns[at] if each != entry_id), (entry_id,)]
        return self._with(turns)

    def set_up(self, entry_id: str, there: bool) -> LineUp:
        """With an entry on its pad, or off it."""
        return self._with(self.turns, self.on_pad | {entry_id} if there else self.on_pad - {entry_id})

    def _with(self, turns: Iterable[tuple[str, ...]], on_pad: frozenset[str] | None = None) -> LineUp:
        kept = tuple(turn for turn in turns if turn)
        return LineUp(kept, self.on_pad if on_pad is None else on_pad, self.revision)


def clash(line_up: LineUp, known: Mapping[str, Entry]) -> str:
    """Why an order cannot be; empty when it can."""
    strange = [each for each in (*line_up.entries, *sorted(line_up.on_pad)) if each not in known]
    if strange:
        return f"{strange[0][:64]} is not on this day"
    twice = [each for each in line_up.entries if line_up.entries.count(each) > 1]
    if twice:
        return f"{twice[0]} is in line twice"
    waiting = sorted(line_up.on_pad - set(line_up.entries))
    if waiting:
        return f"{waiting[0]} stands on a pad and is not in line"
    for group in (*line_up.turns, tuple(sorted(line_up.on_pad))):
        pads = [known[each].pad for each in group]
        both = [each for each in group if pads.count(known[each].pad) > 1]
        if both:
            return f"{both[0]} and {both[1]} are both for pad {known[both[0]].pad}"
    return ""


def read_line_up(store: Store, day_id: str, known: Collection[str]) -> LineUp:
    """The order as kept, without entries that are gone."""
    found = store.settings.find(_name(day_id))
    if found is None:
        return LineUp()
    value: dict[str, Any] = found.value
    turns = tuple(tuple(each for each in turn if each in known) for turn in value["turns"])
    on_pad = frozenset(each for each in value["on_pad"] if each in known)
    return LineUp(tuple(turn for turn in turns if turn), on_pad, found.revision)


def save_line_up(store: Store, day_id: str, line_up: LineUp, by: str, *, based_on: int) -> None:
    """Keep the order; raises `Conflict` where somebody else shifted it since `based_on`."""
    value = {"turns": [list(turn) for turn in line_up.turns], "on_pad": sorted(line_up.on_pad)}
    store.settings.set(_name(day_id), value, by, based_on=based_on)


def _name(day_id: str) -> str:
    """Short enough for a setting's name, whatever the day is called."""
    return f"line-up.{hashlib.sha256(day_id.encode()).hexdigest()[:24]}"
