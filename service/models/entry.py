"""An entry: one flyer's rocket, motor, recovery and pad, for one launch day."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Annotated

from pydantic import Field as Described
from pydantic import StrictBool

from service.models.base import Model, Problem
from service.models.recovery import AtMotorDelay, Recovery, sequence_problems
from service.models.rocket import Rocket
from service.models.types import Bounded, Id, Instant, Name, Note

MOST_MOTORS = 16  # as many as the flight model takes; a test holds the two together


class Attestation(Model):
    """That a person has seen to something no figure can show."""

    by: Name
    """Who says so."""
    at: Instant
    """When it was said. [RFC 3339]"""
    note: Note | None = None
    """What belongs to it, such as the paper or the authority; null for nothing."""


class Flyer(Model):
    """The person who flies."""

    name: Name
    """The flyer's name."""
    adult: StrictBool
    """Whether the flyer is 18 or older."""
    supervised: StrictBool = False
    """Whether an adult who may fly the rocket stands by."""
    responsible_adult: Name | None = None
    """The adult who answers for a flyer under 18; null for a flyer of age."""
    certification: Annotated[int, Bounded(0, 3)]
    """High-power certification level, 0 for none. [level]"""
    certifying: Annotated[int, Bounded(1, 3)] | None = None
    """The level this flight is flown to gain; null for none. [level]"""
    first_flight: StrictBool = False
    """Whether it is the flyer's first flight; whether it is the rocket's is asked at check-in."""
    here_from: Instant | None = None
    """When the flyer arrives; null for all day. [RFC 3339]"""
    here_until: Instant | None = None
    """When the flyer leaves; null for all day. [RFC 3339]"""

    def is_here(self, start: datetime, end: datetime) -> bool:
        """Whether the flyer is there from `start` to `end`."""
        return (self.here_from is None or self.here_from <= start) and (
            self.here_until is None or end <= self.here_until
        )

    def problems(self) -> Iterable[Problem]:
        if self.here_from is not None and self.here_until is not None and self.here_until <= self.here_from:
            yield Problem(
                ("here_until",),
                self.here_until.isoformat(),
                f"a time after the flyer arrives, {self.here_from.isoformat()}",
            )
        if not self.adult and self.responsible_adult is None:
            yield Problem(("responsible_adult",), "nothing", "the name of the adult who answers for a flyer under 18")
        if self.certifying is not None and self.certifying != self.certification + 1:
            yield Problem(
                ("certifying",),
                f"a flight for level {self.certifying} by a flyer of level {self.certification}",
                f"the next level, {self.certification + 1}" if self.certification < 3 else "null: level 3 is the last",
            )


class Entry(Model):
    """One flyer's pairing, for one launch day."""

    id: Id
    """Its number on the day."""
    flyer: Flyer
    """Who flies."""
    rocket: Rocket
    """The rocket, without its motor."""
    motor: Id
    """The id of one of the day's motors."""
    motor_count: Annotated[int, Bounded(1, MOST_MOTORS, "motors")] = 1
    """How many of it are lit together. [count]"""
    delay_s: Annotated[float, Bounded(0.0, 60.0, "s")] | None = None
    """The delay chosen, from burnout; null for none. [s]"""
    pad: Name
    """The name of one of the field's pads."""
    recovery: Annotated[tuple[Recovery, ...], Described(min_length=1, max_length=10)]
    """Recovery devices in the order of their events; one of kind none where there is none."""
    attestations: Annotated[dict[Id, Attestation], Described(max_length=200)] = {}
    """What was seen to at check-in, by the rule's id."""

    def problems(self) -> Iterable[Problem]:
        for problem in sequence_problems(self.recovery):
            yield Problem(("recovery", *problem.at), problem.found, problem.expected)
        waiting = [d.name for d in self.recovery if isinstance(d.deploy, AtMotorDelay)]
        if waiting and self.delay_s is None:
            yield Problem(("delay_s",), f'nothing, while "{waiting[0]}" waits for the motor', "the delay chosen, in s")
        for index, device in enumerate(self.recovery):
            speed_mps, ratio = device.descent_speed_mps, device.glide_ratio
            if speed_mps is not None and ratio is not None and speed_mps * ratio > 100.0:
                yield Problem(
                    ("recovery", index, "glide_ratio"),
                    f"a glide of {ratio:g} to 1 at {speed_mps:g} m/s, {speed_mps * ratio:.0f} m/s over the ground",
                    "at most 100 m/s",
                )
