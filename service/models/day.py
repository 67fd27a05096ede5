"""The launch day: the whole document."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Annotated, Any

from pydantic import Field as Described

from service.models.base import Model, Problem
from service.models.ceiling import Ceiling, Ceilings
from service.models.conditions import Conditions
from service.models.correction import Correction, correction_for, correction_problems
from service.models.crosscheck import DayParts, day_problems
from service.models.entry import Attestation, Entry
from service.models.field import Field, Pad
from service.models.motor import Motor
from service.models.policy import ModeChances, Policy
from service.models.rule import Rule
from service.models.types import Day, Id, Name, TimeZone


class LaunchDay(Model):
    """One event: a date, a field, a ceiling, codes, conditions, motors on offer, entries."""

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
    """The club's own rules, in the form of the codes' rules."""
    policy: Policy = Policy()
    """The organiser's thresholds."""
    mode_chances: ModeChances = ModeChances()
    """How often flights end other than planned."""
    corrections: Annotated[tuple[Correction, ...], Described(max_length=1000)] = ()
    """Corrections learnt from flights and accepted by the organiser, one a rocket and one for all others."""
    attestations: Annotated[dict[Id, Attestation], Described(max_length=200)] = {}
    """What was seen to for the day, by the rule's id."""
    forecast: Annotated[tuple[Conditions, ...], Described(max_length=400)] = ()
    """Conditions hour by hour, earliest first."""
    conditions: Conditions
    """The conditions in force."""
    motors: Annotated[tuple[Motor, ...], Described(max_length=2000)]
    """The motors on offer."""
    entries: Annotated[tuple[Entry, ...], Described(max_length=1000)]
    """The entries."""

    @property
    def ceilings(self) -> tuple[Ceiling, ...]:
        """The ceiling as a list, whether it was given as one or as several."""
        return (self.ceiling,) if isinstance(self.ceiling, Ceiling) else self.ceiling

    def ceilings_at(self, when: datetime) -> tuple[Ceiling, ...]:
        """Ceilings whose window is open at a moment."""
        return tuple(ceiling for ceiling in self.ceilings if ceiling.holds_at(when))

    def motor_by_id(self, motor_id: str) -> Motor:
        """The motor with that id; KeyError when there is none."""
        return _only(self.motors, "id", motor_id)

    def pad_by_name(self, name: str) -> Pad:
        """The pad with that name; KeyError when there is none."""
        return _only(self.field.pads, "name", name)

    def correction_of(self, rocket: str) -> Correction | None:
        """The correction that bears on a rocket of that name."""
        return correction_for(self.corrections, rocket)

    def entry_by_id(self, entry_id: str) -> Entry:
        """The entry with that id; KeyError when there is none."""
        return _only(self.entries, "id", entry_id)

    def problems(self) -> Iterable[Problem]:
        yield from correction_problems(self.corrections)
        yield from day_problems(
            DayParts(
                date=self.date,
                timezone=self.timezone,
                elevation_m=self.field.elevation_m,
                ceiling=self.ceiling,
                conditions=self.conditions,
                codes=self.codes,
                forecast=dict(enumerate(self.forecast)),
                zones=dict(enumerate(self.field.zones)),
                pads=dict(enumerate(self.field.pads)),
                motors=dict(enumerate(self.motors)),
                entries=dict(enumerate(self.entries)),
                attestations=self.attestations,
            )
        )


def _only(items: Iterable[Any], key: str, wanted: str) -> Any:
    for item in items:
        if getattr(item, key) == wanted:
            return item
    raise KeyError(wanted)
