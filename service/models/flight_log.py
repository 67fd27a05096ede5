"""The flight log: what flew, when, from which pad, what happened, what was measured."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Literal

from service.models.base import Model, Problem
from service.models.conditions import Conditions
from service.models.types import Bounded, Id, Instant, Name, Note, Position

Happened = Literal[
    "planned", "no_deployment", "drogue_only", "main_at_apogee", "one_unlit", "misfire", "hung_up", "lost", "other",
    "mistake",
]  # fmt: skip
Stay = Literal["misfire", "hung_up"]
STAYED: tuple[Stay, ...] = ("misfire", "hung_up")  # it is on its pad still
Height = Annotated[float, Bounded(0.0, 150_000.0, "m above the field")]


class Flight(Model):
    """One flight, as people saw it."""

    entry: Id
    """The entry that flew."""
    flown_at: Instant
    """When it left the pad, or was meant to. [RFC 3339]"""
    pad: Name
    """The pad it flew from."""
    happened: Happened
    """How it ended: a mode; misfire, it did not light; hung_up, it lit and stayed on its pad; lost, it was not found;
    other, as noted; mistake, nothing of it happened, the row was written by mistake and counts for nothing."""
    apogee_m: Height | None = None
    """Measured apogee; null when not measured. [m]"""
    landing: Position | None = None
    """Where it came down, as [longitude, latitude]; null when not known. [degrees, WGS 84]"""
    note: Note | None = None
    """What else is worth keeping."""

    def problems(self) -> Iterable[Problem]:
        if self.happened in STAYED and (self.apogee_m is not None or self.landing is not None):
            what = "a misfire" if self.happened == "misfire" else "one that hung up"
            yield Problem(("happened",), f"{what} with an apogee or a landing point", "neither, or another ending")
        if self.happened == "other" and self.note is None:
            yield Problem(("note",), "nothing, while something else happened", "what happened")


class LogLine(Flight):
    """A flight of a log that is kept as a file: with what was flown, in what weather, and what was estimated."""

    motor: Id | None = None
    """The motor it flew on, where that was not the entry's own; null for the entry's."""
    delay_s: Annotated[float, Bounded(0.0, 60.0, "s")] | None = None
    """The delay it flew with, where that was not the entry's own; null for the entry's. [s]"""
    conditions: Conditions | None = None
    """The weather it flew in; null when not kept."""
    estimated_apogee_m: Height | None = None
    """What had been estimated for it at the time; null when not kept. [m]"""
    estimated_landing: Position | None = None
    """The landing point estimated at the time; null when not kept. [degrees, WGS 84]"""


class FlightLog(Model):
    """A flight log as a file."""

    flights: tuple[LogLine, ...]
    """The flights, in any order."""
