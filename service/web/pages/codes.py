"""Confirming the codes of a launch day: that an organiser compared each edition with the text in force."""

from __future__ import annotations

from flask import Blueprint, redirect, request, url_for

from service.web.access import access
from service.web.callers import caller, the_store
from service.web.confirmed import confirm
from service.web.errors import Misfit
from service.web.reader import now

bp = Blueprint("codes", __name__)


@bp.post("/days/<day_id>/codes/confirm")
@access("organiser")
def confirmed(day_id: str):
    """Keep who compared a code and when, or take it back."""
    wanted = request.form.get("confirmed", "")
    if wanted not in ("true", "false"):
        raise Misfit(f'Found "{wanted[:20]}"; expected true or false.')
    confirm(the_store(), day_id, request.form.get("code", ""), wanted == "true", caller().name(), now())
    return redirect(url_for("organiser.edit", day_id=day_id, part="codes") + "#confirmed", 303)
