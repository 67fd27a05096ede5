"""Erasing a flyer's personal data: what goes, what stays, who sees what."""

from __future__ import annotations

from flask import Blueprint, redirect, render_template, url_for

from service.store import Conflict
from service.store.personal import ERASED
from service.web.access import access
from service.web.callers import caller, the_store
from service.web.seen import seen_revision

bp = Blueprint("erasing", __name__)


@bp.get("/days/<day_id>/entries/<entry_id>/erase")
@access("organiser")
def show(day_id: str, entry_id: str):
    """What erasing does, and the button."""
    return _page(day_id, entry_id)


@bp.post("/days/<day_id>/entries/<entry_id>/erase")
@access("organiser")
def erase(day_id: str, entry_id: str):
    """Erase the names from every version of the entry, and end its private links."""
    try:
        the_store().entries.erase(day_id, entry_id, caller().name(), based_on=seen_revision())
    except Conflict:
        return _page(day_id, entry_id, moved=True), 409
    return redirect(url_for("erasing.show", day_id=day_id, entry_id=entry_id), 303)


def _page(day_id: str, entry_id: str, moved: bool = False) -> str:
    store = the_store()
    record = store.entries.get(day_id, entry_id)
    sheets = [each for each in store.sheets.all(day_id) if each.entry_id in (None, entry_id)]
    return render_template(
        "erase.html",
        day_id=day_id,
        day=store.days.header(day_id).document,
        record=record,
        entry=record.entry,
        erased=record.entry.flyer.name == ERASED,
        links=sum(each.revoked_at is None for each in store.links.all(day_id, entry_id)),
        sheets=len(sheets),
        moved=moved,
    )
