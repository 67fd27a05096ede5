"""Conditions in force and the forecast, each with its history."""

from __future__ import annotations

import sqlalchemy as sa

from service.models.conditions import Conditions
from service.models.crosscheck import DayParts
from service.store import parts, tables
from service.store.database import Database
from service.store.header import Forecast
from service.store.reading import reader
from service.store.versions import Version, history_of, named, save, subject, version_of


class Weather:
    """Conditions and forecast."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def current(self, day_id: str) -> Version[Conditions]:
        """The conditions in force."""
        with self._database.read() as connection:
            row = parts.day_row(connection, day_id)
            read = reader(Conditions)
            return version_of(connection, day_id, "conditions", "", row.conditions_revision, read)

    def history(self, day_id: str) -> tuple[Version[Conditions], ...]:
        """All conditions that were entered, oldest first."""
        with self._database.read() as connection:
            return history_of(connection, day_id, "conditions", "", reader(Conditions))

    def enter(
        self, day_id: str, conditions: Conditions, by: str, *, based_on: int, why: str = ""
    ) -> Version[Conditions]:
        """Put new conditions in force. Every assessment that rests on the old ones is out of date from here on."""
        conditions = parts.checked(conditions, Conditions, "conditions")
        with self._database.write(named(by)) as change:
            row = parts.day_row(change.connection, day_id)
            top = parts.header(change.connection, row)
            parts.refuse_problems(
                subject(day_id, "conditions"),
                DayParts(
                    date=top.date, timezone=top.timezone, elevation_m=top.field.elevation_m, conditions=conditions
                ),
                ("conditions",),
            )
            new = save(
                change,
                day_id,
                "conditions",
                "",
                conditions,
                based_on=based_on,
                current=row.conditions_revision,
                why=why,
            )
            table = tables.launch_day
            change.connection.execute(table.update().where(table.c.id == day_id).values(conditions_revision=new))
            return version_of(change.connection, day_id, "conditions", "", new, reader(Conditions))

    def forecast(self, day_id: str) -> Version[Forecast]:
        """The forecast."""
        with self._database.read() as connection:
            row = parts.day_row(connection, day_id)
            read = reader(Forecast)
            return version_of(connection, day_id, "forecast", "", row.forecast_revision, read)

    def set_forecast(
        self, day_id: str, hours: tuple[Conditions, ...], by: str, *, based_on: int, why: str = ""
    ) -> Version[Forecast]:
        """Replace the forecast. No assessment rests on it."""
        forecast = parts.checked(Forecast(forecast=hours), Forecast, "forecast")
        with self._database.write(named(by)) as change:
            row = parts.day_row(change.connection, day_id)
            top = parts.header(change.connection, row)
            parts.refuse_problems(
                subject(day_id, "forecast"),
                DayParts(
                    date=top.date,
                    timezone=top.timezone,
                    elevation_m=top.field.elevation_m,
                    forecast=dict(enumerate(forecast.forecast)),
                ),
            )
            new = save(
                change, day_id, "forecast", "", forecast, based_on=based_on, current=row.forecast_revision, why=why
            )
            table = tables.launch_day
            change.connection.execute(sa.update(table).where(table.c.id == day_id).values(forecast_revision=new))
            return version_of(change.connection, day_id, "forecast", "", new, reader(Forecast))
