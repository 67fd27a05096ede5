"""Conditions in force, their history, and the forecast."""

from __future__ import annotations

from flask import Blueprint, Response

from service.models.conditions import Conditions
from service.planning.part import CONDITIONS
from service.planning.weather.looked import refuse_ahead
from service.store.header import Forecast
from service.store.versions import Version
from service.web.access import DOCUMENT_LIMIT, access
from service.web.api.reading import answer, based_on, body, known_query, page_of
from service.web.api.shapes import ConditionsTold, ForecastTold, Page
from service.web.api.weather_refusals import refusals
from service.web.callers import caller, the_store
from service.web.openapi import PAGE, PREFIX, described
from service.web.reader import now

bp = Blueprint("api_weather", __name__, url_prefix=f"{PREFIX}/days/<day_id>")


@bp.get("/conditions")
@access("anyone")
@described("The conditions in force", answers={200: ConditionsTold}, etag=True)
def get_conditions(day_id: str) -> Response:
    """Surface weather and the wind at heights, with time and source."""
    known_query()
    found = the_store().weather.current(day_id)
    return answer(_told(found), revision=found.revision)


@bp.put("/conditions")
@access("rso", "organiser")
@described("Enter new conditions", body=Conditions, answers={200: ConditionsTold}, etag=True, matched=True)
def put_conditions(day_id: str) -> Response:
    """Put new conditions in force: every entry is assessed again, and rulings that no longer fit lapse."""
    known_query()
    store = the_store()
    conditions = body(Conditions, CONDITIONS)
    with refusals():
        refuse_ahead(conditions.observed_at, now())
    revision = based_on(store.weather.current(day_id).revision)
    kept = store.weather.enter(day_id, conditions, caller().name(), based_on=revision)
    return answer(_told(kept), revision=kept.revision)


@bp.get("/conditions/history")
@access("anyone")
@described("All conditions that were entered", answers={200: Page[ConditionsTold]}, query=PAGE)
def conditions_history(day_id: str) -> Response:
    """The latest first."""
    known_query(*PAGE)
    items, where = page_of(the_store().weather.history(day_id)[::-1])
    return answer(Page[ConditionsTold](items=[_told(each) for each in items], **where))


@bp.get("/forecast")
@access("anyone")
@described("The forecast", answers={200: ForecastTold}, etag=True)
def get_forecast(day_id: str) -> Response:
    """Conditions hour by hour."""
    known_query()
    found = the_store().weather.forecast(day_id)
    return answer(_forecast(found), revision=found.revision)


@bp.put("/forecast")
@access("rso", "organiser", body_limit=DOCUMENT_LIMIT)
@described("Replace the forecast", body=Forecast, answers={200: ForecastTold}, etag=True, matched=True)
def put_forecast(day_id: str) -> Response:
    """No assessment rests on it."""
    known_query()
    store = the_store()
    hours = body(Forecast).forecast
    revision = based_on(store.weather.forecast(day_id).revision)
    kept = store.weather.set_forecast(day_id, hours, caller().name(), based_on=revision)
    return answer(_forecast(kept), revision=kept.revision)


def _told(version: Version[Conditions]) -> ConditionsTold:
    return ConditionsTold(
        revision=version.revision, at=version.at, by=version.by, why=version.why, conditions=version.document
    )


def _forecast(version: Version[Forecast]) -> ForecastTold:
    return ForecastTold(revision=version.revision, at=version.at, by=version.by, forecast=version.document)
