"""What this is: versions and code editions, health, the kinds of refusals, styles, the choice of units."""

from __future__ import annotations

from flask import Blueprint, Response, current_app, jsonify, redirect, render_template, request

from service.codes.load import all_codes, editions
from service.version import VERSION, engine
from service.web.access import access
from service.web.answers import for_programs
from service.web.callers import caller, the_store
from service.web.errors import KINDS, Misfit
from service.web.local_path import local_path
from service.web.reader import COOKIE, COOKIE_S, UNIT_WORDS

bp = Blueprint("about", __name__)


@bp.get("/about")
@access("anyone")
def about():
    """Version, engine, code editions."""
    return render_template("about.html", engine=engine(), editions=editions(all_codes()))


@bp.get("/health")
@access("anyone")
def health():
    """Whether the service can do its work; 503 when the database cannot be read."""
    found = the_store().health()
    told = {
        "status": "ok",
        "version": VERSION,
        "engine": engine(),
        "database": found.backend,
        "tables": found.tables,
        "audit_records": found.audit_number,
    }
    return jsonify(told) if for_programs() else render_template("health.html", health=told)


@bp.get("/problems")
@access("anyone")
def problems():
    """Every kind of refusal."""
    return render_template("problems.html", kinds=KINDS)


@bp.get("/theme.css")
@access("anyone")
def theme():
    """Colours by role, shared with the pictures and the sheet."""
    made = Response(current_app.extensions["styles"], mimetype="text/css")
    made.headers["Cache-Control"] = "public, max-age=3600"
    return made


@bp.post("/units")
@access("anyone")
def set_units():
    """Keep the reader's choice of units: in a cookie, and with the account of whoever is signed in."""
    chosen = request.form.get("units", "")
    if chosen not in UNIT_WORDS:
        raise Misfit('Found no such units; expected "si" or "us".')
    person = caller().person
    if person is not None and person.units != chosen:
        the_store().people.update(person.id, person.login, based_on=person.revision, units=chosen)  # type: ignore[arg-type]
    made = redirect(local_path(request.form.get("next", "")), 303)
    secure = current_app.config["RANGEHAND"].secure_cookies
    made.set_cookie(COOKIE, chosen, max_age=COOKIE_S, samesite="Lax", httponly=True, secure=secure)
    return made
