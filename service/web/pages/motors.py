"""Motors on offer: stock and price, added and changed one by one, or as a table."""

from __future__ import annotations

import json
import re
from typing import Any

from flask import Blueprint, Response, redirect, render_template, request, url_for

from service.models.motor import Motor
from service.planning.errors import DocumentRefused, Fault
from service.planning.motor_csv import COLUMNS, read_delays, read_motors, write_delays, write_motors
from service.planning.part import MOTOR, read_part
from service.planning.thrust_csv import BadCurve, read_thrust_csv, write_thrust_csv
from service.store import Conflict, OutOfStock, Refused
from service.store.motors import Offer
from service.web.access import DOCUMENT_LIMIT, access
from service.web.callers import caller, the_store
from service.web.entry_fields import OWN_PREFIX
from service.web.errors import from_store
from service.web.forms import Form, FormField
from service.web.organise import PARTS
from service.web.reader import units
from service.web.seen import seen_revision

bp = Blueprint("motors", __name__)

CASES = (("single_use", "single use"), ("reload", "reload for a casing"))
PROPELLANTS = (("black_powder", "black powder"), ("composite", "composite"), ("hybrid", "hybrid"))
FIELDS = (
    FormField("/id", "Short name", needed=True, help="What entries call it: letters, digits, dashes."),
    FormField("/maker", "Maker", needed=True),
    FormField("/designation", "Designation", needed=True, help="Such as D9 or H120."),
    FormField("/case", "Case", "choice", choices=CASES),
    FormField("/casing", "Casing", optional=True, help="That a reload fits."),
    FormField("/propellant", "Propellant", "choice", choices=PROPELLANTS),
    FormField("/diameter_m", "Diameter", "number", quantity="short_length", needed=True),
    FormField("/length_m", "Length", "number", quantity="short_length", needed=True),
    FormField("/loaded_mass_kg", "Mass ready to fly", "number", quantity="mass", needed=True),
    FormField("/propellant_mass_kg", "Mass that burns", "number", quantity="mass", needed=True),
    FormField(
        "/delays", "Delays", needed=True,
        help="Seconds on sale, such as 3;5;7. Drilled ones: 14..6/2 from 14 s down to 6 s in steps of 2 s. P: plugged.",
    ),
    FormField("/effect", "What is seen", optional=True, help="Say sparks where it throws them."),
    FormField("/stock", "How many there are", "whole", optional=True, help="Empty: not counted."),
    FormField("/price/amount", "Price", optional=True, help="With a point: 21.00"),
    FormField("/price/currency", "Currency", optional=True, help="Three letters, such as USD."),
    FormField("/price/flights", "Flights for that price", "whole", optional=True),
    FormField("/thrust_curve", "Thrust curve", "lines", needed=True, help="CSV with the header time_s,thrust_n."),
)  # fmt: skip


@bp.get("/days/<day_id>/motors")
@access("organiser")
def show(day_id: str):
    """What is on offer, what is left of it, and the table in and out."""
    return _list(day_id)


@bp.get("/days/<day_id>/motors.csv")
@access("organiser", "rso")
def as_csv(day_id: str) -> Response:
    """The table."""
    text = write_motors(offer.motor for offer in _offers(day_id))
    head = {"Content-Disposition": f'attachment; filename="motors-{day_id}.csv"'}
    return Response(text, mimetype="text/csv", headers=head)


@bp.post("/days/<day_id>/motors")
@access("organiser", body_limit=DOCUMENT_LIMIT)
def take_csv(day_id: str):
    """Add and change the motors of a table, all or none. Motors that are not in it stay as they are."""
    upload = request.files.get("file")
    data = upload.read() if upload is not None else b""
    faults: list[Fault] = []
    try:
        text = data.decode("utf-8-sig")
        motors = read_motors(text)
        the_store().motors.save(day_id, motors, caller().name(), based_on=_seen(), why="from a table")
        return redirect(url_for("motors.show", day_id=day_id, saved=len(motors)), 303)
    except UnicodeDecodeError as error:
        faults = [Fault("", f"byte {error.start}, which is no UTF-8", "a CSV file saved as UTF-8")]
    except DocumentRefused as refused:
        faults = list(refused.faults)
    except Conflict as conflict:
        return _list(day_id, conflict=conflict), 409
    except Refused as error:
        faults = _by_name(day_id, error)
    return _list(day_id, faults=faults), 422


@bp.get("/days/<day_id>/motors/new")
@access("organiser")
def new(day_id: str):
    """The empty form."""
    return _page(day_id, Form.empty(FIELDS, units()), 0, "")


@bp.post("/days/<day_id>/motors/new")
@access("organiser")
def add(day_id: str):
    """Put a motor on offer."""
    return _save(day_id, "")


@bp.get("/days/<day_id>/motors/<motor_id>/edit")
@access("organiser")
def edit(day_id: str, motor_id: str):
    """The form with the motor in it."""
    offer = the_store().motors.get(day_id, motor_id)
    return _page(day_id, _filled(offer.motor), offer.revision, motor_id)


@bp.post("/days/<day_id>/motors/<motor_id>/edit")
@access("organiser")
def change(day_id: str, motor_id: str):
    """Change a motor; refused where entries that fly it would no longer fit."""
    the_store().motors.get(day_id, motor_id)
    return _save(day_id, motor_id)


@bp.post("/days/<day_id>/motors/<motor_id>/remove")
@access("organiser")
def remove(day_id: str, motor_id: str):
    """Take a motor off the offer; refused while an entry flies it."""
    try:
        the_store().motors.remove(day_id, motor_id, caller().name(), based_on=seen_revision())
    except Conflict as conflict:
        return _list(day_id, conflict=conflict), 409
    except Refused as error:
        return _list(day_id, faults=from_store(error)[1]), 422
    return redirect(url_for("motors.show", day_id=day_id), 303)


def _save(day_id: str, motor_id: str) -> Any:
    fields = FIELDS[1:] if motor_id else FIELDS
    form, based_on = Form.read(fields, request.form, units()), seen_revision() if motor_id else 0
    motor = _read(form, motor_id)
    if motor is None:
        return _page(day_id, form, based_on, motor_id), 422
    try:
        the_store().motors.save(day_id, [motor], caller().name(), based_on={motor.id: based_on})
    except Conflict as conflict:
        if not motor_id:
            form.add("/id", f'found "{motor.id}" already on offer; expected a name of its own')
            return _page(day_id, form, 0, ""), 422
        return _page(day_id, form, conflict.current, motor_id, conflict), 409
    except OutOfStock as error:
        form.add("/stock", f"found {error.left}; expected at least the {error.asked} that entries have reserved")
        return _page(day_id, form, based_on, motor_id), 422
    except Refused as error:
        form.refuse(_by_name(day_id, error))
        return _page(day_id, form, based_on, motor_id), 422
    return redirect(url_for("motors.show", day_id=day_id, saved=1), 303)


def _by_name(day_id: str, error: Refused) -> list[Fault]:
    """What entries hold against a motor, each by its id: the store counts those that fly it."""
    motor_id = error.subject.rpartition("/")[2]
    flown_by = [each.id for each in the_store().entries.all(day_id) if each.entry.motor == motor_id]
    said = []
    for fault in from_store(error)[1]:
        match = re.fullmatch(r"/entries/(\d+)(/.*)?", fault.pointer)
        named = match is not None and int(match[1]) < len(flown_by)
        at = f"/entries/{flown_by[int(match[1])]}{match[2] or ''}" if match and named else fault.pointer
        said.append(Fault(at, fault.found, fault.expected))
    return said


def _read(form: Form, motor_id: str) -> Motor | None:
    document = form.document({"id": motor_id} if motor_id else {})
    try:
        if isinstance(document.get("delays"), str):
            document["delays"] = read_delays(document["delays"])
    except ValueError as error:
        form.add("/delays", str(error))
    try:
        if isinstance(document.get("thrust_curve"), str):
            document["thrust_curve"] = read_thrust_csv(document["thrust_curve"])
    except BadCurve as error:
        form.add("/thrust_curve", str(error))
    try:
        motor = read_part(Motor, document, MOTOR)
    except DocumentRefused as refused:
        form.refuse(refused.faults)
        return None
    return None if form.faulty else motor


def _filled(motor: Motor) -> Form:
    document = motor.model_dump(mode="json")
    document |= {"delays": write_delays(motor), "thrust_curve": write_thrust_csv(motor.thrust_curve)}
    return Form.filled(FIELDS[1:], document, units())


def _offers(day_id: str) -> list[Offer]:
    """What the club offers: motors that flyers bring are theirs."""
    return [each for each in the_store().motors.all(day_id) if not each.motor.id.startswith(OWN_PREFIX)]


def _seen() -> dict[str, int]:
    """The revisions that the table's page told."""
    try:
        told = json.loads(request.form.get("based_on", "{}"))
    except ValueError:
        return {}
    return {str(key): value for key, value in told.items() if isinstance(value, int)} if isinstance(told, dict) else {}


def _list(day_id: str, *, faults: list[Fault] | None = None, conflict: Conflict | None = None) -> str:
    offers = sorted(_offers(day_id), key=lambda each: each.motor.impulse_ns)
    return render_template(
        "motors.html",
        day_id=day_id,
        day=the_store().days.header(day_id).document,
        parts=PARTS,
        offers=offers,
        revisions=json.dumps({each.motor.id: each.revision for each in offers}),
        faults=faults or [],
        conflict=conflict,
        columns=COLUMNS,
        saved=request.args.get("saved", ""),
    )


def _page(day_id: str, form: Form, based_on: int, motor_id: str, conflict: Conflict | None = None) -> str:
    return render_template(
        "motor_edit.html",
        day_id=day_id,
        day=the_store().days.header(day_id).document,
        parts=PARTS,
        form=form,
        based_on=based_on,
        motor_id=motor_id,
        conflict=conflict,
    )
