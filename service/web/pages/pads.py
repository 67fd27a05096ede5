"""Pads: who stands on which, in what order they fly, several at once; and what left, or stayed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from flask import Blueprint, redirect, render_template, request, url_for
from markupsafe import Markup

from service.models.entry import Entry
from service.models.field import Pad
from service.models.flight_log import STAYED, Happened, Stay
from service.planning.ground import ground_of
from service.planning.salvo import SalvoLine, salvo_findings
from service.store import AlreadyLogged, Conflict
from service.web.access import access
from service.web.background import reassessor
from service.web.callers import caller, the_store
from service.web.desk_lines import Line
from service.web.errors import Misfit
from service.web.line_up import LineUp, Stayed, after, read_line_up, save_line_up, too_early
from service.web.pages.desk import desk_lines, stamp
from service.web.reader import Age, now, when
from service.web.seen import seen_revision

bp = Blueprint("pads", __name__)

LEFT: tuple[Happened, ...] = ("planned", "misfire", "hung_up")
STAYED_WORDS: dict[Stay, str] = {"misfire": "misfired", "hung_up": "lit and hung up"}


@dataclass(frozen=True)
class Turn:
    """What flies at once. `faults` says why it should not as things stand; `salvo` what the codes add."""

    number: int
    lines: tuple[Line, ...]
    salvo: tuple[SalvoLine, ...]
    faults: tuple[str, ...]


@dataclass(frozen=True)
class Standing:
    """What stands on a pad. `line` is None for an entry that was withdrawn; `waits` while nobody approaches it, until
    `until`."""

    entry_id: str
    rocket: str
    line: Line | None
    stayed: Stayed | None
    until: datetime | None
    waits: bool
    in_line: bool

    @property
    def meant_for(self) -> str:
        """The pad it is meant for by its entry; empty for one that was withdrawn."""
        return self.line.pad if self.line else ""


@dataclass(frozen=True)
class PadLine:
    """One pad: what stands on it, and who comes to it next. `pad` is None where the field has it no more."""

    name: str
    pad: Pad | None
    on: tuple[Standing, ...]
    waiting: tuple[Line, ...]


@bp.get("/days/<day_id>/pads")
@access("rso", "organiser")
def show(day_id: str):
    """The pads and the order of flight."""
    return _page(day_id)


@bp.post("/days/<day_id>/pads")
@access("rso", "organiser")
def shift(day_id: str):
    """Change the order, or who stands on a pad."""
    store, based_on = the_store(), seen_revision()
    known = {each.id: each.entry for each in store.entries.all(day_id)}
    line_up = read_line_up(store, day_id, known)
    entry_id, what = request.form.get("entry", ""), request.form.get("what", "")
    if entry_id not in known and not (what == "take_down" and entry_id in line_up.stands):
        raise Misfit("That entry is not on this day any more; reload and choose again.")
    try:
        made = _shifted(line_up, known, entry_id, what)
        early = too_early(made, line_up, now())
        if early:
            raise Misfit(f"Nobody approaches {early} yet: wait until the time that stands beside it.")
        save_line_up(store, day_id, made, caller().name(), based_on=based_on)
    except Misfit as error:
        return _page(day_id, notices=[error.detail]), 422
    except Conflict as conflict:
        return _page(day_id, conflict=conflict), 409
    return redirect(url_for("pads.show", day_id=day_id) + f"#{entry_id}", 303)


@bp.post("/days/<day_id>/pads/other")
@access("rso", "organiser")
def other_pad(day_id: str):
    """Move an entry to another pad: it is assessed anew, and a ruling on it lapses."""
    store, based_on = the_store(), seen_revision()
    record = store.entries.get(day_id, request.form.get("entry", ""))
    pad = request.form.get("pad", "")
    if pad not in {each.name for each in store.days.header(day_id).document.field.pads}:
        raise Misfit("That pad is not on this field any more; reload and choose again.")
    entry = record.entry.model_copy(update={"pad": pad})
    there = read_line_up(store, day_id, [entry.id]).stands.get(entry.id)
    if there is not None:
        return _page(day_id, notices=[f"{entry.id} stands on pad {there}: take it off first."]), 422
    try:
        store.entries.update(day_id, entry, caller().name(), based_on=based_on, why=f"to pad {pad}")
    except Conflict as conflict:
        return _page(day_id, conflict=conflict), 409
    return redirect(url_for("pads.show", day_id=day_id), 303)


@bp.post("/days/<day_id>/pads/flown")
@access("rso", "organiser")
def flown(day_id: str):
    """Everything in a turn left its pad, or was meant to: written to the log, to be amended there."""
    store, based_on = the_store(), seen_revision()
    known = {each.id: each.entry for each in store.entries.all(day_id)}
    line_up = read_line_up(store, day_id, known)
    gone = [each for each in request.form.getlist("entry") if each in line_up.entries]
    if not gone:
        raise Misfit("What was marked as flown is not in line any more; reload and look again.")
    what = _said()
    made, flights = after(line_up, known, dict.fromkeys(gone, what), now())
    try:
        save_line_up(store, day_id, made, caller().name(), based_on=based_on, flights=flights)
    except Conflict as conflict:
        return _page(day_id, conflict=conflict), 409
    except AlreadyLogged as logged:
        at = when(logged.at, store.days.header(day_id).document.timezone)
        told = Markup("{} is in the log already: number {}, at {}. Take it off its pad and out of line, or write down "
                      "another flight in the log.").format(logged.entry_id, logged.number, at)  # fmt: skip
        return _page(day_id, notices=[told]), 409
    if what in STAYED:
        return redirect(url_for("pads.show", day_id=day_id), 303)
    return redirect(url_for("flights.show", day_id=day_id) + "#last", 303)


def _said() -> Happened:
    """What a form says became of what it names."""
    said = request.form.get("happened") or "planned"
    found = next((each for each in LEFT if each == said), None)
    if found is None:
        raise Misfit("That is nothing that can become of an entry here; reload and choose again.")
    return found


def _shifted(line_up: LineUp, known: dict[str, Entry], entry_id: str, what: str) -> LineUp:
    if what == "set_up":
        pad = known[entry_id].pad
        there = next((each for each, its in line_up.stands.items() if each != entry_id and its == pad), None)
        if there is not None:
            raise Misfit(f"Pad {pad} is taken by {there}: take that off first, or give one of them another pad.")
        return line_up.added(entry_id).set_up(entry_id, pad)
    if what == "leave" and entry_id in line_up.stands:
        raise Misfit(f"{entry_id} stands on pad {line_up.stands[entry_id]}: take it off first.")
    if what == "join":
        at = line_up.turn_of(entry_id)
        with_it = line_up.turns[at - 1] if at > 0 else ()
        same = next((each for each in with_it if known[each].pad == known[entry_id].pad), None)
        if same is not None:
            raise Misfit(f"{entry_id} and {same} are both for pad {known[same].pad}: they cannot fly at once.")
        return line_up.joined(entry_id)
    steps = {
        "add": line_up.added,
        "earlier": lambda each: line_up.moved(each, -1),
        "later": lambda each: line_up.moved(each, 1),
        "part": line_up.parted,
        "take_down": line_up.taken_down,
        "ready": line_up.ready,
        "leave": lambda each: line_up.without([each]),
    }
    if what not in steps:
        raise Misfit("That is nothing that can be done to an entry here; reload and choose again.")
    return steps[what](entry_id)


def _page(day_id: str, *, notices: list[str] | None = None, conflict: Conflict | None = None) -> str:
    store = the_store()
    day = store.day_document(day_id)
    lines, age = desk_lines(day_id)
    by_id = {each.entry_id: each for each in lines}
    line_up = read_line_up(store, day_id, by_id)
    every = {each.id: each for each in store.entries.all(day_id, withdrawn=True)}
    revisions = {each.id: each.revision for each in every.values()}
    rockets = {each.id: each.entry.rocket.name for each in every.values()}
    turns = _turns(day_id, line_up, by_id, age)
    pads = _pads(day.field.pads, line_up, by_id, rockets)
    ready = [each for each in lines if each.state == "approved" and each.entry_id not in line_up.entries]
    return render_template(
        "pads.html",
        day_id=day_id,
        day=day,
        age=age,
        line_up=line_up,
        turns=turns,
        pads=pads,
        stayed=[(pad, each) for pad in pads for each in pad.on if each.stayed],
        ready=ready,
        others=[each for each in lines if each not in ready and not each.flown
                and each.entry_id not in line_up.entries],
        revisions=revisions,
        progress=reassessor().progress(day_id),
        stamp=stamp(day_id),
        notices=notices or [],
        conflict=conflict,
    )  # fmt: skip


def _pads(field: Sequence[Pad], line_up: LineUp, by_id: dict[str, Line], rockets: Mapping[str, str]) -> list[PadLine]:
    """Every pad of the field, and every one that something stands on."""
    waits = line_up.waits(now())
    pads: dict[str, Pad | None] = {each.name: each for each in field}
    pads |= {name: None for name in line_up.stands.values() if name not in pads}
    made = []
    for name, pad in pads.items():
        on = [
            Standing(
                each, rockets.get(each, ""), by_id.get(each), line_up.stayed.get(each), line_up.until(each),
                each in waits, each in line_up.entries,
            )
            for each, its in sorted(line_up.stands.items()) if its == name
        ]  # fmt: skip
        queue = [by_id[each] for each in line_up.entries if by_id[each].pad == name and each not in line_up.stands]
        made.append(PadLine(name, pad, tuple(on), tuple(queue)))
    return made


def _turns(day_id: str, line_up: LineUp, by_id: dict[str, Line], age: Age) -> list[Turn]:
    store, made = the_store(), []
    several = any(len(turn) > 1 for turn in line_up.turns)
    day = store.day_document(day_id) if several else None
    ground = ground_of(day) if day else None
    for number, turn in enumerate(line_up.turns, start=1):
        lines = tuple(by_id[each] for each in turn)
        salvo: tuple[SalvoLine, ...] = ()
        if day is not None and ground is not None and len(turn) > 1:
            ids = [each.brief.assessment_id for each in lines if each.brief]
            found = {each.entry: each for each in store.assessments.find(ids).values()}
            salvo = salvo_findings(day, ground, [(day.entry_by_id(each), found.get(each)) for each in turn])
        made.append(Turn(number, lines, salvo, tuple(_faults(lines, line_up, age))))
    return made


def _faults(lines: tuple[Line, ...], line_up: LineUp, age: Age) -> list[str]:
    """Why these should not fly as things stand."""
    reading = "new" if age.measured else "first"
    faults = [f"The conditions are {age.words}: no flight goes before a {reading} reading."] if age.stale else []
    for each in lines:
        stands = line_up.stands.get(each.entry_id)
        if each.state != "approved":
            said = {"none": "is not ruled on yet", "lapsed": "has a lapsed ruling", "flown": "has flown already"}
            faults.append(f"{each.entry_id} {said.get(each.state, f'is {each.state}')}.")
        elif each.loud and not (age.stale and each.waits):
            faults.append(f"{each.entry_id}: {each.why}")
        if stands is None:
            faults.append(f"{each.entry_id} is not on its pad yet.")
        elif stands != each.pad:
            faults.append(f"{each.entry_id} stands on pad {stands}, and is now meant for pad {each.pad}.")
        stayed = line_up.stayed.get(each.entry_id)
        if stayed is not None:
            waits = each.entry_id in line_up.waits(now())
            then = "nobody approaches it yet" if waits else "make it ready again, or take it off its pad"
            faults.append(f"{each.entry_id} {STAYED_WORDS[stayed.what]}: {then}.")
    pads = [each.pad for each in lines]
    twice = sorted({pad for pad in pads if pads.count(pad) > 1})
    faults += [f"Pad {pad} is meant for more than one of these." for pad in twice]
    return faults
