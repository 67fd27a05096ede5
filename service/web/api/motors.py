"""Motors on offer."""

from __future__ import annotations

from flask import Blueprint, Response

from service.models.motor import Motor
from service.planning.errors import Fault
from service.planning.motor_csv import read_motors, write_motors
from service.planning.part import MOTOR
from service.store import NotFound
from service.store.motors import Offer, is_brought
from service.web.access import DOCUMENT_LIMIT, access
from service.web.api.field_shapes import MotorsAsked
from service.web.api.reading import answer, based_on, body, file, known_query, page_of
from service.web.api.shapes import MotorTold, Page
from service.web.callers import caller, the_store
from service.web.errors import Misfit
from service.web.openapi import PAGE, PREFIX, described

bp = Blueprint("api_motors", __name__, url_prefix=f"{PREFIX}/days/<day_id>")


@bp.get("/motors")
@access("anyone")
@described("Motors on offer", answers={200: Page[MotorTold]}, query=PAGE)
def list_motors(day_id: str) -> Response:
    """In the organiser's order."""
    known_query(*PAGE)
    items, where = page_of(the_store().motors.all(day_id))
    return answer(Page[MotorTold](items=[_told(each) for each in items], **where))


@bp.get("/motor-table")
@access("organiser", "rso")
@described("Motors on offer as a table", answers={200: None}, gives="text/csv")
def motors_table(day_id: str) -> Response:
    """What the club offers: motors that flyers bring are theirs."""
    known_query()
    offers = [each.motor for each in the_store().motors.all(day_id) if not is_brought(each.motor.id)]
    return file(write_motors(offers), "text/csv", f"motors-{day_id}.csv")


@bp.post("/motor-table")
@access("organiser", body_limit=DOCUMENT_LIMIT)
@described("Add and change motors by a table", body=MotorsAsked, answers={200: Page[MotorTold]}, problems=(409,))
def put_table(day_id: str) -> Response:
    """All or none. Motors that are not in it stay; each that is there already needs its revision in `based_on`."""
    known_query()
    the_store().days.header(day_id)
    asked = body(MotorsAsked)
    motors = read_motors(asked.csv)
    kept = the_store().motors.save(day_id, motors, caller().name(), based_on=asked.based_on, why="from a table")
    items = [_told(each) for each in kept]
    return answer(Page[MotorTold](items=items, total=len(items), limit=len(items), offset=0))


@bp.get("/motors/<motor_id>")
@access("anyone")
@described("One motor", answers={200: MotorTold}, etag=True)
def get_motor(day_id: str, motor_id: str) -> Response:
    """With its thrust curve and what is left of it."""
    known_query()
    found = the_store().motors.get(day_id, motor_id)
    return answer(_told(found), revision=found.revision)


@bp.put("/motors/<motor_id>")
@access("organiser")
@described("Add or change a motor", body=Motor, answers={200: MotorTold}, etag=True, matched=True, problems=(409,))
def put_motor(day_id: str, motor_id: str) -> Response:
    """The revision is "0" for a motor that is new. Refused where entries that fly it would no longer fit it."""
    known_query()
    motor = body(Motor, MOTOR)
    if motor.id != motor_id:
        raise Misfit(f'Found the id "{motor.id}" in the body.', [Fault("/id", f'"{motor.id}"', f'"{motor_id}"')])
    store = the_store()
    try:
        current = store.motors.get(day_id, motor_id).revision
    except NotFound:
        store.days.header(day_id)
        current = 0
    (kept,) = store.motors.save(day_id, [motor], caller().name(), based_on={motor_id: based_on(current)})
    return answer(_told(kept), revision=kept.revision)


@bp.delete("/motors/<motor_id>")
@access("organiser")
@described("Take a motor off the offer", answers={204: None}, matched=True)
def delete_motor(day_id: str, motor_id: str) -> Response:
    """Refused while an entry flies it."""
    known_query()
    store = the_store()
    current = store.motors.get(day_id, motor_id).revision
    store.motors.remove(day_id, motor_id, caller().name(), based_on=based_on(current))
    return Response(status=204)


def _told(offer: Offer) -> MotorTold:
    return MotorTold(revision=offer.revision, reserved=offer.reserved, left=offer.left, motor=offer.motor)
