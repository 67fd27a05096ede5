"""The flights that the service has kept, each with the entry, the motor and the weather it flew with."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from typing import Any

from service.models.conditions import Conditions
from service.models.day import LaunchDay
from service.models.entry import Entry
from service.planning.learning.cases import Case, in_order


def kept_cases(store: Any, days: Iterable[str]) -> list[Case]:
    """The flight logs of launch days as cases.

    Parameters
    ----------
    store : service.store.Store
    days : iterable of str
        Their ids.
    """
    return in_order([case for day_id in days for case in _of_day(store, day_id)])


def _of_day(store: Any, day_id: str) -> Iterable[Case]:
    rows = store.flights.all(day_id)
    if not rows:
        return
    day: LaunchDay = store.day_document(day_id)
    readings = [each.document for each in store.weather.history(day_id)]
    assessments = store.assessments.find(row.assessment_id for row in rows if row.assessment_id)
    for row in rows:
        flight = row.flight
        entry = _entry_at(store, day_id, flight.entry, row.entry_revision).model_copy(update={"pad": flight.pad})
        why_not = ""
        flown = _with_motor(store, day_id, day, entry)
        conditions = reading_at(readings, flight.flown_at, day.policy.conditions_max_age_min)
        if flown is None:
            flown, why_not = day, f"the motor it flew on, {entry.motor}, is not among those kept"
        elif flight.pad not in {pad.name for pad in day.field.pads}:
            why_not = f"pad {flight.pad} is no longer there"
        elif conditions is None:
            why_not = f"no weather was read within {day.policy.conditions_max_age_min:g} min of it"
        assessment = assessments.get(row.assessment_id)
        estimate = assessment.estimate if assessment else None
        planned = assessment.footprint("planned") if assessment else None
        yield Case(
            label=f"{day.date.isoformat()} no. {row.number}, {flight.entry}",
            day=flown,
            entry=entry,
            flight=flight,
            conditions=conditions,
            recorded_apogee_m=estimate.apogee_m.nominal if estimate else None,
            recorded_landing=planned.landing if planned else None,
            why_not=why_not,
        )


def reading_at(readings: Sequence[Conditions], flown_at: datetime, most_min: float) -> Conditions | None:
    """The reading nearest in time to a flight, before or after; None where none lies within so many minutes.

    Of two as near, the one entered last.
    """
    near = [each for each in readings if abs(each.observed_at - flown_at) <= timedelta(minutes=most_min)]
    return min(reversed(near), key=lambda each: abs(each.observed_at - flown_at), default=None)


def _entry_at(store: Any, day_id: str, entry_id: str, revision: int) -> Entry:
    versions = store.entries.history(day_id, entry_id)
    found = next((each for each in versions if each.revision == revision), versions[-1])
    return found.document


def _with_motor(store: Any, day_id: str, day: LaunchDay, entry: Entry) -> LaunchDay | None:
    """The day with the entry's motor among those on offer, taken from the history where it was removed since."""
    if any(motor.id == entry.motor for motor in day.motors):
        return day
    versions = store.motors.history(day_id, entry.motor)
    return day.model_copy(update={"motors": (*day.motors, versions[-1].document)}) if versions else None
