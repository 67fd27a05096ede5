"""The organiser's pages: one for each part of a launch day's header, the map beside, revisions held."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from typing import Any

from flask import Blueprint, redirect, render_template, request, url_for
from markupsafe import Markup

from service.codes.load import editions
from service.models.conditions import Conditions
from service.models.day import LaunchDay
from service.models.finding import CodeEdition
from service.planning.errors import DocumentRefused
from service.planning.new_day import planned_conditions
from service.planning.part import read_part
from service.planning.pictures import NARROW, WIDE, day_picture
from service.store import Conflict, NotFound, Refused
from service.store.header import DayHeader
from service.web.access import DOCUMENT_LIMIT, access
from service.web.api.days import hold_against_day
from service.web.callers import caller, the_store
from service.web.confirmed import Confirmed, confirmations
from service.web.forms import Form
from service.web.organise import PARTS
from service.web.organise.ground import KINDS
from service.web.organise.part import Header, Part, Typed
from service.web.reader import units
from service.web.seen import seen_revision

bp = Blueprint("organiser", __name__)
DAYS_APART = 2  # a day that moves further needs other weather


@bp.get("/days/<day_id>/organise")
@access("organiser")
def show(day_id: str):
    """What there is to organise, and how far it is."""
    store = the_store()
    day = store.day_document(day_id)
    return render_template(
        "organise.html",
        day_id=day_id,
        day=day,
        code_titles=[each.short_title for each in editions(list(day.codes))],
        parts=PARTS,
        offers=len(store.motors.all(day_id)),
        without_stock=store.entries.without_stock(day_id),
        history=store.days.history(day_id)[::-1][:12],
        pictures=_pictures(day),
    )


@bp.get("/days/<day_id>/organise/<part>")
@access("organiser")
def edit(day_id: str, part: str):
    """The form with what is kept."""
    store, page = the_store(), _part(part)
    kept = store.days.header(day_id)
    header = _plain(kept.document)
    form = page.form(header, units(), kept.document.timezone)
    return _page(day_id, page, form, kept.revision, saved="saved" in request.args)


@bp.post("/days/<day_id>/organise/<part>")
@access("organiser", body_limit=DOCUMENT_LIMIT)
def save(day_id: str, part: str):
    """Save the part; every fault beside its field, what was typed kept."""
    store, page, based_on = the_store(), _part(part), seen_revision()
    kept = store.days.header(day_id)
    upload = request.files.get("file")
    file = upload.read() if upload is not None else b""
    typed = page.read(request.form, file, _plain(kept.document), units(), kept.document.timezone)
    if "more" in request.form and page.one:
        typed.form.faults.clear()  # nobody asked yet whether it is right
        typed.form.general.clear()
        return _page(day_id, page, typed.form, based_on, more=True)
    header = _checked(day_id, typed)
    if header is None:
        return _page(day_id, page, typed.form, based_on), 422
    if "draw" in request.form or file:
        return _page(day_id, page, typed.form, based_on, drawn=header)
    try:
        if abs((header.date - kept.document.date).days) > 0:
            _move(day_id, kept.document.date, header, based_on)
        else:
            store.days.update(day_id, header, caller().name(), based_on=based_on)
    except Conflict as conflict:
        return _page(day_id, page, typed.form, conflict.current, conflict=conflict), 409
    except Refused as error:
        typed.form.refuse_error(error)
        return _page(day_id, page, typed.form, based_on), 422
    return redirect(url_for("organiser.edit", day_id=day_id, part=part, saved=1), 303)


def _move(day_id: str, before: date, header: DayHeader, based_on: int) -> None:
    """Save a header with another date. Weather of the old date does not go along: the day is planned anew."""
    store = the_store()
    weather = None
    if abs((header.date - before).days) > DAYS_APART:
        planned = planned_conditions(header.date, header.timezone, header.field.elevation_m)
        weather = read_part(Conditions, planned)
    store.days.move(day_id, header, weather, caller().name(), based_on=based_on)


def _checked(day_id: str, typed: Typed) -> DayHeader | None:
    """The header that was typed, or None with what is wrong with it in the form."""
    try:
        header = read_part(DayHeader, typed.header)
        if not typed.form.faulty:
            hold_against_day(day_id, header)
    except DocumentRefused as refused:
        moved_date = "/date" in typed.form.fields
        # weather and forecast of another date are replaced when the day moves, so they are not at fault
        faults = [
            each
            for each in refused.faults
            if not (moved_date and each.pointer.startswith(("/conditions/observed_at", "/forecast/")))
        ]
        typed.refuse(faults, the_store().day_document(day_id))
        if typed.form.faulty:
            return None
        return read_part(DayHeader, typed.header)
    return None if typed.form.faulty else header


def _page(
    day_id: str,
    page: Part,
    form: Form,
    based_on: int,
    *,
    saved: bool = False,
    drawn: DayHeader | None = None,
    conflict: Conflict | None = None,
    more: bool = False,
) -> str:
    """The form; with `more` the last group, one for another item, is open."""
    day = the_store().day_document(day_id)
    if drawn is not None:
        day = day.model_copy(update={name: getattr(drawn, name) for name in DayHeader.model_fields})
    groups = page.groups(form)
    if more:
        groups[-1] = replace(groups[-1], opened=True)
    return render_template(
        "organise_part.html",
        day_id=day_id,
        day=day,
        parts=PARTS,
        part=page,
        form=form,
        groups=groups,
        based_on=based_on,
        saved=saved,
        drawn=drawn is not None,
        conflict=conflict,
        zone_kinds=KINDS,
        pictures=_pictures(day) if page.has_map else None,
        codes=_codes(day_id) if page.slug == "codes" else (),
    )


def _codes(day_id: str) -> list[tuple[CodeEdition, Confirmed | None]]:
    """The codes that are saved, each with who compared it."""
    known = confirmations(the_store(), day_id)
    return [(each, known.get(each.id)) for each in editions(list(the_store().days.header(day_id).document.codes))]


def _pictures(day: LaunchDay) -> dict[str, Any]:
    return {
        "map_wide": Markup(day_picture(day, units(), WIDE, "map-wide")),
        "map_narrow": Markup(day_picture(day, units(), NARROW, "map-narrow")),
    }


def _plain(header: DayHeader) -> Header:
    return json.loads(header.model_dump_json(by_alias=True))


def _part(slug: str) -> Part:
    if slug not in PARTS:
        raise NotFound(f'found no part "{slug[:40]}" of a launch day, expected one of {", ".join(PARTS)}')
    return PARTS[slug]
