"""A whole document in the place of a launch day: what vanished by it is said."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, render_template, request

from service.planning.check import read_day
from service.planning.decode import Unreadable
from service.planning.errors import DocumentRefused, Fault, pointer
from service.store import Refused
from service.store.errors import DayMoved
from service.store.replacing import Replaced
from service.web.access import DOCUMENT_LIMIT, access
from service.web.callers import caller, the_store
from service.web.places import as_read

bp = Blueprint("replacing", __name__)


@bp.get("/days/<day_id>/replace")
@access("organiser")
def choose(day_id: str):
    """The form for the document."""
    return _page(day_id)


@bp.post("/days/<day_id>/replace")
@access("organiser", body_limit=DOCUMENT_LIMIT)
def replace(day_id: str):
    """Replace the day; every fault with its place, nothing half written."""
    upload = request.files.get("file")
    data, name = (upload.read(), upload.filename or "the file") if upload is not None else (b"", "the file")
    store = the_store()
    faults: list[Fault] = []
    try:
        day = read_day(data, name)
        seen = request.form.get("based_on", "")[:64]
        return _page(day_id, done=store.days.replace(day_id, day, caller().name(), based_on=seen))
    except DocumentRefused as refused:
        faults = list(refused.faults)
    except Unreadable as refusal:
        faults = [refusal.fault]
    except DayMoved:
        return _page(day_id, moved=True), 409
    except Refused as error:
        faults = [Fault(pointer(each.at), each.found, each.expected) for each in error.problems]
    return _page(day_id, faults=faults, name=name, document=as_read(data)), 422


def _page(
    day_id: str,
    *,
    faults: list[Fault] | None = None,
    name: str = "",
    document: Any = None,
    done: Replaced | None = None,
    moved: bool = False,
) -> str:
    day, mark = the_store().days.marked(day_id)
    return render_template(
        "replace.html", day_id=day_id, day=day, mark=mark, faults=faults or [], name=name, document=document, done=done,
        moved=moved,
    )  # fmt: skip
