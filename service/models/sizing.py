"""A field sized: what a fleet and a season's winds ask of it. Everything here was flown, counted or read off a code.

SI units, in the names; positions are [longitude, latitude], bearings in degrees from true north, heights above the
field unless named `_msl_`. Shares run from 0 to 1. What could not be computed is null, and the words say why.
"""

from __future__ import annotations

from typing import Any, Literal

from pydantic import FiniteFloat

from service.models.assessment import Chance, Mode, Result
from service.models.sizing_sheet import DataSheet


class SizedRocket(Result):
    """One rocket of the fleet, or one that stands for several."""

    name: str
    letter: str
    """Impulse class of all its motors."""
    count: int
    motor: str
    impulse_ns: FiniteFloat
    liftoff_mass_kg: FiniteFloat
    apogee_m: FiniteFloat | None
    """In the middle of the season's wind speeds; null where it could not be flown."""
    category: str | None
    """model or high_power."""
    faa_class: int | None
    basis: str
    """An entry of the day, or what the representative rocket rests on."""
    unknown: str
    """Why it could not be flown in every wind; empty where it could."""


class FleetClass(Result):
    """One impulse class of the fleet."""

    letter: str
    count: int
    """Flights expected."""
    rockets: tuple[SizedRocket, ...]
    tallest: str
    """The rocket that stands for the class in the search for the greatest altitude: the one that lands farthest."""


class LeftOut(Result):
    """A rocket that was not flown, since by estimate it does not fly straight."""

    rocket: str
    letter: str
    count: int
    margin_cal: FiniteFloat
    """Least static margin from the guide's end until thrust ends."""


class HeldBack(Result):
    """A class that stays inside in more wind without one of its rockets."""

    letter: str
    rocket: str
    glides: bool
    wind_mps: FiniteFloat | None
    """The highest wind flown up to which the class stays inside; null where not even in the lowest."""
    wind_without_mps: FiniteFloat
    """The same without that rocket."""


class RoseSector(Result):
    """The winds of the hours with light from one direction."""

    from_deg: FiniteFloat
    share: FiniteFloat
    mean_mps: FiniteFloat


class Season(Result):
    """The winds that the field was sized for."""

    source: str
    first: str
    last: str
    hours: int
    """Hours from the first to the last, those without a row included."""
    known: int
    """Hours with a speed and, unless it was calm, a direction."""
    mean_mps: FiniteFloat | None
    wind_height_m: FiniteFloat
    aloft_height_m: FiniteFloat | None
    """Height of the second wind; null where the season has none."""
    profile: str
    """How the wind was carried upward."""
    rose: tuple[RoseSector, ...]
    fingerprint: str
    """Hash of the file."""


class GreatestAltitude(Result):
    """How high the class may fly and stay inside: the motor's impulse was varied within its class, and flown."""

    apogee_m: FiniteFloat | None
    """Of the nominal flight with the greatest impulse that stays inside; null where none does, or it is not known."""
    impulse_ns: FiniteFloat | None
    bound: Literal["inside", "whole_class", "none", "unknown"]
    """inside: a limit was found; whole_class: the top of the class still stays inside; none: not even its bottom."""
    words: str


class ShareCell(Result):
    """One impulse class in one wind speed, over the season's directions."""

    letter: str
    wind_mps: FiniteFloat
    inside: Chance | None
    """Share of landings inside the boundary from the pads as they stand."""
    inside_best: Chance | None
    """The same from the pad area found."""
    radius_m: FiniteFloat | None
    """From the pad, holds 99 of 100 planned landings."""
    altitude: GreatestAltitude
    unknown: str


class WindBin(Result):
    """One wind speed that was flown."""

    wind_mps: FiniteFloat
    share: FiniteFloat
    """Share of the season's known hours with light whose wind lies nearest to it."""
    highest_class: str | None
    """The highest class of the fleet that stays inside at the policy's confidence, from the pads as they stand."""


class MinimumDimension(Result):
    """What one rule asks of the field for one class."""

    letter: str
    code: str
    rule: str
    what: Literal["site", "outsiders"]
    """site: the smallest width; outsiders: from the pad to whoever has no part in the launch."""
    limit_m: FiniteFloat | None
    """Null where no figure is published."""
    printed: str
    """The figure as the code prints it."""
    found_m: FiniteFloat | None
    """What the field has; to outsiders, from the pad of the class's rocket that has the least room."""
    met: bool | None
    pad: str
    """That pad; empty for the field's width."""
    in_force: bool
    """Whether the code is one of the day's."""
    clause: str
    edition: str
    known: str
    note: str


class PadDistance(Result):
    """A distance that the codes in force ask of the pad of some classes."""

    quantity: str
    words: str
    letters: tuple[str, ...]
    """The classes that are asked for just this."""
    limit_m: FiniteFloat | None
    """Null where no figure is published."""
    printed: str
    rule: str
    clause: str
    rocket: str
    """Of those classes, the one with the least room where the pads stand now."""
    pad: str
    """Its own pad, the nearest where nobody has said which; empty where nothing of the kind is drawn."""
    found_now_m: FiniteFloat | None
    """From that pad; null where nothing of the kind is drawn."""
    met_now: bool | None
    """Null where no figure is published, or where some pads keep it and nobody has said which is flown from."""
    kept_from: tuple[str, ...]
    """The pads that keep it, of those that the rocket may fly from."""
    found_best_m: FiniteFloat | None
    """From the pad found; to the people, from its nearest edge of the flight line found."""
    met_best: bool | None
    """Null where the place found is for none of these classes."""

    @property
    def kept_from_some(self) -> bool:
        """Whether it turns on the pad, and nobody has said which."""
        return self.met_now is None and bool(self.kept_from)


class PeopleShare(Result):
    """Landings among people, season and all, of the class with the most."""

    letter: str | None
    planned: FiniteFloat | None
    ballistic: FiniteFloat | None
    """Should nothing open."""


class FlightLine(Result):
    """Where the people stand."""

    geometry: dict[str, Any]
    """GeoJSON."""
    bearing_deg: FiniteFloat
    """From the pad to its middle."""
    distance_m: FiniteFloat
    """From the pad to its nearest edge."""
    length_m: FiniteFloat
    depth_m: FiniteFloat
    people: PeopleShare
    kept: bool
    """Whether the shares are within the organiser's limits."""
    words: str


class PadAdvice(Result):
    """Where the pads and the flight line should stand."""

    found: bool
    served: tuple[str, ...]
    """The classes whose distances the place keeps; not all of the fleet where the field has no room for that."""
    position: tuple[float, float] | None
    area: dict[str, Any] | None
    """GeoJSON: the ground around it that keeps every distance and is as good, as far as can be told."""
    area_m2: FiniteFloat | None
    inside_now: FiniteFloat | None
    """Share of the season's landings inside, over the fleet, from the pads as they stand."""
    inside_best: FiniteFloat | None
    coarse_best: FiniteFloat | None
    """The best point of the coarse grid alone."""
    people_now: PeopleShare
    line: FlightLine | None
    distances: tuple[PadDistance, ...]
    step_m: FiniteFloat
    """How fine it was searched."""
    grid_m: FiniteFloat
    words: str
    now_words: str


class CeilingAsk(Result):
    """The ceiling to request."""

    rocket: str | None
    letter: str | None
    apogee_upper_m: FiniteFloat | None
    """Upper percentile over the season's dispersed flights of the rocket that flies highest."""
    percentile: FiniteFloat
    margin_share: FiniteFloat
    agl_m: FiniteFloat | None
    msl_m: FiniteFloat | None
    agl_ft: FiniteFloat | None
    """Rounded up to hundreds, as it is asked for."""
    msl_ft: FiniteFloat | None
    present_agl_m: FiniteFloat | None
    """The highest ceiling in the document."""
    words: str


class AffectedMode(Result):
    """How far from the pad the landings of one way of ending reach."""

    mode: Mode
    letter: str
    rocket: str
    radius_m: FiniteFloat


class AffectedGround(Result):
    """The ground that a notice names: a circle around the pads."""

    centre: tuple[float, float]
    """Middle of the pads as they stand."""
    centre_best: tuple[float, float] | None
    """The pad found."""
    radius_m: FiniteFloat | None
    radius_nmi: FiniteFloat | None
    """Rounded up to tenths."""
    share: FiniteFloat
    """Of the landings of each rocket and mode inside the circle."""
    modes: tuple[AffectedMode, ...]
    """The farthest rocket of each mode."""
    words: str


class HourCell(Result):
    """One hour of the day in one month."""

    month: int
    hour: int
    hours: int
    """Hours of the season, those without a reading included."""
    unknown: int
    """In daylight, without a reading."""
    dark: int
    windy: int
    flyable: int
    """In daylight, with a wind up to the limit."""
    fleet_share: FiniteFloat | None
    """Of all these hours, the share in which a flight of the fleet stays inside as well; null where not known."""

    @property
    def share(self) -> float:
        """Share of all hours that are flyable."""
        return self.flyable / self.hours if self.hours else 0.0


class ClassHours(Result):
    """How often one class may fly."""

    letter: str
    hours: FiniteFloat | None
    """Flyable hours in which it stays inside at the policy's confidence."""
    share: FiniteFloat | None
    """Of the hours with light."""
    share_best: FiniteFloat | None
    """The same from the pad area found."""


class FlyableHours(Result):
    """The share of hours that are flyable."""

    limit_mps: FiniteFloat | None
    limit_rule: str | None
    limit_words: str
    cells: tuple[HourCell, ...]
    hours: int
    dark: int
    unknown: int
    windy: int
    flyable: int
    share: FiniteFloat | None
    """Flyable over all hours with light."""
    classes: tuple[ClassHours, ...]
    words: str


class Sizing(Result):
    """A field held against a fleet and a season."""

    day: str
    date: str
    timezone: str
    field: str
    min_dimension_m: FiniteFloat
    fleet_source: str
    fleet: tuple[FleetClass, ...]
    left_out: tuple[LeftOut, ...]
    held_back: tuple[HeldBack, ...]
    season: Season
    winds: tuple[WindBin, ...]
    shares: tuple[ShareCell, ...]
    dimensions: tuple[MinimumDimension, ...]
    ceiling: CeilingAsk
    affected: AffectedGround
    hours: FlyableHours
    pads: PadAdvice
    sheet: DataSheet
    outside_caution: FiniteFloat
    """The policy's confidence: a class stays inside where no greater share lands outside."""
    words: tuple[str, ...]
    """The answer, a sentence each."""
    notes: tuple[str, ...]
    """Every assumption."""
    engine: str
    samples: int
    """Flights a rocket and wind."""
    seed: int
