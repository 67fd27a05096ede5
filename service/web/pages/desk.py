"""The range safety officer's desk: all entries by what needs attention, the day's checklist, what changed."""

from __future__ import annotations

import hashlib
import json

from flask import Blueprint, jsonify, redirect, render_template, request, session, url_for

from service.models.entry import Attestation
from service.planning.compare import moved_words
from service.planning.part import read_part
from service.planning.weather.told import clock
from service.store import AlreadyTicked
from service.web.access import access
from service.web.background import reassessor
from service.web.briefs import briefs
from service.web.callers import caller, the_store
from service.web.desk_changes import changed_of
from service.web.desk_lines import RULINGS, STANDINGS, Line, Wanted, lines_of, still_needed
from service.web.line_up import read_line_up
from service.web.needs import Item, items_of
from service.web.reader import Age, age_of, now, units
from service.web.reading_form import reading_form

bp = Blueprint("desk", __name__)


@bp.get("/days/<day_id>/desk")
@access("rso", "organiser")
def desk(day_id: str):
    """All entries, with filters and search; conditions and a reading at the top."""
    store = the_store()
    day = store.day_document(day_id)
    kept = store.weather.current(day_id)
    every, age = desk_lines(day_id)
    wanted = Wanted(
        *(request.args.get(name, "").strip()[:120] for name in ("standing", "ruling", "pad", "flyer", "text"))
    )
    told = next((each for each in every if each.entry_id == request.args.get("told")), None)
    return render_template(
        "desk.html",
        day_id=day_id,
        day=day,
        conditions=kept,
        age=age,
        form=reading_form(day, units(), now()),
        lines=[each for each in every if wanted.takes(each)],
        total=len(every),
        ids=[each.entry_id for each in every],
        wanted=wanted,
        standings=STANDINGS,
        rulings=RULINGS,
        pads=[each.name for each in day.field.pads],
        flyers=sorted({each.flyer for each in every}),
        counts=_counts(every),
        day_items=[each for each in day_items(day_id) if not each.ticked],
        progress=reassessor().progress(day_id),
        changed=changed_of(store, day_id, store.desk(day_id), reassessor().failures(day_id)),
        stamp=stamp(day_id),
        still_needed=still_needed,
        told=told,
        following=next_of(every, told.entry_id if told else ""),
        notes=session.pop("weather_notes", []),
        moved_words=moved_words,
        may_rule="rso" in caller().roles(day_id),
    )


@bp.get("/days/<day_id>/desk/state")
@access("rso", "organiser")
def state(day_id: str):
    """How far assessing is, and a stamp that is another one as soon as anything on the desk is: JSON to poll."""
    found, zone = reassessor().progress(day_id), the_store().days.header(day_id).document.timezone
    return jsonify(
        at=clock(now(), zone, now()),
        total=found.total,
        done=found.done,
        pending=found.pending,
        failed=list(found.failed),
        stamp=stamp(day_id),
    )


@bp.get("/days/<day_id>/checklist")
@access("rso", "organiser")
def checklist(day_id: str):
    """What is seen to once a day."""
    return _checklist_page(day_id)


@bp.post("/days/<day_id>/checklist")
@access("rso", "organiser")
def tick_day(day_id: str):
    """Tick items of the day, or take one back."""
    store = the_store()
    back = request.form.get("take_back", "")
    if back:
        store.attestations.take_back(day_id, "", back, caller().name())
        return redirect(url_for("desk.checklist", day_id=day_id), 303)
    by = request.form.get("by", "").strip()
    known = {each.rule for each in day_items(day_id)}
    chosen = [each for each in request.form.getlist("tick") if each in known]
    if not by or not chosen:
        fault = "Say who answers for it: a name is missing." if chosen else "Nothing was ticked."
        return _checklist_page(day_id, by=by, chosen=chosen, fault=fault), 422
    already = tick(day_id, "", chosen, by, request.form.get("note", ""))
    if already:
        return _checklist_page(day_id, by=by, fault=" ".join(already)), 409
    return redirect(url_for("desk.checklist", day_id=day_id), 303)


def _checklist_page(day_id: str, by: str = "", chosen: list[str] | None = None, fault: str = "") -> str:
    store = the_store()
    person = caller().person
    return render_template(
        "checklist.html",
        day_id=day_id,
        day=store.day_document(day_id),
        items=day_items(day_id),
        by=by or (person.name if person else ""),
        chosen=chosen or [],
        fault=fault,
        progress=reassessor().progress(day_id),
    )


def tick(day_id: str, entry_id: str, rules: list[str], by: str, note: str = "") -> list[str]:
    """Tick items; answers with a sentence for each that somebody else had ticked already.

    Raises
    ------
    DocumentRefused
        Where the name or the note is none.
    """
    stated = {"by": by, "at": now().isoformat(timespec="seconds"), "note": note.strip() or None}
    word, told = read_part(Attestation, stated, name="the tick"), []
    for rule in rules:
        try:
            the_store().attestations.add(day_id, entry_id, rule, word, caller().name())
        except AlreadyTicked as error:
            told.append(_ticked_already(day_id, entry_id, error))
    return told


def _ticked_already(day_id: str, entry_id: str, error: AlreadyTicked) -> str:
    store = the_store()
    current = store.assessments.current(day_id)
    found = briefs(each.assessment_id for key, each in current.items() if entry_id in ("", key))
    text = next((each.text for brief in found.values() for each in brief.checklist if each.rule == error.rule), "")
    at = clock(error.at, store.days.header(day_id).document.timezone, now())
    return f"{error.by} ticked this at {at} already: {text or error.rule}"


def desk_lines(day_id: str) -> tuple[list[Line], Age]:
    """Every entry as the desk lists it, and the age of the conditions."""
    store = the_store()
    seen, day = store.desk(day_id), store.day_document(day_id)
    age = age_of(seen.conditions.document, day.policy, now())
    found = briefs(each.assessed.assessment_id for each in seen.lines if each.assessed and each.assessed.fresh)
    flown = {each.flight.entry for each in store.flights.all(day_id) if each.flight.happened != "misfire"}
    ticks = store.attestations.all(day_id)
    return lines_of(seen, day, found, ticks, age, reassessor().failures(day_id), flown), age


def next_of(lines: list[Line], but: str = "") -> Line | None:
    """The next entry that waits for a ruling."""
    return next((each for each in lines if each.entry_id != but and each.rank < 6 and each.brief is not None), None)


def day_items(day_id: str) -> list[Item]:
    """What is seen to once a day: every such item that any entry's assessment asks for."""
    store = the_store()
    ids = [each.assessment_id for each in store.assessments.current(day_id).values()]
    ticks, policy = store.attestations.all(day_id), store.days.header(day_id).document.policy
    items: dict[str, Item] = {}
    for brief in briefs(ids).values():
        for item in items_of(brief.checklist, "", ticks, policy):
            if item.per == "day":
                items.setdefault(item.rule, item)
    return sorted(items.values(), key=lambda item: (item.ticked, item.rule))


def stamp(day_id: str) -> str:
    """A short text that changes with anything that the desk, the pads or the log show."""
    store = the_store()
    seen = store.desk(day_id)
    told = [
        [line.record.id, line.record.revision, line.assessed and [line.assessed.assessment_id, line.assessed.fresh],
         line.ruling and [line.ruling.number, line.ruling.state]]
        for line in seen.lines
    ]  # fmt: skip
    ticks = {entry: sorted(given) for entry, given in store.attestations.all(day_id).items()}
    flights = [[each.number, each.revision] for each in store.flights.all(day_id)]
    line_up = read_line_up(store, day_id, [line.record.id for line in seen.lines])
    held = [line_up.revision, line_up.waits(now())]  # a wait ends by itself
    whole = [seen.day_revision, seen.conditions.revision, told, ticks, flights, held]
    stale = age_of(seen.conditions.document, store.days.header(day_id).document.policy, now()).stale
    return hashlib.sha256(json.dumps([*whole, stale]).encode()).hexdigest()[:16]


def _counts(lines: list[Line]) -> dict[str, int]:
    """How many there are of each, for the line above the list."""
    found = {word: 0 for word, _ in RULINGS}
    for line in lines:
        found[line.state] += 1
    found["attention"] = sum(1 for line in lines if line.rank < 6)
    return found
