"""Entering conditions: a reading in ten seconds, a METAR, winds aloft, an hourly forecast."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from flask import Blueprint, current_app, redirect, render_template, request, session, url_for

from service.models.conditions import SURFACE_HEIGHT_M, Conditions
from service.planning.weather.errors import WeatherRefused
from service.planning.weather.forecast import read_forecast_json
from service.planning.weather.forecast_csv import read_forecast_csv
from service.planning.weather.hand import SOURCE, read_hand
from service.planning.weather.looked import refuse_ahead, sky_as_before
from service.planning.weather.merge import conditions_from, with_aloft
from service.planning.weather.metar import read_metar
from service.planning.weather.reading import Aloft, Intake
from service.planning.weather.told import in_zone
from service.planning.weather.winds_aloft import Pick, read_winds_aloft
from service.store import Conflict, NotFound, Refused
from service.store.versions import Version
from service.web.access import DOCUMENT_LIMIT, access
from service.web.background import reassessor
from service.web.callers import caller, the_store
from service.web.errors import Misfit
from service.web.forms import Form
from service.web.reader import age_of, now, units
from service.web.reading_form import AS_BEFORE, reading_fields, reading_form
from service.web.seen import seen_revision
from service.web.weather_again import in_force_again
from service.web.weather_fetch import fetch_metar
from service.web.weather_forms import ALOFT, FETCHED, refuse_weather
from service.web.weather_reasons import from_bulletin, from_metar

bp = Blueprint("weather", __name__)


@bp.get("/days/<day_id>/weather")
@access("rso", "organiser")
def show(day_id: str):
    """Conditions in force, their history, and every way to enter new ones."""
    return _page(day_id)


@bp.post("/days/<day_id>/weather/reading")
@access("rso", "organiser")
def reading(day_id: str):
    """A reading by hand."""
    store = the_store()
    day = store.day_document(day_id)
    form = Form.read(reading_fields(day, units(), now()), request.form, units(), day.timezone)
    based_on = seen_revision()
    given = form.document()
    if form.faulty:
        return _page(day_id, hand_form=form), 422
    at = datetime.fromisoformat(given.pop("observed_at", "") or now().isoformat(timespec="seconds"))
    source, as_before = given.pop("source", "") or SOURCE, given.pop("sky_as_before", False)
    try:
        refuse_ahead(at, now())
        surface = read_hand(given, at=at, elevation_m=day.field.elevation_m, source=source)
        if as_before:
            surface = sky_as_before(surface, day.conditions)
        intake = conditions_from(surface, day.conditions, kept_min=day.policy.conditions_max_age_min)
    except WeatherRefused as refused:
        refuse_weather(form, refused)
        return _page(day_id, hand_form=form), 422
    return _enter(day_id, intake, "a reading by hand", based_on, form, "hand_form")


@bp.post("/days/<day_id>/weather/metar")
@access("rso", "organiser")
def metar(day_id: str):
    """A METAR, as text."""
    store = the_store()
    day = store.day_document(day_id)
    form = Form.read(FETCHED, request.form, units(), day.timezone)
    based_on = seen_revision()
    given = form.document()
    given.pop("station_name", None)
    if form.faulty:
        return _page(day_id, metar_form=form), 422
    report = given.pop("metar")
    try:
        surface = read_metar(
            report,
            near=now(),
            elevation_m=day.field.elevation_m,
            distance_km=given.get("distance_km"),
            station_elevation_m=given.get("station_elevation_m"),
            variable_from_deg=given.get("variable_from_deg"),
        )
        refuse_ahead(surface.observed_at, now())
        intake = conditions_from(surface, day.conditions, kept_min=day.policy.conditions_max_age_min)
    except WeatherRefused as refused:
        refuse_weather(form, refused, {"distance": "distance_km", "the METAR": "metar", "observed_at": "metar"})
        return _page(day_id, metar_form=form), 422
    return _enter(day_id, intake, from_metar(report), based_on, form, "metar_form")


@bp.post("/days/<day_id>/weather/fetch")
@access("rso", "organiser")
def fetch(day_id: str):
    """Fetch a METAR into its form, where the service was given an address: a person reads it before it counts."""
    day = the_store().day_document(day_id)
    form = Form.read(FETCHED, request.form, units(), day.timezone)
    url = current_app.config["RANGEHAND"].weather_url
    if not url:
        raise NotFound("found no address to fetch weather from, expected one in RANGEHAND_WEATHER_URL")
    try:
        form.typed["/metar"] = fetch_metar(url, form.typed["/station_name"])
    except WeatherRefused as refused:
        refuse_weather(form, refused, {"station": "station_name"})
        return _page(day_id, metar_form=form), 422
    return _page(day_id, metar_form=form)


@bp.post("/days/<day_id>/weather/aloft")
@access("rso", "organiser")
def aloft(day_id: str):
    """A winds-aloft bulletin, over the surface weather in force."""
    store = the_store()
    day = store.day_document(day_id)
    form = Form.read(ALOFT, request.form, units(), day.timezone)
    form.typed["/bulletin"] = request.form.get("/bulletin", "").strip("\r\n")[:60_000]  # leading spaces are columns
    based_on = seen_revision()
    given = form.document()
    if form.has("/station_2") and not form.has("/distance_2_km"):
        form.add("/distance_2_km", "found nothing; expected how far the second station is")
    if form.faulty:
        return _page(day_id, aloft_form=form), 422
    picks = [Pick(given["station"].upper(), given["distance_km"])]
    if "station_2" in given:
        picks.append(Pick(given["station_2"].upper(), given["distance_2_km"]))
    stations = {pick.station for pick in picks}
    try:
        winds = read_winds_aloft(given["bulletin"], picks, near=now(), elevation_m=day.field.elevation_m)
        intake = with_aloft(day.conditions, winds)
    except WeatherRefused as refused:
        refuse_weather(form, refused, {"stations": "station", "distance": "distance_km"})
        return _page(day_id, aloft_form=form), 422
    return _enter(day_id, intake, from_bulletin(given["bulletin"], stations), based_on, form, "aloft_form")


@bp.post("/days/<day_id>/weather/forecast")
@access("rso", "organiser", body_limit=DOCUMENT_LIMIT)
def forecast(day_id: str):
    """Replace the hourly forecast by a file, CSV or JSON. No assessment rests on it."""
    store = the_store()
    based_on = seen_revision("forecast_based_on")
    sent = request.files.get("file")
    data = sent.read() if sent else b""
    if not data.strip():
        return _page(day_id, forecast_faults=["Found no file; expected a forecast as CSV or JSON."]), 422
    try:
        hours = read_forecast_json(data) if data.lstrip()[:1] in (b"{", b"[") else read_forecast_csv(data)
        store.weather.set_forecast(day_id, hours, caller().name(), based_on=based_on, why="a file")
    except WeatherRefused as refused:
        return _page(day_id, forecast_faults=[f"{fault}." for fault in refused.faults[:20]]), 422
    except Refused as error:
        return _page(day_id, forecast_faults=[f"{error}."]), 422
    except Conflict as conflict:
        return _page(day_id, conflict=conflict), 409
    session["weather_notes"] = [f"The forecast now holds {len(hours)} hours."]
    return redirect(url_for("weather.show", day_id=day_id) + "#forecast", 303)


@bp.post("/days/<day_id>/weather/from-forecast")
@access("rso", "organiser")
def from_forecast(day_id: str):
    """Take the upper winds of one hour of the forecast; the surface stays as it was read."""
    store = the_store()
    day = store.day_document(day_id)
    based_on = seen_revision()
    hour = next((each for each in day.forecast if each.observed_at.isoformat() == request.form.get("hour")), None)
    if hour is None:
        raise Misfit("That hour is not in the forecast any more; reload and choose again.")
    levels = tuple(each for each in hour.wind if each.height_m > SURFACE_HEIGHT_M)
    if not levels:
        raise Misfit(f"That hour has no wind above {SURFACE_HEIGHT_M:g} m.")
    try:
        intake = with_aloft(day.conditions, Aloft(levels, hour.source, hour.observed_at))
    except WeatherRefused as refused:
        return _page(day_id, forecast_faults=[f"{fault}." for fault in refused.faults[:20]]), 422
    return _enter(day_id, intake, "upper winds of the forecast", based_on, None, "")


@bp.post("/days/<day_id>/weather/again")
@access("rso", "organiser")
def again(day_id: str):
    """Put earlier conditions in force again, where those in force are a slip."""
    based_on, revision = seen_revision(), seen_revision("revision")
    store = the_store()
    try:
        kept = in_force_again(store, day_id, revision, caller().name(), based_on=based_on, at=now())
    except WeatherRefused as refused:
        zone = store.days.header(day_id).document.timezone
        told = [f"{in_zone(each.found, zone)}; expected {in_zone(each.expected, zone)}" for each in refused.faults]
        raise Misfit(f"Those conditions are of {told[0]}.") from None
    except Conflict as conflict:
        return _page(day_id, conflict=conflict), 409
    session["weather_notes"] = [f"In force is again {kept.why.partition(',')[0]}."]
    return redirect(url_for("desk.desk", day_id=day_id), 303)


def _enter(day_id: str, intake: Intake, why: str, based_on: int, form: Form | None, name: str):
    """Put conditions in force and go to the desk, which shows what that changes."""
    try:
        the_store().weather.enter(day_id, intake.conditions, caller().name(), based_on=based_on, why=why)
    except Refused as error:
        if form is None:
            raise
        form.general.append(str(error))
        return _page(day_id, **_kept(name, form)), 422
    except Conflict as conflict:
        return _page(day_id, conflict=conflict, **_kept(name, form)), 409
    zone, near = the_store().days.header(day_id).document.timezone, intake.conditions.observed_at
    notes = (in_zone(each, zone, near) for each in intake.notes)
    session["weather_notes"] = [f"New conditions are in force, from {why.partition(':')[0]}.", *notes]
    return redirect(url_for("desk.desk", day_id=day_id), 303)


def _kept(name: str, form: Form | None) -> dict[str, Any]:
    """The form that was sent, under the name that the page knows it by."""
    return {name: form} if form else {}


def _page(
    day_id: str,
    *,
    hand_form: Form | None = None,
    metar_form: Form | None = None,
    aloft_form: Form | None = None,
    forecast_faults: list[str] | None = None,
    conflict: Conflict | None = None,
) -> str:
    store = the_store()
    day, chosen = store.day_document(day_id), units()
    kept = store.weather.current(day_id)
    if conflict and hand_form:  # what is kept, and what "as before" means, is what stands now: it is asked anew
        typed = {**hand_form.typed, AS_BEFORE: ""}
        hand_form = Form(reading_fields(day, chosen, now()), chosen, typed, day.timezone)
    return render_template(
        "weather.html",
        day_id=day_id,
        day=day,
        kept=kept,
        age=age_of(kept.document, day.policy, now()),
        history=_history(day_id),
        forecast=store.weather.forecast(day_id),
        reading_form=hand_form or reading_form(day, chosen, now()),
        metar_form=metar_form or Form.empty(FETCHED, chosen, day.timezone),
        aloft_form=aloft_form or Form.empty(ALOFT, chosen, day.timezone),
        forecast_faults=forecast_faults or [],
        conflict=conflict,
        may_fetch=bool(current_app.config["RANGEHAND"].weather_url),
        notes=session.pop("weather_notes", []),
        progress=reassessor().progress(day_id),
        at_first=_opened(hand_form, metar_form, aloft_form, forecast_faults),
    )


def _opened(*given: object) -> str:
    names = ("reading", "metar", "aloft", "forecast")
    return next((name for name, each in zip(names, given, strict=True) if each), "")


def _history(day_id: str) -> tuple[Version[Conditions], ...]:
    """The last twelve conditions: who entered them, when, why; the latest first."""
    return the_store().weather.history(day_id)[::-1][:12]
