"""What the API takes and answers on the day itself: flights, the order of flight, weather texts, tables, progress."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Literal

from pydantic import Field as Described

from service.models.base import Model
from service.models.entry import Entry
from service.models.finding import Finding
from service.models.flight_log import Flight, Stay
from service.models.motor import Motor
from service.models.types import Day, Id, Instant, Name
from service.web.api.shapes import ConditionsTold, Told

Reading = Annotated[float, Described(ge=-1e6, le=1e6)]


class FlightTold(Told):
    """A flight of the log, with the entry's revision and the assessment that stood."""

    number: int
    revision: int
    at: str
    by: str
    entry_revision: int
    assessment: str | None
    flight: Flight


class FlightVersion(Told):
    """What a flight of the log read at one revision."""

    revision: int
    at: str
    by: str
    why: str
    flight: Flight


Turn = Annotated[tuple[Id, ...], Described(max_length=100)]


class LineUpAsked(Model):
    """The order of flight: turns of entries, the next one first, and those that stand on a pad.

    `ready` are those that misfired and have been made ready for another try.
    """

    turns: Annotated[tuple[Turn, ...], Described(max_length=1000)]
    on_pad: Annotated[tuple[Id, ...], Described(max_length=1000)] = ()
    ready: Annotated[tuple[Id, ...], Described(max_length=1000)] = ()


class SalvoTold(Told):
    """What being launched with others adds or changes for an entry."""

    entry: str
    findings: list[Finding]


class TurnTold(Told):
    """What flies at once."""

    entries: list[str]
    salvo: list[SalvoTold]


class StandsTold(Told):
    """What stands on a pad. After a try that left it there: what happened, when, and until when nobody approaches."""

    entry: str
    pad: str
    stayed: Stay | None
    tried_at: datetime | None
    nobody_before: datetime | None


class LineUpTold(Told):
    """The order of flight, and what stands on the pads, whether it is in line or not."""

    revision: int
    turns: list[TurnTold]
    on_pad: list[str]
    stands: list[StandsTold]


class FlownAsked(Model):
    """Entries that left their pads, or were meant to."""

    entries: Annotated[tuple[Id, ...], Described(min_length=1, max_length=100)]
    happened: Literal["planned", "misfire", "hung_up"] = "planned"


class FlownTold(Told):
    """The numbers of the flights in the log, and the revision of the order that is left."""

    flights: list[int]
    revision: int


class PadAsked(Model):
    """A pad, by its name."""

    pad: Name


class ReadingAsked(Model):
    """A reading by hand: figures with the unit that the meter shows. Left out is what was not measured."""

    observed_at: Instant | None = None
    """Now, where it is left out."""
    source: Name | None = None
    wind_speed: Reading
    wind_gust: Reading | None = None
    wind_unit: Literal["m/s", "kt", "mph", "km/h"] | None = None
    wind_from_deg: Reading | None = None
    wind_arc_deg: Reading | None = None
    """The arc that the direction turned over about that bearing; 360 for a wind from anywhere."""
    wind_height: Reading | None = None
    temperature: Reading | None = None
    dew_point: Reading | None = None
    temperature_unit: Literal["C", "F"] | None = None
    humidity_percent: Reading | None = None
    pressure: Reading | None = None
    pressure_unit: Literal["hPa", "kPa", "inHg", "mmHg"] | None = None
    pressure_is: Literal["station", "altimeter"] | None = None
    cloud_oktas: Reading | None = None
    cloud_base: Reading | None = None
    height_unit: Literal["m", "km", "ft", "mi"] | None = None
    visibility: Reading | None = None
    visibility_unit: Literal["m", "km", "ft", "mi"] | None = None
    sky_as_before: bool = False
    """Whether somebody has looked at cloud and visibility and found them as before; what is given of either stands."""


class AgainAsked(Model):
    """The conditions that are to be in force again, by their revision in the history."""

    revision: Annotated[int, Described(ge=1, le=1_000_000_000)]


class MetarAsked(Model):
    """A METAR as text, and how far its station is."""

    metar: Annotated[str, Described(min_length=1, max_length=2000)]
    distance_km: Reading | None = None
    station_elevation_m: Reading | None = None
    variable_from_deg: Reading | None = None
    """Where the one nominal flight in a variable wind is to be reckoned from."""


class FetchAsked(Model):
    """The airfield whose last report is asked for."""

    station: Annotated[str, Described(pattern="^[A-Za-z][A-Za-z0-9]{3}$")]


class FetchTold(Told):
    """A report as it was fetched, for a person to read and enter."""

    metar: str


class StationAsked(Model):
    """A station of a bulletin, and how far it is."""

    station: Annotated[str, Described(pattern="^[A-Za-z0-9]{3,4}$")]
    distance_km: Reading


class AloftAsked(Model):
    """A winds-aloft bulletin as text, and the nearest stations of it."""

    bulletin: Annotated[str, Described(min_length=1, max_length=60_000)]
    stations: Annotated[tuple[StationAsked, ...], Described(min_length=1, max_length=4)]


class HourAsked(Model):
    """An hour of the forecast, by its time."""

    hour: Instant


class CsvAsked(Model):
    """A table as CSV text."""

    csv: Annotated[str, Described(max_length=4_000_000)]


class MotorsAsked(CsvAsked):
    """A table of motors, and the revisions of those in it that are on offer already."""

    based_on: Annotated[dict[Id, Annotated[int, Described(ge=0)]], Described(max_length=2000)] = {}


class ConditionsMade(ConditionsTold):
    """New conditions, and what was kept of the old ones, in sentences."""

    notes: list[str]


class BoundaryAsked(Model):
    """A boundary as GeoJSON, as KML, or as coordinates, a line each: latitude, longitude."""

    text: Annotated[str, Described(min_length=1, max_length=2_000_000)]


class MoveAsked(Model):
    """Another date for the day."""

    date: Day


class ReplacedTold(Told):
    """What a document that took the day's place has changed. `links` counts the private links that ended, by entry."""

    added: list[str]
    changed: list[str]
    withdrawn: list[str]
    links: dict[str, int]
    motors_added: list[str]
    motors_changed: list[str]
    motors_removed: list[str]
    lapsed: list[str]
    """Entries whose ruling no longer stands, unless assessing them again finds the same."""
    without_stock: list[str]
    """Entries that were to hold motors of the stock, and none were left."""


class Brought(Model):
    """An entry that flies a motor of the flyer's own. The ids in both are replaced."""

    entry: Entry
    motor: Motor


class ProgressTold(Told):
    """How many entries have a current assessment. [count]"""

    total: int
    done: int
    pending: int
    failed: list[str]


class MovedTold(Told):
    """How one entry's assessment changed; `before` is null for its first."""

    entry: str
    before: str | None
    before_standing: str | None
    after: str
    after_standing: str


class ChangeTold(Told):
    """One pass over the day. `finished_at` is null while it runs."""

    number: int
    started_at: str
    finished_at: str | None
    lapsed: list[str]
    moved: list[MovedTold]
