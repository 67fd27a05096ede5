"""Launch days as a whole: made new, made after an earlier one, brought in and taken out as one document."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

from flask import Blueprint, Response, redirect, render_template, request, url_for

from service.codes.load import all_codes, editions
from service.planning.check import read_day
from service.planning.decode import Unreadable
from service.planning.errors import DocumentRefused, Fault, pointer
from service.planning.new_day import after, planned_conditions
from service.planning.outline_text import BadOutline, outlines_of, read_outline, read_position, write_outline
from service.store import AlreadyThere, NotFound, Refused
from service.web.access import DOCUMENT_LIMIT, access
from service.web.background import reassessor
from service.web.callers import caller, the_store
from service.web.entry_fields import OWN_PREFIX
from service.web.forms import Form, FormField
from service.web.organise.event import TERRAINS
from service.web.organise.ground import CORNERS, GUIDES
from service.web.organise.limits import DATUMS
from service.web.places import as_read
from service.web.reader import units

bp = Blueprint("documents", __name__)

CHOOSE = "Tick those that hold where you fly: what is not ticked is not checked. They can be changed later."
FIRST = (
    FormField("/name", "What the event is called", needed=True),
    FormField("/date", "Date", needed=True, help="Year-month-day, such as 2027-05-15."),
)
REST = (
    FormField("/timezone", "Time zone of the field", needed=True, help="Such as America/Chicago."),
    FormField("/field/name", "What the field is called", needed=True),
    FormField("/field/elevation_m", "Height of the pads above sea level", "number", quantity="length", needed=True),
    FormField("/field/terrain", "What covers the ground", "choice", choices=TERRAINS, default="open_grass"),
    FormField("/field/boundary", "Boundary", "lines", needed=True, help=CORNERS),
    FormField("/field/pads/0/name", "Name of the first pad", needed=True, default="A1"),
    FormField("/field/pads/0/position", "Its place", needed=True, help="Latitude, longitude: 46.915, -97.515."),
    FormField("/field/pads/0/guide", "Its guide", "choice", choices=GUIDES),
    FormField("/field/pads/0/guide_length_m", "Guide length", "number", quantity="length", needed=True),
    FormField("/ceiling/0/height_m", "Ceiling", "number", quantity="length", needed=True),
    FormField("/ceiling/0/datum", "Counted from", "choice", choices=DATUMS),
)


@bp.get("/days/new")
@access("organiser")
def new():
    """The form for a new launch day."""
    return _page(Form.empty(_fields(_earlier()), units()))


@bp.post("/days/new")
@access("organiser", body_limit=DOCUMENT_LIMIT)
def make():
    """Keep a new launch day, without entries."""
    earlier = _earlier()
    form = Form.read(_fields(earlier), request.form, units())
    upload = request.files.get("file")
    file = upload.read() if upload is not None else b""
    if file and not earlier:
        try:
            shapes = outlines_of(file, lines=False)
            if len(shapes) != 1:
                raise BadOutline(f"found {len(shapes)} areas; expected one")
            form.typed["/field/boundary"] = write_outline(shapes[0][1])
        except BadOutline as error:
            form.add("/field/boundary", f"the file: {error}")
    document = _document(form, earlier)
    try:
        day = read_day(json.dumps(document).encode(), "the day")
        if not form.faulty:
            day_id = the_store().import_day(day, caller().name())
            reassessor().kick(day_id)
            return redirect(url_for("organiser.show", day_id=day_id), 303)
    except DocumentRefused as refused:
        form.refuse([Fault(_place(each.pointer), each.found, each.expected) for each in refused.faults])
    except AlreadyThere as error:
        form.add("/name", str(error))
    return _page(form), 422


@bp.get("/days/import")
@access("organiser")
def choose():
    """The form for a document."""
    return render_template("import.html", faults=(), name="", day_id="", document=None)


@bp.post("/days/import")
@access("organiser", body_limit=DOCUMENT_LIMIT)
def import_day():
    """Keep a whole document as a new launch day; every fault with its place."""
    upload = request.files.get("file")
    data, name = (upload.read(), upload.filename or "the file") if upload is not None else (b"", "the file")
    as_id = request.form.get("day_id", "").strip()
    faults: list[Fault] = []
    try:
        day_id = the_store().import_day(read_day(data, name), caller().name(), day_id=as_id or None)
        reassessor().kick(day_id)
        return redirect(url_for("organiser.show", day_id=day_id), 303)
    except DocumentRefused as refused:
        faults = list(refused.faults)
    except Unreadable as refusal:
        faults = [refusal.fault]
    except AlreadyThere as error:
        faults = [Fault("", str(error).removeprefix("found ").split(",")[0], "an id of its own")]
    except Refused as error:
        faults = [Fault(pointer(each.at), each.found, each.expected) for each in error.problems]
    return render_template("import.html", faults=faults, name=name, day_id=as_id, document=as_read(data)), 422


@bp.get("/days/<day_id>/document.json")
@access("organiser", "rso")
def export_day(day_id: str) -> Response:
    """The whole launch-day document."""
    document = the_store().day_document(day_id).model_dump(mode="json", by_alias=True)
    data = (json.dumps(document, indent=2, ensure_ascii=False) + "\n").encode()
    head = {"Content-Disposition": f'attachment; filename="{day_id}.json"'}
    return Response(data, mimetype="application/json", headers=head)


def _earlier() -> str:
    """The day that the new one follows; empty for none."""
    day_id = request.values.get("after", "")
    if day_id and day_id not in {each.id for each in the_store().days.all()}:
        raise NotFound(f'found no launch day "{day_id[:64]}"')
    return day_id


def _fields(earlier: str) -> tuple[FormField, ...]:
    codes = tuple(
        FormField(f"/codes/{each.id}", f"{each.title}, edition {each.edition}", "flag")
        for each in editions(list(all_codes()))
    )
    return FIRST if earlier else (*FIRST, *REST, *codes)


def _document(form: Form, earlier: str) -> dict[str, Any]:
    typed = form.document()
    made: dict[str, Any] = {"motors": [], "entries": []}
    if earlier:
        kept = the_store().day_document(earlier)
        made |= after(kept) | {"timezone": kept.timezone}
        made["motors"] = [each for each in made["motors"] if not each["id"].startswith(OWN_PREFIX)]
    else:
        typed["codes"] = [name for name, chosen in typed.get("codes", {}).items() if chosen]
        if not typed["codes"]:
            form.add(f"/codes/{all_codes()[0]}", "found no code ticked; expected those that hold where you fly")
        field = typed.get("field", {})
        for at, holder, name, read in (
            ("/field/boundary", field, "boundary", read_outline),
            ("/field/pads/0/position", field.get("pads", [{}])[0], "position", read_position),
        ):
            if isinstance(holder.get(name), str):
                try:
                    holder[name] = read(holder[name])
                except BadOutline as error:
                    form.add(at, str(error))
    made |= typed
    try:
        on, elevation_m = date.fromisoformat(made["date"]), float(made["field"]["elevation_m"])
        made["conditions"] = planned_conditions(on, made["timezone"], elevation_m)
    except (KeyError, TypeError, ValueError, LookupError, OSError, OverflowError):
        pass  # what it rests on is refused by itself
    return made


def _place(pointer: str) -> str:
    if pointer == "/ceiling" or pointer.startswith("/ceiling/"):
        return pointer
    return "" if pointer.startswith("/conditions") else pointer


def _page(form: Form) -> str:
    earlier = _earlier()
    name = the_store().days.header(earlier).document.name if earlier else ""
    groups = (
        ("The event", "", ("/name", "/date", "/timezone")),
        ("The field", "", ("/field/",)),
        ("Ceiling", "", ("/ceiling/",)),
        ("Codes in force", CHOOSE, ("/codes/",)),
    )
    shown = [(words, note, [at for at in form.fields if at.startswith(starts)]) for words, note, starts in groups]
    return render_template(
        "new_day.html",
        form=form,
        groups=[each for each in shown if each[2]],
        earlier=earlier,
        earlier_name=name,
        days=the_store().days.all(),
    )
