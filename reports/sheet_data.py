"""What a range sheet is made of. Whoever prints fills these in; nothing here is computed.

Units are in the names or in the `Amount`. None (or a number that is not finite) means unknown and prints so.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from reports.amounts import Amount, Limit, Mode, Standing, Words
from reports.ground_data import FieldPlan, Footprint

SPREAD_MEANING = (
    "± holds 95 of 100 simulated flights. 95 of 100 stay below an upper bound, and 95 of 100 above a lower bound. "
    "That the model errs too comes on top."
)


@dataclass(frozen=True)
class WindLayer:
    height_m: float
    speed_mps: float
    from_deg: float
    gust_mps: float | None = None
    source: str = ""
    arc_deg: float | None = None  # centred on from_deg: the direction ranges over it; 360 for any direction


@dataclass(frozen=True)
class Conditions:
    """Weather of the assessment. `age_min` is its age when the sheet was made; above `max_age_min` it prints as old."""

    observed_at: dt.datetime
    source: str
    age_min: float | None
    max_age_min: float | None
    temperature_c: float | None = None
    pressure_hpa: float | None = None
    relative_humidity: float | None = None  # 0 to 1
    cloud_cover: float | None = None  # 0 to 1
    cloud_base_m: float | None = None  # above the field
    visibility_m: float | None = None
    wind: tuple[WindLayer, ...] = ()


@dataclass(frozen=True)
class Ceiling:
    """The ceiling both ways. `datum` is the one it was granted in; `note` holds windows or the source."""

    agl_m: float
    msl_m: float
    datum: Literal["agl", "msl"]
    note: Words = ""


@dataclass(frozen=True)
class Event:
    """A moment of a flight: guide end, burnout, apogee, deployment, landing."""

    name: str
    time_s: float
    height_m: float


@dataclass(frozen=True)
class Flight:
    """The nominal flight: height above the field against time, same length each."""

    time_s: Sequence[float]
    height_m: Sequence[float]
    events: tuple[Event, ...] = ()


@dataclass(frozen=True)
class Figure:
    """One figure that decides, beside its limit."""

    name: str
    amount: Amount
    limit: Limit | None = None
    standing: Standing | None = None
    note: str = ""


@dataclass(frozen=True)
class Finding:
    """One check. `says` is our sentence for it, `change` the smallest change that would clear it."""

    rule_id: str
    says: Words
    standing: Standing
    weight: str  # law, code, practice, club
    measured: Amount | str | None
    limit: Limit | str | None
    clause: str
    edition: str
    known: str  # in words: read in a copy, from memory, ...
    change: Words = ""
    short: str = ""  # what was measured, in a few words, for the list of clear findings; empty: `says`
    short_source: str = ""  # "NAR model code 6"; empty: `clause`


@dataclass(frozen=True)
class Tick:
    """Something a person must attest; `by` and `at` once ticked."""

    text: Words
    source: str = ""
    by: str | None = None
    at: dt.datetime | None = None
    short: str = ""  # for an entry's page; `text` then stands at the end of the sheet


@dataclass(frozen=True)
class PadSettings:
    pad: str
    guide: str  # rod, rail, tower ...
    guide_length_m: float | None
    tilt_deg: float | None
    azimuth_deg: float | None
    delay: str  # "5 s, as sold", "9 s, drilled from 14 s", "plugged"
    notes: tuple[Words, ...] = ()
    guided_travel_m: float | None = None  # what of the guide holds the rocket, to where the forward lug leaves


@dataclass(frozen=True)
class ModeRisk:
    """One mode's share of the risk to people; chances 0 to 1 a flight."""

    mode: Mode
    chance: float | None
    basis: str  # "club default", "flight log, 212 flights"
    chance_among_people: float | None
    individual: float | None
    collective: float | None


@dataclass(frozen=True)
class ErrorSource:
    name: str
    spread: Words
    basis: str


@dataclass(frozen=True)
class Ruling:
    """The RSO's word, where it is already recorded; else the box prints empty, to be filled by hand."""

    word: Literal["approved", "held", "refused", "lapsed"]
    reason: str
    by: str
    role: str
    at: dt.datetime
    initials: Mapping[str, str] = field(default_factory=dict)  # on each finding at caution, by its rule


@dataclass(frozen=True)
class Signature:
    """Set only for a sheet that carries a digital signature; None prints UNSIGNED across every page."""

    by: str
    role: str
    at: dt.datetime
    reason: str = ""


@dataclass(frozen=True)
class EntryPage:
    entry_id: str
    rocket: str
    flyer: str
    motor: str
    pad: str
    standing: Standing
    decides: Words  # what decides the standing
    apogee: Amount
    assessment_id: str
    footprints: tuple[Footprint, ...] = ()  # one a mode, `planned` among them
    answer: Words = ""  # empty: made from the planned footprint
    figures: tuple[Figure, ...] = ()
    findings: tuple[Finding, ...] = ()
    flight: Flight | None = None
    why_no_flight: str = ""
    unknowns: tuple[Words, ...] = ()
    pad_settings: PadSettings | None = None
    risks: tuple[ModeRisk, ...] = ()
    risk_sums: str = ""  # all ways of ending together, beside the yardstick
    ticks: tuple[Tick, ...] = ()
    cautions: tuple[Words, ...] = ()  # with a place for initials while the box is empty
    ruling: Ruling | None = None
    decides_short: Words = ""  # for the table on the first page; empty: `decides`
    unsettled: Words = ""  # why a signature does not settle this entry: no ruling, a lapsed one
    address: str = ""  # what the QR code beside the title leads to; empty or over 300 bytes: no code

    def footprint(self, mode: Mode) -> Footprint | None:
        return next((footprint for footprint in self.footprints if footprint.mode == mode), None)


@dataclass(frozen=True)
class RangeSheet:
    day: str
    date: dt.date
    timezone: str
    field: FieldPlan
    elevation_m: float
    conditions: Conditions
    ceiling: Ceiling | None
    entries: tuple[EntryPage, ...]
    document_hash: str
    engine_version: str
    code_editions: tuple[str, ...]
    made_at: dt.datetime  # printed, and the date inside the file: same input, same bytes
    ticks: tuple[Tick, ...] = ()  # the day's checklist
    beyond_ticks: Words = ""  # what this day asks beyond what an item of it says
    cautions: tuple[Words, ...] = ()
    local_rules: tuple[Words, ...] = ()  # those that are looser print with their reason
    error_sources: tuple[ErrorSource, ...] = ()
    risk_assumptions: tuple[Words, ...] = ()
    corrections: tuple[tuple[str, str], ...] = ()  # learnt from flights: for whom, and what it rests on
    spread_meaning: str = SPREAD_MEANING
    source_meaning: str = ""  # what the words behind each source mean; stands once, above the list of sources
    code_titles: tuple[str, ...] = ()  # for the foot of each page; empty: `code_editions`
    unsettled: tuple[Words, ...] = ()  # what the signature does not settle; prints loud on the first page
    signature: Signature | None = None
