"""Conditions from a reading by hand, a METAR, a winds-aloft bulletin, an hour of the forecast; a forecast from CSV.

What a text tells is laid over the conditions in force, as on the page; the notes say what was kept and from when.
"""

from __future__ import annotations

from flask import Blueprint, Response, current_app

from service.models.conditions import SURFACE_HEIGHT_M
from service.planning.errors import Fault
from service.planning.weather.forecast_csv import read_forecast_csv
from service.planning.weather.hand import SOURCE, read_hand
from service.planning.weather.looked import refuse_ahead, sky_as_before
from service.planning.weather.merge import conditions_from, with_aloft
from service.planning.weather.metar import read_metar
from service.planning.weather.reading import Aloft, Intake
from service.planning.weather.winds_aloft import Pick, read_winds_aloft
from service.store import NotFound
from service.store.versions import Version
from service.web.access import DOCUMENT_LIMIT, access
from service.web.api.field_shapes import (
    AgainAsked,
    AloftAsked,
    ConditionsMade,
    CsvAsked,
    FetchAsked,
    FetchTold,
    HourAsked,
    MetarAsked,
    ReadingAsked,
)
from service.web.api.reading import answer, based_on, body, known_query
from service.web.api.shapes import ConditionsTold, ForecastTold
from service.web.api.weather_refusals import refusals
from service.web.callers import caller, the_store
from service.web.errors import Misfit
from service.web.openapi import PREFIX, described
from service.web.reader import now
from service.web.weather_again import in_force_again
from service.web.weather_fetch import fetch_metar
from service.web.weather_reasons import from_bulletin, from_metar

bp = Blueprint("api_weather_texts", __name__, url_prefix=f"{PREFIX}/days/<day_id>")
MADE = {200: ConditionsMade}


@bp.post("/conditions/reading")
@access("rso", "organiser")
@described("Enter a reading by hand", body=ReadingAsked, answers=MADE, etag=True, matched=True)
def reading(day_id: str) -> Response:
    """Only the wind is asked for each time; what is left out stays from before for as long as it can be trusted.

    With `sky_as_before` somebody has looked at cloud and visibility: they count as seen now.
    """
    known_query()
    asked, day = body(ReadingAsked), the_store().day_document(day_id)
    given = asked.model_dump(exclude={"observed_at", "source", "sky_as_before"}, exclude_none=True)
    at, source = asked.observed_at or now(), asked.source or SOURCE
    with refusals():
        refuse_ahead(at, now())
        surface = read_hand(given, at=at, elevation_m=day.field.elevation_m, source=source)
        if asked.sky_as_before:
            surface = sky_as_before(surface, day.conditions)
        intake = conditions_from(surface, day.conditions, kept_min=day.policy.conditions_max_age_min)
    return _enter(day_id, intake, "a reading by hand")


@bp.post("/conditions/metar")
@access("rso", "organiser")
@described("Enter a METAR", body=MetarAsked, answers=MADE, etag=True, matched=True)
def metar(day_id: str) -> Response:
    """The report as text."""
    known_query()
    asked, day = body(MetarAsked), the_store().day_document(day_id)
    with refusals():
        surface = read_metar(
            asked.metar,
            near=now(),
            elevation_m=day.field.elevation_m,
            distance_km=asked.distance_km,
            station_elevation_m=asked.station_elevation_m,
            variable_from_deg=asked.variable_from_deg,
        )
        refuse_ahead(surface.observed_at, now())
        intake = conditions_from(surface, day.conditions, kept_min=day.policy.conditions_max_age_min)
    return _enter(day_id, intake, from_metar(asked.metar))


@bp.post("/conditions/fetched-metar")
@access("rso", "organiser")
@described("Fetch a METAR", body=FetchAsked, answers={200: FetchTold}, problems=(404,))
def fetched_metar(day_id: str) -> Response:
    """From where the service was told at its start; not found where it was told nothing. It is not entered by this."""
    known_query()
    the_store().days.header(day_id)
    asked, url = body(FetchAsked), current_app.config["RANGEHAND"].weather_url
    if not url:
        raise NotFound("found no address to fetch weather from, expected one in RANGEHAND_WEATHER_URL")
    with refusals():
        return answer(FetchTold(metar=fetch_metar(url, asked.station)))


@bp.post("/conditions/aloft")
@access("rso", "organiser")
@described("Enter winds aloft", body=AloftAsked, answers=MADE, etag=True, matched=True)
def aloft(day_id: str) -> Response:
    """A bulletin as text, and the nearest stations of it; the surface weather in force stays."""
    known_query()
    asked, day = body(AloftAsked), the_store().day_document(day_id)
    picks = [Pick(each.station.upper(), each.distance_km) for each in asked.stations]
    with refusals():
        winds = read_winds_aloft(asked.bulletin, picks, near=now(), elevation_m=day.field.elevation_m)
        intake = with_aloft(day.conditions, winds)
    return _enter(day_id, intake, from_bulletin(asked.bulletin, {each.station for each in picks}))


@bp.post("/conditions/from-forecast")
@access("rso", "organiser")
@described("Take the upper winds of an hour of the forecast", body=HourAsked, answers=MADE, etag=True, matched=True)
def from_forecast(day_id: str) -> Response:
    """The surface stays as it was read."""
    known_query()
    asked, day = body(HourAsked), the_store().day_document(day_id)
    hour = next((each for each in day.forecast if each.observed_at == asked.hour), None)
    if hour is None:
        fault = Fault("/hour", asked.hour.isoformat(), "the time of an hour of the forecast")
        raise Misfit("That hour is not in the forecast.", [fault])
    levels = tuple(each for each in hour.wind if each.height_m > SURFACE_HEIGHT_M)
    if not levels:
        raise Misfit(f"That hour has no wind above {SURFACE_HEIGHT_M:g} m.")
    with refusals():
        intake = with_aloft(day.conditions, Aloft(levels, hour.source, hour.observed_at))
    return _enter(day_id, intake, "upper winds of the forecast")


@bp.post("/conditions/again")
@access("rso", "organiser")
@described(
    "Put earlier conditions in force again", body=AgainAsked, answers={200: ConditionsTold}, etag=True, matched=True
)
def again(day_id: str) -> Response:
    """By their revision in the history, with the time that they were observed at: they are as old as they are."""
    known_query()
    asked, store = body(AgainAsked), the_store()
    revision = based_on(store.weather.current(day_id).revision)
    with refusals():
        kept = in_force_again(store, day_id, asked.revision, caller().name(), based_on=revision, at=now())
    told = ConditionsTold(revision=kept.revision, at=kept.at, by=kept.by, why=kept.why, conditions=kept.document)
    return answer(told, revision=kept.revision)


@bp.put("/forecast/csv")
@access("rso", "organiser", body_limit=DOCUMENT_LIMIT)
@described("Replace the forecast by a table", body=CsvAsked, answers={200: ForecastTold}, etag=True, matched=True)
def forecast_csv(day_id: str) -> Response:
    """Hour by hour, a line for each height, as CSV text. No assessment rests on it."""
    known_query()
    asked, store = body(CsvAsked), the_store()
    revision = based_on(store.weather.forecast(day_id).revision)
    with refusals():
        hours = read_forecast_csv(asked.csv.encode())
    kept = store.weather.set_forecast(day_id, hours, caller().name(), based_on=revision, why="a table")
    told = ForecastTold(revision=kept.revision, at=kept.at, by=kept.by, forecast=kept.document)
    return answer(told, revision=kept.revision)


def _enter(day_id: str, intake: Intake, why: str) -> Response:
    store = the_store()
    revision = based_on(store.weather.current(day_id).revision)
    kept: Version = store.weather.enter(day_id, intake.conditions, caller().name(), based_on=revision, why=why)
    told = ConditionsMade(
        revision=kept.revision, at=kept.at, by=kept.by, why=kept.why, conditions=kept.document, notes=list(intake.notes)
    )
    return answer(told, revision=kept.revision)
