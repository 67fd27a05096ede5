"""What the API answers with, and the bodies that are no part of the launch-day document."""

from __future__ import annotations

from typing import Annotated, Generic, Literal, TypeVar

from pydantic import BaseModel, ConfigDict
from pydantic import Field as Described

from service.models.assessment import Assessment
from service.models.conditions import Conditions
from service.models.entry import Attestation, Entry
from service.models.finding import Standing
from service.models.motor import Motor
from service.store.header import DayHeader, Forecast
from service.store.rulings import Verdict

State = Literal["approved", "held", "refused", "lapsed"]
I = TypeVar("I")  # noqa: E741


class Told(BaseModel):
    """An answer."""

    model_config = ConfigDict(frozen=True, serialize_by_alias=True)


class Page(Told, Generic[I]):
    """A part of a list."""

    items: list[I]
    total: int
    limit: int
    offset: int


class DayTold(Told):
    """A launch day in the list."""

    id: str
    name: str
    date: str
    entries: int


class DayMade(Told):
    """The id of a new launch day."""

    id: str
    without_stock: list[str]
    """Entries that fly a motor on offer and hold none of the stock: no more were left."""


class HeaderTold(Told):
    """A launch day's header: field, ceiling, codes, rules, policy."""

    id: str
    revision: int
    at: str
    by: str
    header: DayHeader


class Made(Told):
    """The id of what was made."""

    id: str


class ConditionsTold(Told):
    """Conditions, who entered them and when."""

    revision: int
    at: str
    by: str
    why: str
    conditions: Conditions


class ForecastTold(Told):
    """The forecast, who entered it and when."""

    revision: int
    at: str
    by: str
    forecast: Forecast


class MotorTold(Told):
    """A motor on offer, and how many are left; null where they are not counted."""

    revision: int
    reserved: int
    left: int | None
    motor: Motor


class EntryTold(Told):
    """An entry as it stands."""

    revision: int
    withdrawn: bool
    reserved: int
    at: str
    by: str
    entry: Entry


class Registered(Told):
    """A new entry, and the token of its private link, told this once: it is a bearer token for this entry."""

    revision: int
    link_token: str
    private_link: str
    entry: Entry


class BoardLine(Told):
    """What everybody sees of an entry. A standing of null says that it is being assessed."""

    entry: str
    rocket: str
    motor: str
    pad: str
    standing: Standing | None
    assessment: str | None
    ruling: State | None


class Board(Told):
    """Every entry, and how far assessing is."""

    conditions_revision: int
    pending: int
    failed: list[str]
    lines: list[BoardLine]


class RulingAsked(Verdict):
    """What the range safety officer says about one assessment."""

    assessment: Annotated[str, Described(pattern="^[0-9a-f]{32}$")]
    """The id of the assessment that is ruled on."""


class RulingTold(Told):
    """A ruling. `state` is its word, or lapsed once what it rests on has changed."""

    entry: str
    number: int
    assessment: str
    state: State
    role: str
    at: str
    by: str
    verdict: Verdict


class TicksTold(Told):
    """What was attested, by entry ("" for the day), by rule."""

    attestations: dict[str, dict[str, Attestation]]


class AssessmentTold(Told):
    """An assessment. `fresh` is false once what it was made from has changed."""

    fresh: bool
    assessment: Assessment
