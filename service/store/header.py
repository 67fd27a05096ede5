"""The launch day without its conditions, forecast, motors, entries and ticks, which are kept on their own."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field as Described

from service.models.base import Model
from service.models.ceiling import Ceilings
from service.models.conditions import Conditions
from service.models.correction import Correction
from service.models.day import LaunchDay
from service.models.field import Field
from service.models.policy import ModeChances, Policy
from service.models.rule import Rule
from service.models.types import Day, Id, Name, TimeZone

KEPT_APART = ("conditions", "forecast", "motors", "entries", "attestations")


class DayHeader(Model):
    """What an organiser edits as one: event, field, ceiling, codes, rules, policy."""

    name: Name
    """What the event is called."""
    date: Day
    """Its local date. [YYYY-MM-DD]"""
    timezone: TimeZone
    """The field's IANA time zone."""
    field: Field
    """The field."""
    ceiling: Ceilings
    """The highest permitted altitude, or a list of them with their windows."""
    codes: Annotated[tuple[Id, ...], Described(max_length=20)]
    """The rule packs that apply, by name."""
    local_rules: Annotated[tuple[Rule, ...], Described(max_length=200)] = ()
    """The club's own rules."""
    policy: Policy = Policy()
    """The organiser's thresholds."""
    mode_chances: ModeChances = ModeChances()
    """How often flights end other than planned."""
    corrections: Annotated[tuple[Correction, ...], Described(max_length=1000)] = ()
    """Corrections learnt from flights and accepted by the organiser."""

    @classmethod
    def of(cls, day: LaunchDay) -> DayHeader:
        """The header of a whole document."""
        return cls(**{name: getattr(day, name) for name in cls.model_fields})


class Forecast(Model):
    """Conditions hour by hour, earliest first."""

    forecast: Annotated[tuple[Conditions, ...], Described(max_length=400)] = ()
    """The hours."""
