"""Registering a flight and mending it: one form, every fault beside its field, the private link told once."""

from __future__ import annotations

import secrets
from dataclasses import replace
from typing import Any

from flask import Blueprint, jsonify, redirect, render_template, request, session, url_for
from markupsafe import Markup

from service.models.day import LaunchDay
from service.models.entry import Entry
from service.models.motor import Motor
from service.planning.errors import DocumentRefused, Fault
from service.planning.outline import Drawn, drawn_outline
from service.planning.part import ENTRY, MOTOR, read_part
from service.store import Conflict, NotFound, OutOfStock, Refused
from service.store.entries import EntryRecord
from service.web import entry_fields, entry_form
from service.web.access import access
from service.web.callers import caller, remember_link, the_store
from service.web.forms import Form
from service.web.reader import units
from service.web.registration import refuse_over

bp = Blueprint("registering", __name__)


@bp.get("/days/<day_id>/entries/new")
@access("anyone")
def new(day_id: str):
    """The empty form, or one with an earlier rocket of this browser in it."""
    day, form = _blank(day_id)
    refuse_over(day)
    earlier = _earlier()
    chosen = request.args.get("from", "")
    if chosen in earlier:
        entry = earlier[chosen].entry
        own = _own_motor(chosen.partition("/")[0], entry)
        form = Form.filled(tuple(form.fields.values()), entry_form.typed_of(entry, own), units(), day.timezone)
        if chosen.partition("/")[0] != day_id:
            form.typed |= dict.fromkeys(("/flyer/here_from", "/flyer/here_until"), "")
        offered = {offer.motor.id for offer in the_store().motors.all(day_id)}
        if own is None and entry.motor not in offered:
            form.typed["/motor"] = ""
        form.typed["/reserve"] = "true"
        if entry.pad not in {pad.name for pad in day.field.pads}:
            form.typed["/pad"] = ""
    return _page(day_id, day, form, earlier=earlier, chosen=chosen)


@bp.post("/days/<day_id>/entries")
@access("anyone")
def register(day_id: str):
    """Take a flyer's pairing; it is assessed in the background."""
    day, form = _sent(day_id)
    refuse_over(day)
    if "draw" in request.form:
        return _page(day_id, day, form)
    entry, motor = _read(form, "e-0")
    if entry is None:
        return _page(day_id, day, form), 422
    store, by = the_store(), caller().name()
    try:
        with _Brought(day_id, motor, by):
            reserve = motor is None and form.has("/reserve")
            made = store.entries.add(day_id, entry, by, reserve=reserve)
    except Refused as error:
        _say(form, error)
        return _page(day_id, day, form), 422
    remember_link(made.token)
    session["new_link"] = made.token
    return redirect(url_for("entries.show", day_id=day_id, entry_id=made.record.id), 303)


@bp.get("/days/<day_id>/entries/<entry_id>/edit")
@access("flyer", "organiser")
def edit(day_id: str, entry_id: str):
    """The form with the entry in it."""
    record = the_store().entries.get(day_id, entry_id)
    day, blank = _blank(day_id)
    document = entry_form.typed_of(record.entry, _own_motor(day_id, record.entry))
    form = Form.filled(tuple(blank.fields.values()), document, units(), day.timezone)
    form.typed["/reserve"] = "true" if record.reserved else ""
    return _page(day_id, day, form, record=record)


@bp.post("/days/<day_id>/entries/<entry_id>/edit")
@access("flyer", "organiser")
def mend(day_id: str, entry_id: str):
    """Save a mended entry; a flyer may until it is ruled on."""
    store = the_store()
    record = store.entries.get(day_id, entry_id)
    day, form = _sent(day_id)
    if "draw" in request.form:
        return _page(day_id, day, form, record=record)
    entry, motor = _read(form, entry_id, record.entry, _own_motor(day_id, record.entry))
    if entry is None:
        return _page(day_id, day, form, record=record), 422
    asking, based_on = caller(), request.form.get("based_on", "")
    try:
        with _Brought(day_id, motor, asking.name(entry_id)):
            store.entries.update(
                day_id,
                entry.model_copy(update={"attestations": record.entry.attestations}),
                asking.name(entry_id),
                based_on=int(based_on) if based_on.isdecimal() and len(based_on) < 10 else 0,
                reserve=not entry.motor.startswith(entry_fields.OWN_PREFIX) and form.has("/reserve"),
                until_ruled=asking.person is None,
            )
    except Conflict as conflict:
        return _page(day_id, day, form, record=store.entries.get(day_id, entry_id), conflict=conflict), 409
    except Refused as error:
        _say(form, error)
        return _page(day_id, day, form, record=record), 422
    return redirect(url_for("entries.show", day_id=day_id, entry_id=entry_id), 303)


@bp.post("/days/<day_id>/entries/<entry_id>/withdraw")
@access("flyer", "organiser")
def withdraw(day_id: str, entry_id: str):
    """Take the entry off the day."""
    based_on = request.form.get("based_on", "")
    revision = int(based_on) if based_on.isdecimal() and len(based_on) < 10 else 0
    the_store().entries.withdraw(day_id, entry_id, caller().name(entry_id), based_on=revision)
    return redirect(url_for("days.show", day_id=day_id), 303)


@bp.post("/days/<day_id>/entries/<entry_id>/links")
@access("flyer", "organiser", "rso")
def new_link(day_id: str, entry_id: str):
    """End every private link of the entry and make a new one, told once."""
    store, asking = the_store(), caller()
    for link in store.links.all(day_id, entry_id):
        if link.revoked_at is None:
            store.links.revoke(day_id, entry_id, link.id, asking.name(entry_id))
    token = store.links.new(day_id, entry_id, asking.name(entry_id))
    if asking.person is None:
        remember_link(token)
    session["new_link"] = token
    return redirect(url_for("entries.show", day_id=day_id, entry_id=entry_id), 303)


@bp.post("/days/<day_id>/outline")
@access("anyone")
def outline(day_id: str):
    """The drawing of what is typed so far, for the script beside the form: JSON."""
    day, form = _sent(day_id)
    drawn = _drawn(day, form)
    return jsonify(wide=drawn.wide, narrow=drawn.narrow, lacking=_lacking(form, drawn))


class _Brought:
    """Keeps a motor that a flyer brings, for as long as the entry that flies it is taken too."""

    def __init__(self, day_id: str, motor: Motor | None, by: str) -> None:
        self.day_id, self.motor, self.by = day_id, motor, by

    def __enter__(self) -> None:
        if self.motor is not None:
            the_store().motors.save(self.day_id, [self.motor], self.by, based_on={}, why="brought by a flyer")

    def __exit__(self, kind: type[BaseException] | None, error: object, trace: object) -> None:
        if kind is not None and self.motor is not None:
            the_store().motors.remove(self.day_id, self.motor.id, self.by, based_on=1, why="its entry was refused")


def _blank(day_id: str) -> tuple[LaunchDay, Form]:
    store = the_store()
    day = store.day_document(day_id)
    fields = entry_fields.entry_fields(day, store.motors.all(day_id), units())
    return day, Form.empty(fields, units(), day.timezone)


def _sent(day_id: str) -> tuple[LaunchDay, Form]:
    day, blank = _blank(day_id)
    return day, Form.read(tuple(blank.fields.values()), request.form, units(), day.timezone)


def _own_motor(day_id: str, entry: Entry) -> Motor | None:
    """The motor that the flyer of an entry brings; None where it flies one on offer."""
    if not entry.motor.startswith(entry_fields.OWN_PREFIX):
        return None
    try:
        return the_store().motors.get(day_id, entry.motor).motor
    except NotFound:
        return None


def _read(
    form: Form, entry_id: str, before: Entry | None = None, own: Motor | None = None
) -> tuple[Entry | None, Motor | None]:
    """The entry, and the motor to keep if it brings another one than before; None for the entry when it is faulty."""
    motor, motor_id = None, entry_fields.OWN_PREFIX + secrets.token_hex(4)
    brought = entry_form.own_motor(form, motor_id, own)
    if brought is not None and own is not None and brought["id"] == own.id:
        motor_id = own.id  # as it was
    elif brought is not None:
        try:
            motor = read_part(Motor, brought, MOTOR)
        except DocumentRefused as refused:
            form.refuse([_own(each) for each in refused.faults])
    document = entry_form.document_of(form, entry_id, before)
    if brought is not None:
        document["motor"] = motor_id
    try:
        entry = read_part(Entry, document, ENTRY)
    except DocumentRefused as refused:
        entry_form.refuse(form, refused.faults)
        return None, None
    return (None, None) if form.faulty else (entry, motor)


def _own(fault: Fault) -> Fault:
    at = "/own" + fault.pointer
    return Fault("/own/thrust_curve" if at.startswith("/own/thrust_curve") else at, fault.found, fault.expected)


def _say(form: Form, error: Refused) -> None:
    if isinstance(error, OutOfStock):
        form.add("/motor", f"{error.asked} asked for, {error.left} left; choose another, or bring your own")
        return
    faults = [Fault("".join(f"/{step}" for step in p.at), p.found, p.expected) for p in error.problems]
    entry_form.refuse(form, faults)


def _earlier() -> dict[str, EntryRecord]:
    """Entries of which this browser holds the private link, the newest first."""
    found: dict[str, EntryRecord] = {}
    for link in reversed(caller().links):
        try:
            found.setdefault(f"{link.day_id}/{link.entry_id}", the_store().entries.get(link.day_id, link.entry_id))
        except NotFound:
            continue
    return found


def _drawn(day: LaunchDay, form: Form) -> Drawn:
    """The drawing; what is lacking is no fault of the form yet."""
    attempt = Form(tuple(form.fields.values()), form.units, form.typed, form.zone)
    document: dict[str, Any] = entry_form.document_of(attempt, "e-0")
    motor = next((each for each in day.motors if each.id == form.typed["/motor"]), None)
    brought = entry_form.own_motor(attempt, "own-0")
    if brought is not None:
        try:
            motor = read_part(Motor, brought, MOTOR)
        except DocumentRefused:
            motor = None
    return drawn_outline(document["rocket"], motor, document["motor_count"], form.units)


def _lacking(form: Form, drawn: Drawn) -> list[str]:
    said = []
    for fault in drawn.lacking:
        at = entry_form.form_at(form, "/rocket" + fault.pointer)
        if at in form.fields:
            said.append(form.fields[at].label)
    return list(dict.fromkeys(said))


def _page(
    day_id: str,
    day: LaunchDay,
    form: Form,
    *,
    record: EntryRecord | None = None,
    earlier: dict[str, EntryRecord] | None = None,
    chosen: str = "",
    conflict: Conflict | None = None,
) -> str:
    """The form; after a conflict with what changed meanwhile, and resting on what stands now."""
    drawn = _drawn(day, form)
    based_on = request.form.get("based_on", "") or (record.revision if record else "")
    if conflict is not None and record is not None:
        based_on, own = conflict.current, _own_motor(day_id, record.entry)
        words = (entry_form.changed_words(form, each.changed, record.entry, own) for each in conflict.since)
        since = [replace(each, changed=changed) for each, changed in zip(conflict.since, words, strict=True)]
        conflict = Conflict(conflict.subject, conflict.based_on, conflict.current, since)
    return render_template(
        "register.html",
        day_id=day_id,
        day=day,
        form=form,
        record=record,
        based_on=based_on,
        conflict=conflict,
        earlier=earlier or {},
        chosen=chosen,
        with_shape=entry_form.has_shape(form),
        with_own=form.typed["/motor"] == entry_fields.OWN,
        outline_wide=Markup(drawn.wide),
        outline_narrow=Markup(drawn.narrow),
        lacking=_lacking(form, drawn),
        fin_sets=range(entry_fields.FIN_SETS),
        transitions=range(entry_fields.TRANSITIONS),
    )


