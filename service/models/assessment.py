"""An assessment: one entry in one set of conditions, flown, dispersed, compared and checked.

Everything here is computed; nothing is asked. A number that could not be computed is null, and `unknowns` says why.
Positions are [longitude, latitude]; heights are above the field; angles are in degrees from true north.
"""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, FiniteFloat

from service.models.correction import Correction
from service.models.finding import ChecklistItem, Finding, Standing

Mode = Literal["planned", "no_deployment", "drogue_only", "main_at_apogee", "one_unlit"]
MODES: tuple[Mode, ...] = ("planned", "no_deployment", "drogue_only", "main_at_apogee", "one_unlit")


class Result(BaseModel):
    """A computed value: never changes, knows no other fields."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Spread(Result):
    """One figure: the nominal flight's, and what the dispersed flights say."""

    nominal: FiniteFloat | None
    """The nominal flight's value; null where it does not exist or is not known."""
    p025: FiniteFloat | None = None
    """2.5 % of the dispersed flights lie below."""
    p05: FiniteFloat | None = None
    """5 % lie below."""
    p95: FiniteFloat | None = None
    """5 % lie above."""
    p975: FiniteFloat | None = None
    """2.5 % lie above."""

    @property
    def half_width(self) -> float | None:
        """Half of what holds 95 % of the dispersed flights."""
        return None if self.p025 is None or self.p975 is None else 0.5 * (self.p975 - self.p025)


class Estimate(Result):
    """The flight's figures. SI units; angles in degrees."""

    liftoff_mass_kg: FiniteFloat
    impulse_ns: FiniteFloat
    impulse_class: str
    thrust_to_weight: FiniteFloat
    """Average thrust over weight at lift-off. [-]"""
    exit_speed_mps: Spread
    """Speed where the guide ends."""
    exit_incidence_deg: Spread
    """Incidence to the wind there."""
    static_margin_cal: Spread
    """Static margin there, in body diameters."""
    least_static_margin_cal: Spread
    """Least static margin while thrust lasts."""
    apogee_m: Spread
    """Height above the field that the flight coasts to when nothing opens early."""
    apogee_s: Spread
    """Time from ignition to there."""
    greatest_speed_mps: Spread
    greatest_mach: Spread
    greatest_acceleration_mps2: Spread
    burnout_s: FiniteFloat | None
    best_delay_s: Spread
    """From burnout to apogee: the delay that opens at the top."""
    deploy_s: Spread
    """Time from ignition to the first opening."""
    deploy_height_m: Spread
    deploy_speed_mps: Spread
    """Airspeed at the first opening."""
    deploy_delay_error_s: Spread
    """Time between apogee and the first opening, early or late."""
    main_open_speed_mps: Spread
    """Airspeed where the second device opens; null without one."""
    drogue_descent_speed_mps: Spread
    """Fall under the first of two devices; null without a second."""
    descent_speed_mps: Spread
    """Speed of fall at landing."""
    landing_energy_j: Spread
    """Kinetic energy of the whole rocket at landing."""
    flight_time_s: Spread
    """From ignition to landing."""
    damping_ratio: FiniteFloat | None
    """Damping ratio of the pitch oscillation where the guide ends. [-]"""
    guided_travel_m: FiniteFloat | None = None
    """How far the guide holds this rocket: to where its forward lug leaves. [m]"""


class Chance(Result):
    """A chance with its two-sided 95 % interval, which covers sampling error only."""

    estimate: FiniteFloat
    low: FiniteFloat
    high: FiniteFloat
    method: str


class NearestEdge(Result):
    """The shortest way between the 99 % contour and the boundary; negative where the contour reaches outside."""

    distance_m: FiniteFloat
    bearing_deg: FiniteFloat
    contour_point: tuple[float, float]
    boundary_point: tuple[float, float]


class FootprintContour(Result):
    """The smallest ground that holds this share of the landings (a GeoJSON MultiPolygon)."""

    share: FiniteFloat
    geometry: dict[str, Any]
    area_m2: FiniteFloat


class ModeFootprint(Result):
    """Where one mode may come down."""

    mode: Mode
    chance: FiniteFloat | None
    """How often a flight ends this way: the club's own figure. Null for a mode that has none."""
    landing: tuple[float, float] | None
    """Landing point of the nominal flight."""
    inside: Chance | None
    """Chance of landing inside the boundary, given this mode."""
    zones: dict[str, Chance]
    """Chance of landing in each zone, by its name."""
    people: Chance | None
    """Chance of landing in any zone of people; null when not known."""
    contours: tuple[FootprintContour, ...]
    nearest_edge: NearestEdge | None
    farthest_m: FiniteFloat | None
    farthest_bearing_deg: FiniteFloat | None
    samples: int
    descent_speed_mps: FiniteFloat | None
    unknown: str = ""
    """Why any of this is null."""


class RiskShare(Result):
    """One mode's part in the risk to people."""

    mode: Mode
    mode_chance: FiniteFloat
    people_chance: FiniteFloat
    individual: FiniteFloat
    collective: FiniteFloat


class PeopleRisk(Result):
    """Expected casualties of one launch, against the yardstick of 14 CFR 450.101. It may caution, never clear."""

    collective: FiniteFloat
    collective_high: FiniteFloat
    collective_limit: FiniteFloat
    individual: FiniteFloat
    individual_high: FiniteFloat
    individual_limit: FiniteFloat
    shares: tuple[RiskShare, ...]
    assumptions: tuple[str, ...]


class FlightEvent(Result):
    """A moment of the nominal flight."""

    name: str
    time_s: FiniteFloat
    height_m: FiniteFloat
    east_m: FiniteFloat
    north_m: FiniteFloat


class FlightTrack(Result):
    """The nominal flight, thinned for drawing: metres from the pad."""

    time_s: tuple[FiniteFloat, ...]
    height_m: tuple[FiniteFloat, ...]
    east_m: tuple[FiniteFloat, ...]
    north_m: tuple[FiniteFloat, ...]
    events: tuple[FlightEvent, ...]


class Assessment(Result):
    """One entry in one set of conditions."""

    id: str = Field(pattern=r"^[0-9a-f]{32}$")
    """Hash of everything this rests on, the engine's version included."""
    engine: str
    """Version of the engine and of the flight model's source."""
    entry: str
    rocket: str
    flyer: str
    motor: str
    pad: str
    conditions_at: str
    """Time of the conditions. [RFC 3339]"""
    standing: Standing
    """The worst of the findings."""
    decides: str
    """What decides the standing, in one sentence."""
    answer: str
    """Where it comes down, in one sentence."""
    estimate: Estimate | None
    footprints: tuple[ModeFootprint, ...]
    findings: tuple[Finding, ...]
    checklist: tuple[ChecklistItem, ...]
    unknowns: tuple[str, ...]
    cautions: tuple[str, ...]
    risk: PeopleRisk | None
    track: FlightTrack | None
    samples: int
    seed: int
    spreads: dict[str, FiniteFloat]
    correction: Correction | None = None
    """The correction of the drag it was flown with; null for none."""

    def footprint(self, mode: Mode) -> ModeFootprint | None:
        """The footprint of one mode, if it has been computed."""
        return next((each for each in self.footprints if each.mode == mode), None)


class DayAssessment(Result):
    """All entries of a launch day in one set of conditions: what `assessment.json` holds."""

    day: str
    date: str
    document: str = Field(pattern=r"^[0-9a-f]{64}$")
    """SHA-256 of the launch-day document as it was read."""
    engine: str
    conditions_at: str
    standings: dict[Standing, int]
    """How many entries stand at each."""
    assessments: tuple[Assessment, ...]
    wind: str = ""
    """One sentence where the direction of the wind ranges, and some figures are for one direction only."""
