"""Earlier conditions put in force again: what a slip has replaced comes back, with its own time and source."""

from __future__ import annotations

from datetime import datetime

from service.models.conditions import Conditions
from service.planning.weather.looked import refuse_ahead
from service.store import NotFound, Store
from service.store.versions import Version


def in_force_again(
    store: Store, day_id: str, revision: int, by: str, *, based_on: int, at: datetime
) -> Version[Conditions]:
    """Put the conditions of an earlier revision in force.

    Raises
    ------
    NotFound
        Where there is no such revision.
    Conflict
        Where others are in force than `based_on`.
    WeatherRefused
        Where their time has not come.
    """
    chosen = next((each for each in store.weather.history(day_id) if each.revision == revision), None)
    if chosen is None:
        raise NotFound(f"day/{day_id}/conditions: found no revision {revision}")
    refuse_ahead(chosen.document.observed_at, at)
    why = f"what was in force earlier, revision {revision} of the weather"
    return store.weather.enter(day_id, chosen.document, by, based_on=based_on, why=why)
