"""The flight log: what flew, when, from which pad, what happened, what was measured."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass

from flask import Blueprint, Response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as Redirection

from service.models.assessment import Spread
from service.models.day import LaunchDay
from service.planning.errors import DocumentRefused
from service.planning.part import read_part
from service.store import AlreadyLogged, Conflict, Refused
from service.store.flights import Flight, FlightRow
from service.web.access import access
from service.web.briefs import briefs
from service.web.callers import caller, the_store
from service.web.flight_log import amend as change
from service.web.flight_log import find_row, strike, write_down
from service.web.forms import Form, FormField
from service.web.line_up import read_line_up
from service.web.reader import now, units
from service.web.seen import seen_revision
from service.web.words import motor_words, with_gone

bp = Blueprint("flights", __name__)

HAPPENED = (
    ("planned", "as planned"),
    ("no_deployment", "nothing came out"),
    ("drogue_only", "the main stayed in"),
    ("main_at_apogee", "the main came out at the top"),
    ("one_unlit", "one motor stayed unlit"),
    ("misfire", "misfire: it did not light"),
    ("hung_up", "it lit, and hung up on its pad"),
    ("lost", "not found"),
    ("other", "something else, as noted"),
)
SAID = {**dict(HAPPENED), "mistake": "nothing: written by mistake"}
COLUMNS = (
    "number", "entry", "rocket", "flyer", "motor", "flown_at", "pad", "happened", "apogee_m", "estimated_apogee_m",
    "landing_lon_deg", "landing_lat_deg", "note", "assessment", "written_by", "written_at", "revision",
)  # fmt: skip


@dataclass(frozen=True)
class Logged:
    """A row of the log with what it is about. `apogee` is the estimate that stood when it flew."""

    row: FlightRow
    rocket: str
    flyer: str
    motor: str
    apogee: Spread | None


@bp.get("/days/<day_id>/log")
@access("rso", "organiser")
def show(day_id: str):
    """Every flight, the last one first."""
    day = the_store().day_document(day_id)
    return render_template("log.html", day_id=day_id, day=day, logged=_logged(day_id, day)[::-1], happened=SAID)


@bp.get("/days/<day_id>/log.csv")
@access("rso", "organiser")
def as_csv(day_id: str):
    """The log as CSV, in SI units, in the order of writing."""
    day, out = the_store().day_document(day_id), io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for each in _logged(day_id, day):
        row, flight = each.row, each.row.flight
        landing = flight.landing or ("", "")
        estimated = each.apogee.nominal if each.apogee else None
        cells = [row.number, flight.entry, each.rocket, each.flyer, each.motor, flight.flown_at.isoformat(), flight.pad]
        cells += [flight.happened, _plain(flight.apogee_m), _plain(estimated), *landing, flight.note or ""]
        cells += [row.assessment_id or "", row.by, row.at, row.revision]
        writer.writerow([_harmless(cell) for cell in cells])
    made = Response(out.getvalue(), mimetype="text/csv")
    made.headers["Content-Disposition"] = f'attachment; filename="flight-log-{day.date}.csv"'
    return made


@bp.get("/days/<day_id>/log/new")
@access("rso", "organiser")
def new(day_id: str):
    """An empty row; `?entry=` fills in whose it is."""
    day = the_store().day_document(day_id)
    entry = next((each for each in day.entries if each.id == request.args.get("entry")), None)
    typed = {"entry": entry.id, "pad": entry.pad} if entry else {}
    at = {"flown_at": now().isoformat(timespec="minutes")}
    form = Form.filled(_fields(day), {**at, **typed}, units(), day.timezone)
    return _form_page(day_id, day, form)


@bp.post("/days/<day_id>/log/new")
@access("rso", "organiser")
def add(day_id: str):
    """Write a row."""
    return _save(day_id, None)


@bp.get("/days/<day_id>/log/<int:number>")
@access("rso", "organiser")
def edit(day_id: str, number: int):
    """A row, to be amended: an apogee read later, a rocket found."""
    day, row = the_store().day_document(day_id), find_row(the_store(), day_id, number)
    return _form_page(day_id, day, _filled(day, row), row)


@bp.post("/days/<day_id>/log/<int:number>")
@access("rso", "organiser")
def amend(day_id: str, number: int):
    """Amend a row; its history stays."""
    return _save(day_id, find_row(the_store(), day_id, number))


@bp.post("/days/<day_id>/log/<int:number>/mistake")
@access("rso", "organiser")
def mistake(day_id: str, number: int):
    """Nothing of a row happened: it stays in the log, and counts for nothing."""
    store = the_store()
    row = find_row(store, day_id, number)
    try:
        strike(store, day_id, row, caller().name(), now(), based_on=seen_revision())
    except Conflict as conflict:
        day = store.day_document(day_id)
        row = find_row(store, day_id, number)
        return _form_page(day_id, day, _filled(day, row), row, conflict), 409
    return _back(day_id, row.flight)


def _save(day_id: str, row: FlightRow | None):
    store = the_store()
    day = store.day_document(day_id)
    form = Form.read(_fields(day, row), request.form, units(), day.timezone)
    based_on = seen_revision() if row else 0
    try:
        given = form.document()
        flight = None if form.faulty else read_part(Flight, given, name="the flight")
        if flight and row:
            kept = _same_moment(flight, row)
            change(store, day_id, row, kept, caller().name(), now(), based_on=based_on)
        elif flight:
            another = request.form.get("another") == "yes"
            write_down(store, day_id, flight, caller().name(), now(), another=another)
    except (DocumentRefused, Refused) as error:
        form.refuse_error(error)
    except AlreadyLogged as logged:
        return _form_page(day_id, day, form, logged=logged), 409
    except Conflict as conflict:
        return _form_page(day_id, day, form, find_row(store, day_id, row.number) if row else None, conflict), 409
    if form.faulty or flight is None:
        return _form_page(day_id, day, form, row), 422
    return _back(day_id, flight)


def _back(day_id: str, flight: Flight) -> Redirection:
    """To the log; to the pads where the entry stands there: it did not leave after all."""
    there = flight.entry in read_line_up(the_store(), day_id, ()).stands
    return redirect(url_for("pads.show" if there else "flights.show", day_id=day_id), 303)


def _filled(day: LaunchDay, row: FlightRow) -> Form:
    form = Form.filled(_fields(day, row), row.flight.model_dump(mode="json"), units(), day.timezone)
    if row.by_mistake:
        form.typed["/happened"] = ""
    return form


def _same_moment(flight: Flight, row: FlightRow) -> Flight:
    """With the seconds that the form does not show, where the minute was left alone."""
    before = row.flight.flown_at
    same = flight.flown_at == before.replace(second=0, microsecond=0)
    return flight.model_copy(update={"flown_at": before}) if same else flight


def _form_page(
    day_id: str, day: LaunchDay, form: Form, row: FlightRow | None = None, conflict: Conflict | None = None,
    logged: AlreadyLogged | None = None,
) -> str:  # fmt: skip
    history = the_store().flights.history(day_id, row.number) if row else ()
    return render_template(
        "log_edit.html", day_id=day_id, day=day, form=form, row=row, history=history[::-1], conflict=conflict,
        happened=SAID, logged=logged,
    )  # fmt: skip


def _fields(day: LaunchDay, row: FlightRow | None = None) -> tuple[FormField, ...]:
    entries = [(each.id, f"{each.id} {each.rocket.name}") for each in day.entries]
    known = {each for each, _ in entries}
    if row and row.flight.entry not in known:  # withdrawn since, or renamed: what flew still flew
        entries.append((row.flight.entry, f"{row.flight.entry}, no longer on the day"))
    pads = [(each.name, each.name) for each in day.field.pads]
    endings = HAPPENED if row is None or not row.by_mistake else (("", "choose, if it happened after all"), *HAPPENED)
    return (
        FormField("/entry", "Entry", "choice", choices=(("", "choose"), *entries), needed=True),
        FormField("/flown_at", "Left the pad at", "moment", needed=True),
        FormField("/pad", "From pad", "choice", choices=(("", "choose"), *pads), needed=True),
        FormField("/happened", "What happened", "choice", choices=endings, needed=True, default="planned"),
        FormField("/apogee_m", "Measured apogee above the field", "number", quantity="length"),
        FormField("/landing/1", "Landed at latitude", "number", unit="° north"),
        FormField("/landing/0", "and longitude", "number", unit="° east", help="West is negative."),
        FormField("/note", "Note", "lines"),
    )


def _logged(day_id: str, day: LaunchDay) -> list[Logged]:
    store = the_store()
    day = with_gone(day, store.motors.gone(day_id))  # what flew is told by its name, whatever became of the offer
    rows = store.flights.all(day_id, mistakes=True)
    entries = {each.id: each.entry for each in store.entries.all(day_id, withdrawn=True)}
    found = briefs(each.assessment_id for each in rows if each.assessment_id)
    made = []
    for row in rows:
        entry, brief = entries.get(row.flight.entry), found.get(row.assessment_id or "")
        names = (entry.rocket.name, entry.flyer.name, motor_words(day, entry)) if entry else ("", "", "")
        made.append(Logged(row, *names, brief.apogee_m if brief else None))
    return made


def _plain(value: float | None) -> str:
    return "" if value is None else f"{value:.1f}"


def _harmless(cell: object) -> object:
    """A text that a spreadsheet would take for a formula, marked as text."""
    if isinstance(cell, str) and cell[:1] in ("=", "+", "-", "@", "\t", "\r"):
        return "'" + cell
    return cell
