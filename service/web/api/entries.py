"""Entries: register, mend, withdraw; the board that everybody sees."""

from __future__ import annotations

from flask import Blueprint, Response, request, url_for

from service.models.entry import Entry
from service.planning.errors import Fault
from service.planning.part import ENTRY
from service.store.entries import EntryRecord
from service.store.entries import Registered as New
from service.web.access import access
from service.web.api.field_shapes import Brought
from service.web.api.reading import answer, based_on, body, known_query, page_of
from service.web.api.shapes import Board, BoardLine, EntryTold, Page, Registered
from service.web.background import reassessor
from service.web.brought import kept_while
from service.web.callers import caller, the_store
from service.web.errors import Misfit
from service.web.openapi import PAGE, PREFIX, described
from service.web.registration import refuse_over

bp = Blueprint("api_entries", __name__, url_prefix=f"{PREFIX}/days/<day_id>")
RESERVE = {"reserve": {"type": "boolean", "default": True}}


@bp.get("/board")
@access("anyone")
@described("What everybody sees", answers={200: Board})
def board(day_id: str) -> Response:
    """Every entry with its standing and ruling, without names."""
    known_query()
    desk = the_store().desk(day_id)
    progress = reassessor().progress(day_id, desk)
    lines = []
    for line in desk.lines:
        entry = line.record.entry
        fresh = line.assessed if line.assessed and line.assessed.fresh else None
        lines.append(
            BoardLine(
                entry=entry.id,
                rocket=entry.rocket.name,
                motor=entry.motor,
                pad=entry.pad,
                standing=fresh.standing if fresh else None,  # type: ignore[arg-type]
                assessment=fresh.assessment_id if fresh else None,
                ruling=line.ruling.state if line.ruling else None,
            )
        )
    told = Board(
        conditions_revision=desk.conditions.revision,
        pending=progress.pending,
        failed=list(progress.failed),
        lines=lines,
    )
    return answer(told)


@bp.get("/entries")
@access("rso", "organiser")
@described("Entries", answers={200: Page[EntryTold]}, query=PAGE)
def list_entries(day_id: str) -> Response:
    """In the order of registering, those withdrawn left out."""
    known_query(*PAGE)
    items, where = page_of(the_store().entries.all(day_id))
    return answer(Page[EntryTold](items=[told(each) for each in items], **where))


@bp.post("/entries")
@access("anyone")
@described("Register an entry", body=Entry, answers={201: Registered}, query=RESERVE, problems=(409,))
def register(day_id: str) -> Response:
    """The id in the body is replaced by the day's next number. With `reserve` motors are taken from the stock."""
    known_query(*RESERVE)
    text = request.args.get("reserve", "true")
    if text not in ("true", "false"):
        fault = Fault("/reserve", f'"{text[:60]}"', "true or false")
        raise Misfit(f"Reserve: {fault}.", [fault])
    store = the_store()
    refuse_over(store.days.header(day_id).document)
    return _registered(day_id, store.entries.add(day_id, body(Entry, ENTRY), caller().name(), reserve=text == "true"))


@bp.post("/brought-entries")
@access("anyone")
@described("Register an entry with a motor of one's own", body=Brought, answers={201: Registered})
def register_brought(day_id: str) -> Response:
    """The motor, its thrust curve with it, is kept for this entry alone: never offered, never reserved."""
    known_query()
    store = the_store()
    refuse_over(store.days.header(day_id).document)
    asked = body(Brought)
    with kept_while(day_id, asked.motor, caller().name()) as motor:
        made = store.entries.add(
            day_id, asked.entry.model_copy(update={"motor": motor.id}), caller().name(), reserve=False
        )
    return _registered(day_id, made)


@bp.get("/entries/<entry_id>")
@access("flyer", "rso", "organiser")
@described("One entry", answers={200: EntryTold}, etag=True)
def get_entry(day_id: str, entry_id: str) -> Response:
    """For its flyer, whose bearer token is that of the private link, and for those who run the day."""
    known_query()
    found = the_store().entries.get(day_id, entry_id)
    return answer(told(found), revision=found.revision)


@bp.put("/entries/<entry_id>")
@access("flyer", "organiser")
@described("Mend an entry", body=Entry, answers={200: EntryTold}, etag=True, matched=True)
def put_entry(day_id: str, entry_id: str) -> Response:
    """A flyer may until the entry is ruled on."""
    known_query()
    store = the_store()
    current = store.entries.get(day_id, entry_id).revision
    entry = body(Entry, ENTRY)
    if entry.id != entry_id:
        raise Misfit(f'Found the id "{entry.id}" in the body.', [Fault("/id", f'"{entry.id}"', f'"{entry_id}"')])
    asking = caller()
    kept = store.entries.update(
        day_id, entry, asking.name(entry_id), based_on=based_on(current), until_ruled=asking.person is None
    )
    return answer(told(kept), revision=kept.revision)


@bp.put("/entries/<entry_id>/brought")
@access("flyer", "organiser")
@described("Fly a motor of one's own", body=Brought, answers={200: EntryTold}, etag=True, matched=True)
def put_brought(day_id: str, entry_id: str) -> Response:
    """Mends the entry and has it fly this motor; a flyer may until it is ruled on."""
    known_query()
    store = the_store()
    current = store.entries.get(day_id, entry_id).revision
    asked, asking = body(Brought), caller()
    with kept_while(day_id, asked.motor, asking.name(entry_id)) as motor:
        kept = store.entries.update(
            day_id,
            asked.entry.model_copy(update={"id": entry_id, "motor": motor.id}),
            asking.name(entry_id),
            based_on=based_on(current),
            reserve=False,
            until_ruled=asking.person is None,
        )
    return answer(told(kept), revision=kept.revision)


@bp.delete("/entries/<entry_id>")
@access("flyer", "organiser")
@described("Withdraw an entry", answers={204: None}, matched=True)
def withdraw_entry(day_id: str, entry_id: str) -> Response:
    """Its motors go back to the stock, its private links end, its history stays."""
    known_query()
    store = the_store()
    current = store.entries.get(day_id, entry_id).revision
    store.entries.withdraw(day_id, entry_id, caller().name(entry_id), based_on=based_on(current))
    return Response(status=204)


def told(record: EntryRecord) -> EntryTold:
    """An entry as the API tells it."""
    return EntryTold(
        revision=record.revision,
        withdrawn=record.withdrawn,
        reserved=record.reserved,
        at=record.at,
        by=record.by,
        entry=record.entry,
    )


def _registered(day_id: str, made: New) -> Response:
    told = Registered(
        revision=made.record.revision,
        link_token=made.token,
        private_link=url_for("entries.open_link", token=made.token),
        entry=made.record.entry,
    )
    where = url_for("api_entries.get_entry", day_id=day_id, entry_id=made.record.id)
    return answer(told, 201, made.record.revision, Location=where)
