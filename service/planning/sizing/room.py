"""A distance that a rule asks for, beside what there is from the pads that a rocket may fly from."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

ROUNDING = 1e-9  # of a limit: a place on it keeps it


@dataclass(frozen=True)
class Room:
    """From one pad to whatever is asked about; None where nothing of the kind is drawn. [m]"""

    pad: str
    found_m: float | None


@dataclass(frozen=True)
class Held:
    """How a limit is kept. `found_m` is from `pad`, the nearest; `kept_from` are the pads that keep it. [m]

    A rocket that may fly from several pads keeps it if all do, and breaks it if none does; else it is not known.
    """

    found_m: float | None
    pad: str
    met: bool | None
    kept_from: tuple[str, ...]
    spare_m: float
    """Beyond the limit; less than any where that is not known, more than any where nothing is near."""


def held(limit_m: float | None, rooms: Sequence[Room]) -> Held:
    """Hold a limit against the pads.

    >>> held(60.0, [Room("A1", 72.0), Room("C2", 240.0)]).met, held(300.0, [Room("A1", 72.0)]).met
    (True, False)
    >>> mixed = held(91.44, [Room("A1", 72.0), Room("C2", 240.0)])
    >>> mixed.met, mixed.kept_from, mixed.pad
    (None, ('C2',), 'A1')
    """
    known = [(each.found_m, each.pad) for each in rooms if each.found_m is not None]
    if not known:
        return Held(None, "", None, (), math.inf if limit_m is not None else -math.inf)
    found_m, pad = min(known, key=lambda each: each[0])
    if limit_m is None:
        return Held(found_m, pad, None, (), -math.inf)
    kept = tuple(name for reach_m, name in known if reach_m >= limit_m * (1.0 - ROUNDING))
    met = True if len(kept) == len(known) else None if kept else False
    return Held(found_m, pad, met, kept, found_m - limit_m)
