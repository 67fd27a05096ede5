"""An hourly forecast, with winds at heights, into the conditions of each hour; from JSON, or as rows of CSV.

Both ways end in one place: the hours as plain values, held against the same model as the launch-day document.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Any

from pydantic import Field as Described
from pydantic import ValidationError

from service.models.base import Model
from service.models.conditions import Conditions
from service.planning.decode import Unreadable, decode
from service.planning.errors import Fault
from service.planning.translate import faults_of
from service.planning.weather.errors import WeatherFault, WeatherRefused, refuse

NAME = "the forecast"
MOST_HOURS = 400  # as the launch-day document holds


class _Forecast(Model):
    """The hours under the name they have in a launch-day document, so that faults read the same."""

    forecast: Annotated[tuple[Conditions, ...], Described(max_length=MOST_HOURS)]


def read_forecast_json(data: bytes) -> tuple[Conditions, ...]:
    """Read a forecast from JSON: a list of conditions, or an object with such a list under "forecast".

    Raises
    ------
    WeatherRefused
        With every fault, by its JSON pointer.
    """
    try:
        document, found = decode(data)
    except Unreadable as refusal:
        fault = refusal.fault
        expected = fault.expected.replace("a launch-day document in JSON", "a list of conditions in JSON")
        raise refuse(NAME, fault.pointer or NAME, fault.found, expected) from None
    bare = isinstance(document, list)
    whole = {"forecast": document} if bare else document
    hours, wrong = checked_hours(whole)
    cut = "/forecast" if bare else ""
    faults = [WeatherFault(each.pointer.removeprefix(cut) or NAME, each.found, each.expected) for each in wrong]
    known = {fault.where for fault in faults}
    faults += [WeatherFault(each.pointer, each.found, each.expected) for each in found if each.pointer not in known]
    if not hours and not faults:
        faults.append(WeatherFault(NAME, "no hours", f"1 to {MOST_HOURS} of them"))
    if faults:
        raise WeatherRefused(faults, NAME)
    return hours


def checked_hours(document: Any) -> tuple[tuple[Conditions, ...], list[Fault]]:
    """The hours of a document {"forecast": [...]}, and every fault with its pointer into it."""
    try:
        hours = _Forecast.model_validate(document).forecast
    except ValidationError as error:
        return (), list(faults_of(error, document))
    wrong = [
        Fault(
            f"/forecast/{index}/observed_at",
            later.observed_at.isoformat(),
            f"later than the hour before, {earlier.observed_at.isoformat()}",
        )
        for index, (earlier, later) in enumerate(pairwise(hours), start=1)
        if later.observed_at <= earlier.observed_at
    ]
    return hours, wrong
