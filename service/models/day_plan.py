"""A day planned: which entry stands how in which hour of the forecast, and an order to fly them in.

Times are RFC 3339 in the field's time zone. Everything was flown; nothing is read off a table.
"""

from __future__ import annotations

from pydantic import FiniteFloat

from service.models.assessment import Result
from service.models.finding import Standing


class PlanHour(Result):
    """A stretch of the day with one set of forecast conditions."""

    starts: str
    ends: str
    label: str
    """The start as people say it, such as 09:00."""
    wind_mps: FiniteFloat
    """At the lowest height of the forecast."""
    wind_from_deg: FiniteFloat
    daylight: bool
    """Whether the sun is up all through it."""


class PlanCell(Result):
    """One entry in one hour."""

    standing: Standing
    limits: str
    """What decides the standing, in a sentence; empty where it is clear."""
    rules: tuple[str, ...]
    """The rules that are not clear."""
    stronger: Standing
    """In the stronger wind."""
    stronger_limits: str
    samples: int
    """Flights behind the standing: few to look, the policy's count in the hour chosen."""
    called: Standing | None = None
    """Its standing once the call is made that a higher ceiling waits for; null where none would help, or none is
    needed."""


class PlanRow(Result):
    """One entry over the day."""

    entry: str
    rocket: str
    flyer: str
    pad: str
    cells: tuple[PlanCell, ...]
    """In the order of the hours."""
    always: tuple[str, ...]
    """Rules that are not clear in any hour: waiting does not help."""


class PlannedFlight(Result):
    """One flight of the proposed order."""

    place: int
    starts: str
    label: str
    hour: int
    """Number of its hour, from 0."""
    entry: str
    rocket: str
    flyer: str
    pad: str
    apogee_m: FiniteFloat | None
    standing: Standing
    """By a full assessment in that hour's conditions; where the call comes first, as it stands without it."""
    limits: str
    """What decides the standing, in a sentence; empty where it is clear."""
    also: tuple[str, ...]
    """What else is not clear then, a sentence each."""
    why: str
    """Why then."""
    stronger: Standing
    """In the stronger wind at that hour, the call made where it comes first."""
    holds_in_stronger: bool
    assessment: str
    samples: int
    call_first: str = ""
    """What has to be done before it, and for which ceiling, in a sentence; empty where the ceiling in force does."""
    called: Standing | None = None
    """By a full assessment with that done; null where the ceiling in force does."""

    @property
    def stands(self) -> Standing:
        """How it stands when it is flown as the order has it."""
        return self.called or self.standing


class LeftOut(Result):
    """An entry that the order has no place for."""

    entry: str
    rocket: str
    why: str


class Shift(Result):
    """A standing that the stronger wind changes."""

    entry: str
    hour: int
    before: Standing
    after: Standing
    limits: str


class DayPlan(Result):
    """The day's hours against its entries, and a proposed order."""

    day: str
    date: str
    timezone: str
    hours: tuple[PlanHour, ...]
    rows: tuple[PlanRow, ...]
    order: tuple[PlannedFlight, ...]
    left_out: tuple[LeftOut, ...]
    shifts: tuple[Shift, ...]
    stronger_by_mps: FiniteFloat
    minutes_per_flight: FiniteFloat
    """Between two flights from one pad."""
    launch_gap_min: FiniteFloat
    """Between any two launches."""
    rest_min: FiniteFloat
    """Between two flights of one flyer."""
    words: str
    stronger_words: str
    notes: tuple[str, ...]
    samples: int
    seed: int
