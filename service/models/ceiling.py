"""The ceiling: the highest permitted altitude, always with its datum, and when it holds."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Annotated, Any, Literal

from pydantic import Discriminator, Tag
from pydantic import Field as Described

from service.models.base import Model, Problem
from service.models.types import Bounded, Instant, Note


class Ceiling(Model):
    """One permitted altitude, all day or for a window of time. Of several that hold at once the lowest binds."""

    height_m: Annotated[float, Bounded(0.0, 150_000.0, "m", above=True)]
    """The highest permitted altitude, above the datum. [m]"""
    datum: Literal["agl", "msl"]
    """What the altitude is counted from: agl, the field; msl, mean sea level."""
    from_at: Instant | None = Described(default=None, alias="from")
    """When the window opens; null for no such limit. [RFC 3339]"""
    to_at: Instant | None = Described(default=None, alias="to")
    """When the window closes; null for no such limit. [RFC 3339]"""
    condition: Note | None = None
    """What has to be done for this ceiling to hold, such as a call to the controller; null for nothing, or once done.
    What is not done yet binds nobody and permits nothing; a lower one that holds goes on binding until it ends."""

    def height_agl_m(self, elevation_m: float) -> float:
        """Permitted height above a field that lies `elevation_m` above mean sea level. [m]"""
        return self.height_m - elevation_m if self.datum == "msl" else self.height_m

    def holds_at(self, when: datetime) -> bool:
        """Say whether the window is open at a moment: from its opening on, no longer when it closes.

        So of two windows that meet, one lower and one higher, just one is open where they meet.
        """
        return (self.from_at is None or self.from_at <= when) and (self.to_at is None or when < self.to_at)

    def problems(self) -> Iterable[Problem]:
        if self.from_at is not None and self.to_at is not None and self.to_at <= self.from_at:
            yield Problem(
                ("to",), f"{self.to_at.isoformat()}", f"a time after the window opens, {self.from_at.isoformat()}"
            )


def in_force(ceilings: Iterable[Ceiling], when: datetime, elevation_m: float) -> Ceiling | None:
    """The lowest of the ceilings that hold at a moment without anything left to be done; None where none does."""
    holding = [each for each in ceilings if each.condition is None and each.holds_at(when)]
    return min(holding, key=lambda each: each.height_agl_m(elevation_m), default=None)


def _one_or_many(value: Any) -> str:
    return "windows" if isinstance(value, list | tuple) else "one"


Ceilings = Annotated[
    Annotated[Ceiling, Tag("one")]
    | Annotated[tuple[Ceiling, ...], Described(min_length=1, max_length=100), Tag("windows")],
    Discriminator(_one_or_many),
]
