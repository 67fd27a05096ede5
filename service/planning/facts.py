"""What was measured, by the names the codes use: document, ground, estimate and footprints as one set of facts.

A fact that is not known is None, which the codes turn into `unknown`. Statistics follow the codes' names:
``apogee_high_m`` is the 95th percentile of the dispersed flights, ``exit_speed_low_mps`` the 5th.
"""

from __future__ import annotations

import math
from datetime import datetime, timedelta

import shapely
from shapely.affinity import rotate

from geo.inside import lie_inside
from geo.sun import sun_is_up
from service.codes.quantities import MODES, ZONE_KINDS, with_statistic
from service.flight.errors import FlightError
from service.flight.nominal import NeverLeftGuide, simulate
from service.models.assessment import Chance, Estimate, ModeFootprint, PeopleRisk, Spread
from service.models.ceiling import Ceiling, in_force
from service.models.conditions import SURFACE_HEIGHT_M, Conditions
from service.models.day import LaunchDay
from service.models.designation import read_designation
from service.models.entry import Entry
from service.models.field import Pad
from service.planning.flight_inputs import FlightInputs
from service.planning.ground import GATHERING_KINDS, PEOPLE_KINDS, Ground

Fact = float | str | bool | None
TURN_STEP_DEG = 5.0  # between two tracks that a wind of uncertain direction might take
CLOCK_SLACK_MIN = 2.0  # clocks on a field differ by so much

# what may be measured on site or off a map, where no shape in the document gives it
MEASURABLE = frozenset(
    {"airport_distance_m", "cleared_diameter_m", "notice_lead_h"} | {f"{zone}_distance_m" for zone in ZONE_KINDS}
)
SPREAD_FIGURES = (
    "apogee_m", "exit_speed_mps", "static_margin_cal", "least_static_margin_cal", "descent_speed_mps",
    "drogue_descent_speed_mps", "landing_energy_j", "deploy_speed_mps", "deploy_delay_error_s",
)  # fmt: skip


def _spread(facts: dict[str, Fact], name: str, spread: Spread | None) -> None:
    facts[name] = spread.nominal if spread else None
    facts[with_statistic(name, "low")] = spread.p05 if spread else None
    facts[with_statistic(name, "high")] = spread.p95 if spread else None


def _chance(facts: dict[str, Fact], name: str, chance: Chance | None) -> None:
    facts[name] = chance.estimate if chance else None
    facts[with_statistic(name, "low")] = chance.low if chance else None
    facts[with_statistic(name, "high")] = chance.high if chance else None


def _outside(chance: Chance | None) -> Chance | None:
    if chance is None:
        return None
    return Chance(estimate=1 - chance.estimate, low=1 - chance.high, high=1 - chance.low, method=chance.method)


def rocket_facts(day: LaunchDay, entry: Entry) -> dict[str, Fact]:
    """Facts of the rocket, motor and flyer, from the document."""
    motor, rocket, count = day.motor_by_id(entry.motor), entry.rocket, entry.motor_count
    name = read_designation(motor.designation)
    devices = [item for item in entry.recovery if item.kind != "none"]
    triggers = {item.deploy.at for item in devices if item.deploy is not None}
    altitudes = [item.deploy.altitude_m for item in devices if item.deploy and item.deploy.at == "altitude"]
    ejects = bool(motor.delays.offered_s()) and entry.delay_s is not None
    return {
        "liftoff_mass_kg": rocket.mass_kg + count * motor.loaded_mass_kg,
        "propellant_mass_kg": count * motor.propellant_mass_kg,
        "motor_propellant_mass_kg": motor.propellant_mass_kg,
        "impulse_ns": count * motor.impulse_ns,
        "motor_impulse_ns": motor.impulse_ns,
        "average_thrust_n": count * motor.average_thrust_n,
        "motor_average_thrust_n": motor.average_thrust_n,
        "labelled_thrust_n": name.average_n,
        "labelled_thrust_ratio": motor.average_thrust_n / name.average_n,
        "motor_count": float(count),
        "stage_count": 1.0,
        "sparking": motor.sparking,
        "hybrid": motor.propellant == "hybrid",
        "plugged_without_trigger": bool(devices) and triggers <= {"motor_delay"} and not ejects,
        "recovery_count": float(len(devices)),
        "recovery_events": float(len(devices)),
        "diameter_m": rocket.overall_diameter_m,
        "length_m": rocket.overall_length_m,
        "first_flight": entry.flyer.first_flight,
        "tracked": False,  # nothing in the document says so: the stricter reading
        "flyer_adult": entry.flyer.adult,
        "flyer_supervised": entry.flyer.supervised,
        "flyer_certification": float(max(entry.flyer.certification, entry.flyer.certifying or 0)),
        "main_altitude_m": min(altitudes) if altitudes else None,
    }


def ceiling_in_force(day: LaunchDay, when: datetime) -> Ceiling | None:
    """The lowest ceiling that holds at a moment; None where none does."""
    return in_force(day.ceilings, when, day.field.elevation_m)


def field_facts(day: LaunchDay, ground: Ground, pad: Pad, when: datetime) -> dict[str, Fact]:
    """Facts of the field and the pad."""
    distances = {kind: ground.distance_m(pad, kind) for kind in ZONE_KINDS}
    outsiders = [distances[kind] for kind in ("road", "building") if distances[kind] is not None]
    edge_m = ground.edge_m(pad)
    # beyond the boundary is somebody else's ground; what is drawn inside it may lie nearer
    outsider_m = min([edge_m, *[found for found in outsiders if found is not None]])
    ceiling = ceiling_in_force(day, when)
    ever = [ceiling.height_agl_m(day.field.elevation_m) for ceiling in day.ceilings]
    facts: dict[str, Fact] = {
        "field_min_dimension_m": ground.min_dimension_m,
        **{f"{kind}_distance_m": found for kind, found in distances.items()},
        "outsider_distance_m": outsider_m,
        "edge_distance_m": edge_m,
        "tilt_deg": pad.tilt_deg,
        "tilt_toward_people": _leans_toward_people(ground, pad),
        "ceiling_agl_m": ceiling.height_agl_m(day.field.elevation_m) if ceiling else None,
        "site_ceiling_agl_m": max(ever) if ever else None,
    }
    for name, value in day.field.measured.items():
        # a figure taken on site fills a gap; it never takes the place of what is computed
        if name in MEASURABLE and facts.get(name) is None:
            facts[name] = value
    return facts


def _leans_toward_people(ground: Ground, pad: Pad) -> bool | None:
    """None where a guide leans and nobody has drawn the people: they stand somewhere."""
    if ground.leans_toward(pad, *GATHERING_KINDS):
        return True
    return False if pad.tilt_deg <= 0.0 or ground.of_kind(*PEOPLE_KINDS) else None


def age_min(conditions: Conditions, at: datetime | None) -> float | None:
    """Age of conditions at a moment, None for no moment; a clock that is a little behind theirs makes them new. [min]

    Below zero for a reading timed further ahead than clocks differ: no age that can be, and unknown to the codes.
    """
    if at is None:
        return None
    minutes = (at - conditions.observed_at).total_seconds() / 60.0
    return 0.0 if -CLOCK_SLACK_MIN <= minutes < 0.0 else minutes


def weather_facts(
    day: LaunchDay, conditions: Conditions, pad: Pad, at: datetime | None, flight_time_s: float | None
) -> dict[str, Fact]:
    """Facts of the day's weather, light and age of the conditions.

    Without a moment the conditions have no age, and the light is that of the time they are of.
    """
    # a lowest level far above the ground is no surface wind: then there is none to hold against a code
    lowest = conditions.wind[0]
    surface_mps = lowest.speed_mps if lowest.height_m <= SURFACE_HEIGHT_M else None
    near = [level.gust_mps for level in conditions.wind if level.height_m <= SURFACE_HEIGHT_M]
    gusts = [gust for gust in near if gust is not None]
    along_share = math.sin(math.radians(pad.tilt_deg)) * _least_cosine(
        lowest.from_deg - pad.azimuth_deg, 0.5 * (lowest.arc_deg or 0.0)
    )
    lon, lat = pad.position
    # the light is that of the flight, not of the reading
    flown_at = conditions.observed_at if at is None else max(at, conditions.observed_at)
    ends = flown_at + timedelta(seconds=flight_time_s or 0.0)
    return {
        "surface_wind_mps": surface_mps,
        "gust_mps": gusts[0] if gusts else None,
        "crosswind_mps": None if surface_mps is None else surface_mps * math.sqrt(max(1.0 - along_share**2, 0.0)),
        "cloud_cover": conditions.cloud_cover,
        "cloud_base_m": conditions.cloud_base_m,
        "visibility_m": conditions.visibility_m,
        "conditions_age_min": age_min(conditions, at),
        "conditions_max_age_min": day.policy.conditions_max_age_min,
        "daylight": None if flight_time_s is None else sun_is_up(lon, lat, flown_at) and sun_is_up(lon, lat, ends),
        "simultaneous_count": 1.0,
        "simultaneous_high_power_count": 1.0,
        "outside_caution_limit": day.policy.outside_caution,
        "outside_stop_limit": day.policy.outside_stop,
        "people_caution_limit": day.policy.people_caution,
        "people_stop_limit": day.policy.people_stop,
    }


def _least_cosine(angle_deg: float, off_deg: float) -> float:
    """The least size of the cosine of an angle that may be off by so much either way: a wind most across the guide."""
    if math.floor((angle_deg + off_deg - 90.0) / 180.0) >= math.ceil((angle_deg - off_deg - 90.0) / 180.0):
        return 0.0  # square to it lies within the arc
    return min(abs(math.cos(math.radians(angle_deg + side * off_deg))) for side in (-1.0, 1.0))


def guide_left(inputs: FlightInputs | None, estimate: Estimate | None) -> bool | None:
    """Whether the thrust carries the rocket off its guide: told from its inputs where the flight was given up."""
    if estimate is not None:
        return True
    if inputs is None:
        return None
    try:
        simulate(inputs.setup, history=False)
    except NeverLeftGuide:
        return False
    except FlightError:
        return None
    return True


def estimate_facts(
    inputs: FlightInputs | None,
    estimate: Estimate | None,
    conditions: Conditions,
    guide_thrust_to_weight: float | None,
    nothing_opened: Chance | None = None,
) -> dict[str, Fact]:
    """Facts of the estimated flight; all None where it could not be flown. An unknown shape has no margin to show."""
    facts: dict[str, Fact] = {}
    for name in SPREAD_FIGURES:
        spread = getattr(estimate, name) if estimate else None
        if name == "least_static_margin_cal" and estimate and spread and spread.nominal is None:
            spread = estimate.static_margin_cal  # thrust ended on the guide: the margin there is all there is
        if name.endswith("margin_cal") and (inputs is None or inputs.unknown_shape):
            spread = None
        _spread(facts, name, spread)
    if inputs is not None:
        weight_n = inputs.liftoff_mass_kg * inputs.setup.gravity_mps2
        facts["thrust_to_weight"] = inputs.average_thrust_n / weight_n
    facts["guide_left"] = guide_left(inputs, estimate)
    facts["guide_thrust_to_weight"] = guide_thrust_to_weight
    _chance(facts, "nothing_opened_chance", nothing_opened)
    known_shape = inputs is not None and not inputs.unknown_shape
    facts["damping_ratio"] = estimate.damping_ratio if estimate and known_shape else None
    top = estimate.apogee_m.p95 if estimate else None
    facts["wind_above_extrapolated"] = None if top is None else top > conditions.wind[-1].height_m
    return facts


def ground_facts(
    ground: Ground, footprints: list[ModeFootprint], risk: PeopleRisk | None, centre: tuple[float, float] | None,
    track: list[tuple[float, float]], arc_deg: float = 0.0,
) -> dict[str, Fact]:  # fmt: skip
    """Facts of where it comes down. `centre` is the planned footprint's middle, `track` the ascent, local metres.

    The wind's direction ranges over `arc_deg`; the track is that of its middle. [degrees]
    """
    facts: dict[str, Fact] = {}
    by_mode = {footprint.mode: footprint for footprint in footprints}
    planned = by_mode.get("planned")
    _chance(facts, "outside_chance", _outside(planned.inside) if planned else None)
    _chance(facts, "people_chance", planned.people if planned else None)
    for mode in MODES:
        footprint = by_mode.get(mode)  # type: ignore[call-overload]
        if footprint is None and mode == "no_deployment":
            footprint = planned  # nothing to deploy: as planned is how it comes down
        if footprint is None:
            continue
        _chance(facts, f"outside_chance_{mode}", _outside(footprint.inside))
        _chance(facts, f"people_chance_{mode}", footprint.people)
    for kind in ZONE_KINDS:
        if kind != "people":
            _chance(facts, f"{kind}_chance", _kind_chance(ground, planned, kind))
    # the yardstick goes by the estimate: the upper end for "no landing seen" would caution every flight
    for name in ("collective", "individual"):
        facts[f"{name}_risk"] = getattr(risk, name) if risk else None
        facts[f"{name}_risk_high"] = getattr(risk, f"{name}_high") if risk else None
    gathering = ground.union(*GATHERING_KINDS)
    people = ground.union(*PEOPLE_KINDS)
    # where nobody has drawn the people, what passes over them is not known
    if centre is not None and gathering is not None:
        over = bool(lie_inside(gathering, *centre))
        facts["footprint_over_people"] = over if over or people is not None else None
    if len(track) > 1 and people is not None:
        facts["track_over_people"] = _passes_over(people, shapely.LineString(track), arc_deg)
    return facts


def _passes_over(area: shapely.Geometry, track: shapely.LineString, arc_deg: float) -> bool | None:
    """None where the track misses, and turned with a wind from elsewhere in its arc about the pad it would not."""
    if shapely.intersects(track, area):
        return True
    pad = shapely.get_point(track, 0)
    steps = math.ceil(0.5 * arc_deg / TURN_STEP_DEG)
    turns = (0.5 * arc_deg * step / max(steps, 1) for step in range(-steps, steps + 1))
    return None if any(shapely.intersects(rotate(track, turn, pad), area) for turn in turns) else False


def _kind_chance(ground: Ground, planned: ModeFootprint | None, kind: str) -> Chance | None:
    """Chance of landing in any zone of a kind; upper end by adding the zones' up, lower by the likeliest."""
    if planned is None:
        return None
    found = [planned.zones[zone.name] for zone in ground.of_kind(kind) if zone.name in planned.zones]
    if not found:
        return Chance(estimate=0.0, low=0.0, high=0.0, method="no such zone") if not ground.of_kind(kind) else None
    if len(found) == 1:
        return found[0]
    return Chance(
        estimate=min(1.0, sum(each.estimate for each in found)),
        low=max(each.low for each in found),
        high=min(1.0, sum(each.high for each in found)),
        method="sum of zones",
    )
