"""Pads: who stands on which, in what order they fly, several at once; and marking flown."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, redirect, render_template, request, url_for

from service.models.entry import Entry
from service.models.field import Pad
from service.planning.ground import ground_of
from service.planning.part import read_part
from service.planning.salvo import SalvoLine, salvo_findings
from service.store import Conflict
from service.store.flights import Flight
from service.web.access import access
from service.web.background import reassessor
from service.web.callers import caller, the_store
from service.web.desk_lines import Line
from service.web.errors import Misfit
from service.web.line_up import LineUp, read_line_up, save_line_up
from service.web.pages.desk import desk_lines, stamp
from service.web.reader import now
from service.web.seen import seen_revision

bp = Blueprint("pads", __name__)


@dataclass(frozen=True)
class Turn:
    """What flies at once. `faults` says why it should not as things stand; `salvo` what the codes add."""

    number: int
    lines: tuple[Line, ...]
    salvo: tuple[SalvoLine, ...]
    faults: tuple[str, ...]


@dataclass(frozen=True)
class PadLine:
    """One pad: who stands on it, and who comes to it next."""

    pad: Pad
    on: Line | None
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
    if entry_id not in known:
        raise Misfit("That entry is not on this day any more; reload and choose again.")
    try:
        made = _shifted(line_up, known, entry_id, what)
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
    try:
        store.entries.update(day_id, entry, caller().name(), based_on=based_on, why=f"to pad {pad}")
    except Conflict as conflict:
        return _page(day_id, conflict=conflict), 409
    return redirect(url_for("pads.show", day_id=day_id), 303)


@bp.post("/days/<day_id>/pads/flown")
@access("rso", "organiser")
def flown(day_id: str):
    """Everything in the next turn left its pad: written to the log as planned, to be amended there."""
    store, based_on = the_store(), seen_revision()
    known = {each.id: each.entry for each in store.entries.all(day_id)}
    line_up = read_line_up(store, day_id, known)
    gone = [each for each in request.form.getlist("entry") if each in line_up.entries]
    if not gone:
        raise Misfit("What was marked as flown is not in line any more; reload and look again.")
    happened = "planned" if request.form.get("happened") != "misfire" else "misfire"
    flights = [
        read_part(
            Flight,
            {"entry": each, "flown_at": now().isoformat(timespec="seconds"), "pad": known[each].pad,
             "happened": happened},
            name="the flight",
        )
        for each in gone
    ]  # fmt: skip
    try:  # the order first: of two who press at once, only one gets here, and the log has each flight once
        save_line_up(store, day_id, line_up.without(gone), caller().name(), based_on=based_on)
    except Conflict as conflict:
        return _page(day_id, conflict=conflict), 409
    for flight in flights:
        store.flights.add(day_id, flight, caller().name())
    return redirect(url_for("flights.show", day_id=day_id) + "#last", 303)


def _shifted(line_up: LineUp, known: dict[str, Entry], entry_id: str, what: str) -> LineUp:
    if what == "set_up":
        pad = known[entry_id].pad
        there = next((each for each in line_up.on_pad if each != entry_id and known[each].pad == pad), None)
        if there is not None:
            raise Misfit(f"Pad {pad} is taken by {there}: take that off first, or give one of them another pad.")
        return line_up.added(entry_id).set_up(entry_id, True)
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
        "take_down": lambda each: line_up.set_up(each, False),
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
    revisions = {each.id: each.revision for each in store.entries.all(day_id)}
    turns = _turns(day_id, line_up, by_id)
    pads = []
    for pad in day.field.pads:
        on = next((by_id[each] for each in line_up.on_pad if by_id[each].pad == pad.name), None)
        queue = [by_id[each] for each in line_up.entries if by_id[each].pad == pad.name and each not in line_up.on_pad]
        pads.append(PadLine(pad, on, tuple(queue)))
    ready = [each for each in lines if each.state == "approved" and each.entry_id not in line_up.entries]
    return render_template(
        "pads.html",
        day_id=day_id,
        day=day,
        age=age,
        line_up=line_up,
        turns=turns,
        pads=pads,
        ready=ready,
        others=[each for each in lines if each not in ready and not each.flown
                and each.entry_id not in line_up.entries],
        revisions=revisions,
        progress=reassessor().progress(day_id),
        stamp=stamp(day_id),
        notices=notices or [],
        conflict=conflict,
    )  # fmt: skip


def _turns(day_id: str, line_up: LineUp, by_id: dict[str, Line]) -> list[Turn]:
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
        made.append(Turn(number, lines, salvo, tuple(_faults(lines, line_up))))
    return made


def _faults(lines: tuple[Line, ...], line_up: LineUp) -> list[str]:
    faults = []
    for each in lines:
        if each.state != "approved":
            said = {"none": "is not ruled on yet", "lapsed": "has a lapsed ruling", "flown": "has flown already"}
            faults.append(f"{each.entry_id} {said.get(each.state, f'is {each.state}')}.")
        elif each.loud:
            faults.append(f"{each.entry_id}: {each.why}")
        if each.entry_id not in line_up.on_pad:
            faults.append(f"{each.entry_id} is not on its pad yet.")
    pads = [each.pad for each in lines]
    twice = sorted({pad for pad in pads if pads.count(pad) > 1})
    faults += [f"Pad {pad} is meant for more than one of these." for pad in twice]
    return faults
