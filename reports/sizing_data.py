"""What a report on a field's size is made of. Whoever prints fills these in; nothing here is computed.

Units are in the names or in the `Amount`; shares run from 0 to 1. None means unknown and prints so.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from reports.amounts import Amount, Words
from reports.ground_data import FieldPlan, Path, Point

Bound = Literal["inside", "whole_class", "none", "unknown"]


@dataclass(frozen=True)
class RosePetal:
    """Winds from one direction: the share of hours and their mean speed."""

    from_deg: float
    share: float
    mean_mps: float


@dataclass(frozen=True)
class SitePlan:
    """What is advised, and the circle of the notice. Rings and points are in the field plan's frame. [m]"""

    pad: Point | None = None
    area: tuple[Path, ...] = ()
    line: Path = ()
    centre: Point | None = None
    radius_m: float | None = None


@dataclass(frozen=True)
class ShareCell:
    """One class in one wind. `altitude_m` is the greatest apogee that stays inside, `bound` what ended the search."""

    inside: float | None
    stays: bool | None  # at the policy's confidence
    altitude_m: float | None = None
    bound: Bound = "unknown"


@dataclass(frozen=True)
class ClassRow:
    """One class of the fleet over the winds."""

    letter: str
    count: int
    rockets: str
    cells: tuple[ShareCell, ...]
    hours_share: float | None = None  # of the hours with light: flyable, and it stays inside
    hours_share_best: float | None = None


@dataclass(frozen=True)
class HourCell:
    """One hour of the day in one month; shares of all its hours."""

    flyable: float
    dark: float
    unknown: float


@dataclass(frozen=True)
class MonthRow:
    """One month; None where the season does not reach."""

    name: str
    hours: tuple[HourCell | None, ...]  # 24


@dataclass(frozen=True)
class CodeRow:
    """What one rule asks of field or pad, beside what is there."""

    letter: str
    rule: str
    asks: str
    limit: Amount | None
    printed: str
    found: Amount | None
    met: bool | None
    found_best: Amount | None = None
    met_best: bool | None = None
    clause: str = ""  # where the rule stands, as a person says it
    source: str = ""
    in_force: bool = True
    note: str = ""


@dataclass(frozen=True)
class Item:
    """One item of a list that an authority asks for; without an answer it prints loud, with room to write."""

    clause: str
    asks: str
    answer: Words | None
    basis: str = ""


@dataclass(frozen=True)
class ItemList:
    title: str
    items: tuple[Item, ...]


@dataclass(frozen=True)
class SizingReport:
    """The whole report."""

    day: str
    date: dt.date
    field: FieldPlan
    site: SitePlan
    answer: tuple[tuple[str, Words], ...]  # a bold word, and its sentence
    fleet: str
    season: Words
    rose: tuple[RosePetal, ...]
    winds_mps: tuple[float, ...]
    winds_share: tuple[float, ...]
    wind_height: Amount  # at which the season's wind was measured
    most_outside: float  # a class with a greater share outside stands at caution
    stop_outside: float  # and above this at stop
    classes: tuple[ClassRow, ...]
    months: tuple[MonthRow, ...]
    hours_words: Words
    timezone: str  # of the hours
    dimensions: tuple[CodeRow, ...]
    distances: tuple[CodeRow, ...]
    sheet_words: Words
    lists: tuple[ItemList, ...]
    sheet_notes: tuple[str, ...]
    notes: tuple[Words, ...]
    engine_version: str
    code_editions: tuple[str, ...]
    fingerprint: str  # of the winds
