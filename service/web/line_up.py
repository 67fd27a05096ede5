"""The order of flight: turns, each of one rocket or of several launched at once, and who stands on which pad.

Kept as one small value with a revision, so that two people who shift it at once are told. Who stands on a pad stays
there until somebody says that it was taken off or left: whatever becomes of its entry, or of its turn, meanwhile.
"""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any

from service.models.entry import Entry
from service.models.flight_log import STAYED, Happened, Stay
from service.models.policy import Policy
from service.store import Store
from service.store.flights import Flight, FlightRow
from service.store.settings import Put

Turns = tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Stayed:
    """The last try of an entry that did not leave its pad, and the wait that the day asked when it was logged."""

    what: Stay
    at: datetime
    wait_s: float = Policy().misfire_wait_s


@dataclass(frozen=True)
class LineUp:
    """Turns of entry ids, the next one first; which pad those on a pad stand on; which of them stayed there.

    `wait_s` is the day's policy as it stands now: a longer one holds for a wait that is going on, a shorter one does
    not end it sooner.
    """

    turns: Turns = ()
    stands: Mapping[str, str] = field(default_factory=dict)
    stayed: Mapping[str, Stayed] = field(default_factory=dict)
    revision: int = 0
    wait_s: float = Policy().misfire_wait_s

    @property
    def entries(self) -> tuple[str, ...]:
        """Every entry in line, in order."""
        return tuple(each for turn in self.turns for each in turn)

    @property
    def on_pad(self) -> frozenset[str]:
        """Every entry that stands on a pad, in line or not."""
        return frozenset(self.stands)

    def turn_of(self, entry_id: str) -> int:
        """Which turn an entry is in, from 0; -1 for none."""
        return next((at for at, turn in enumerate(self.turns) if entry_id in turn), -1)

    def until(self, entry_id: str) -> datetime | None:
        """Nobody approaches an entry before; None for one that did not stay."""
        stayed = self.stayed.get(entry_id)
        return stayed.at + timedelta(seconds=max(stayed.wait_s, self.wait_s)) if stayed else None

    def waits(self, at: datetime) -> tuple[str, ...]:
        """Those that nobody approaches yet."""
        return tuple(each for each in self.stayed if (until := self.until(each)) and at < until)

    def added(self, entry_id: str) -> LineUp:
        """With an entry at the end."""
        return self if entry_id in self.entries else self._with([*self.turns, (entry_id,)])

    def without(self, entry_ids: Collection[str]) -> LineUp:
        """Without these entries in line; who stands on a pad stands there still."""
        return self._with([tuple(each for each in turn if each not in entry_ids) for turn in self.turns])

    def gone(self, entry_ids: Collection[str]) -> LineUp:
        """After these left: neither in line nor on a pad."""
        stands = {each: pad for each, pad in self.stands.items() if each not in entry_ids}
        return replace(self.without(entry_ids), stands=stands, stayed=self._stayed_of(stands))

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

    def set_up(self, entry_id: str, pad: str) -> LineUp:
        """With an entry on a pad."""
        return replace(self, stands={**self.stands, entry_id: pad})

    def taken_down(self, entry_id: str) -> LineUp:
        """With an entry off its pad."""
        stands = {each: pad for each, pad in self.stands.items() if each != entry_id}
        return replace(self, stands=stands, stayed=self._stayed_of(stands))

    def tried(self, entry_id: str, pad: str, stayed: Stayed) -> LineUp:
        """After a try that left an entry on its pad. One that lit has had its flight: it leaves the line."""
        asked = replace(stayed, wait_s=self.wait_s)
        made = replace(self.set_up(entry_id, pad), stayed={**self.stayed, entry_id: asked})
        return made.without([entry_id]) if stayed.what == "hung_up" else made

    def back(self, entry_id: str, pad: str, stayed: Stayed | None) -> LineUp:
        """With an entry that was said to have left on its pad again: next in line, unless it lit."""
        made = self.tried(entry_id, pad, stayed) if stayed else self
        if entry_id not in made.stands:
            made = made.set_up(entry_id, pad)
        if entry_id in made.entries or (stayed and stayed.what == "hung_up"):
            return made
        return made._with([(entry_id,), *made.turns])

    def ready(self, entry_id: str) -> LineUp:
        """With an entry made ready for another try."""
        return replace(self, stayed={each: stayed for each, stayed in self.stayed.items() if each != entry_id})

    def _with(self, turns: Iterable[tuple[str, ...]]) -> LineUp:
        return replace(self, turns=tuple(turn for turn in turns if turn))

    def _stayed_of(self, stands: Collection[str]) -> dict[str, Stayed]:
        return {each: stayed for each, stayed in self.stayed.items() if each in stands}


def clash(line_up: LineUp, known: Mapping[str, Entry], before: LineUp) -> str:
    """Why an order cannot follow on another; empty when it can. What stands already is taken as it is."""
    new = [each for each in sorted(line_up.on_pad) if each not in before.stands]
    strange = [each for each in (*line_up.entries, *new) if each not in known]
    if strange:
        return f"{strange[0][:64]} is not on this day"
    twice = [each for each in line_up.entries if line_up.entries.count(each) > 1]
    if twice:
        return f"{twice[0]} is in line twice"
    waiting = [each for each in new if each not in line_up.entries]
    if waiting:
        return f"{waiting[0]} stands on a pad and is not in line"
    for turn in line_up.turns:
        pads = [known[each].pad for each in turn]
        both = [each for each in turn if pads.count(known[each].pad) > 1]
        if both:
            return f"{both[0]} and {both[1]} are both for pad {known[both[0]].pad}"
    for each in new:
        pad = line_up.stands[each]
        other = next((one for one in sorted(line_up.stands) if one != each and line_up.stands[one] == pad), None)
        if other is not None:
            return f"{each} and {other} are both for pad {pad}"
    return ""


def too_early(line_up: LineUp, before: LineUp, at: datetime) -> str:
    """Which entry would have been approached before its time; empty when none."""
    return next((each for each in before.waits(at) if line_up.stayed.get(each) != before.stayed[each]), "")


def after(
    line_up: LineUp, known: Mapping[str, Entry], happened: Mapping[str, Happened], at: datetime
) -> tuple[LineUp, list[Flight]]:
    """The order after entries left their pads or were meant to, and what goes into the log."""
    flights = []
    for entry_id, what in happened.items():
        pad = line_up.stands.get(entry_id, known[entry_id].pad)
        flights.append(Flight(entry=entry_id, flown_at=at.replace(microsecond=0), pad=pad, happened=what))
        stay = next((each for each in STAYED if each == what), None)
        line_up = line_up.tried(entry_id, pad, Stayed(stay, at)) if stay else line_up.gone([entry_id])
    return line_up, flights


def read_line_up(store: Store, day_id: str, known: Collection[str]) -> LineUp:
    """The order as kept. Entries that are gone are not in line any more; on a pad they stand still."""
    wait_s = store.days.header(day_id).document.policy.misfire_wait_s
    found = store.settings.find(_name(day_id))
    if found is None:
        return LineUp(wait_s=wait_s)
    value: dict[str, Any] = found.value
    turns = tuple(tuple(each for each in turn if each in known) for turn in value["turns"])
    stands = value.get("stands")
    if stands is None:  # as it was kept before pads were named in it
        pads = {each.id: each.entry.pad for each in store.entries.all(day_id, withdrawn=True)}
        stands = {each: pads[each] for each in value["on_pad"] if each in pads}
    stayed = {
        each: Stayed(told["what"], datetime.fromisoformat(told["at"]), float(told.get("wait_s", Stayed.wait_s)))
        for each, told in value.get("stayed", {}).items()
    }
    return LineUp(tuple(turn for turn in turns if turn), stands, stayed, found.revision, wait_s)


def save_line_up(
    store: Store, day_id: str, line_up: LineUp, by: str, *, based_on: int, flights: Sequence[Flight] = ()
) -> tuple[FlightRow, ...]:
    """Keep the order, and write flights into the log with it: both or neither.

    Raises
    ------
    Conflict
        Where somebody else shifted it since `based_on`: of two who say at once that something flew, the log has one.
    AlreadyLogged
        Where the log tells of a flight already.
    """
    return store.flights.add_all(day_id, flights, by, also=as_kept(day_id, line_up, based_on))


def as_kept(day_id: str, line_up: LineUp, based_on: int) -> Put:
    """The order as the store keeps it."""
    value = {
        "turns": [list(turn) for turn in line_up.turns],
        "stands": dict(line_up.stands),
        "stayed": {
            each: {"what": one.what, "at": one.at.isoformat(), "wait_s": f"{one.wait_s}"}
            for each, one in line_up.stayed.items()
        },
    }
    return Put(_name(day_id), value, based_on)


def _name(day_id: str) -> str:
    """Short enough for a setting's name, whatever the day is called."""
    return f"line-up.{hashlib.sha256(day_id.encode()).hexdigest()[:24]}"
