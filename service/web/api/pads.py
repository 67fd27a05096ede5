"""The order of flight: who stands on which pad, what is launched at once, what left."""

from __future__ import annotations

from dataclasses import replace

from flask import Blueprint, Response

from service.planning.errors import Fault
from service.planning.ground import ground_of
from service.planning.salvo import salvo_findings
from service.web.access import access
from service.web.api.entries import told as entry_told
from service.web.api.field_shapes import (
    FlownAsked,
    FlownTold,
    LineUpAsked,
    LineUpTold,
    PadAsked,
    SalvoTold,
    StandsTold,
    TurnTold,
)
from service.web.api.reading import answer, based_on, body, known_query
from service.web.api.shapes import EntryTold
from service.web.callers import caller, the_store
from service.web.errors import Misfit
from service.web.line_up import LineUp, after, clash, read_line_up, save_line_up, too_early
from service.web.openapi import PREFIX, described
from service.web.reader import now

bp = Blueprint("api_pads", __name__, url_prefix=f"{PREFIX}/days/<day_id>")


@bp.get("/line-up")
@access("rso", "organiser")
@described("The order of flight", answers={200: LineUpTold}, etag=True)
def get_line_up(day_id: str) -> Response:
    """Turns, the next one first; what the codes add where several fly at once; who stands on a pad."""
    known_query()
    return _told(day_id)


@bp.put("/line-up")
@access("rso", "organiser")
@described("Change the order of flight", body=LineUpAsked, answers={200: LineUpTold}, etag=True, matched=True)
def put_line_up(day_id: str) -> Response:
    """The whole order. The revision is "0" before there is one."""
    known_query()
    store = the_store()
    known = {each.id: each.entry for each in store.entries.all(day_id)}
    asked, before = body(LineUpAsked), read_line_up(store, day_id, known)
    stands = {each: before.stands.get(each) or (known[each].pad if each in known else "") for each in asked.on_pad}
    stayed = {each: one for each, one in before.stayed.items() if each in stands and each not in asked.ready}
    line_up = replace(before, turns=tuple(turn for turn in asked.turns if turn), stands=stands, stayed=stayed)
    wrong = clash(line_up, known, before)
    if wrong:
        raise Misfit(f"The order of flight: {wrong}.", [Fault("/turns", wrong, "each entry once, each pad for one")])
    early = too_early(line_up, before, now())
    if early:
        ends = before.until(early)
        until = ends.isoformat(timespec="seconds") if ends else ""
        raise Misfit(f"Nobody approaches {early} before {until}.", [Fault("/on_pad", f"{early} approached", until)])
    save_line_up(store, day_id, line_up, caller().name(), based_on=based_on(before.revision))
    return _told(day_id)


@bp.post("/line-up/flown")
@access("rso", "organiser")
@described("Entries left their pads", body=FlownAsked, answers={200: FlownTold}, etag=True, matched=True)
def flown(day_id: str) -> Response:
    """Writes each into the log, to be amended there. What left is out of line and off its pad; after a misfire or a
    hang-up it stands there until the order says otherwise."""
    known_query()
    store, asked = the_store(), body(FlownAsked)
    known = {each.id: each.entry for each in store.entries.all(day_id)}
    line_up = read_line_up(store, day_id, known)
    gone = list(dict.fromkeys(asked.entries))
    strange = [each for each in gone if each not in line_up.entries]
    if strange:
        raise Misfit("Not in line.", [Fault("/entries", ", ".join(strange)[:80], "entries that are in line")])
    made, flights = after(line_up, known, dict.fromkeys(gone, asked.happened), now())
    rows = save_line_up(store, day_id, made, caller().name(), based_on=based_on(line_up.revision), flights=flights)
    revision = line_up.revision + 1
    return answer(FlownTold(flights=[each.number for each in rows], revision=revision), revision=revision)


@bp.put("/entries/<entry_id>/pad")
@access("rso", "organiser")
@described("Move an entry to another pad", body=PadAsked, answers={200: EntryTold}, etag=True, matched=True)
def put_pad(day_id: str, entry_id: str) -> Response:
    """It is assessed anew, and a ruling on it lapses."""
    known_query()
    store, asked = the_store(), body(PadAsked)
    record = store.entries.get(day_id, entry_id)
    entry = record.entry.model_copy(update={"pad": asked.pad})
    there = read_line_up(store, day_id, [entry_id]).stands.get(entry_id)
    if there is not None:
        raise Misfit(f"{entry_id} stands on pad {there}: it is to be taken off first.")
    kept = store.entries.update(
        day_id, entry, caller().name(), based_on=based_on(record.revision), why=f"to pad {asked.pad}"
    )
    return answer(entry_told(kept), revision=kept.revision)


def _stands(entry_id: str, pad: str, line_up: LineUp) -> StandsTold:
    stayed = line_up.stayed.get(entry_id)
    what, at = (stayed.what, stayed.at) if stayed else (None, None)
    return StandsTold(entry=entry_id, pad=pad, stayed=what, tried_at=at, nobody_before=line_up.until(entry_id))


def _told(day_id: str) -> Response:
    store = the_store()
    day = store.day_document(day_id)
    line_up = read_line_up(store, day_id, {each.id for each in day.entries})
    several = [turn for turn in line_up.turns if len(turn) > 1]
    ground = ground_of(day) if several else None
    current = store.assessments.current(day_id)
    turns = []
    for turn in line_up.turns:
        salvo: list[SalvoTold] = []
        if ground is not None and len(turn) > 1:
            ids = [current[each].assessment_id for each in turn if each in current and current[each].fresh]
            found = {each.entry: each for each in store.assessments.find(ids).values()}
            lines = salvo_findings(day, ground, [(day.entry_by_id(each), found.get(each)) for each in turn])
            salvo = [SalvoTold(entry=each.entry_id, findings=list(each.findings)) for each in lines]
        turns.append(TurnTold(entries=list(turn), salvo=salvo))
    stands = [_stands(each, pad, line_up) for each, pad in sorted(line_up.stands.items())]
    told = LineUpTold(revision=line_up.revision, turns=turns, on_pad=sorted(line_up.on_pad), stands=stands)
    return answer(told, revision=line_up.revision)
