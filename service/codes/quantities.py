"""Every quantity that a rule may name: what it means, in which unit, and where its value comes from.

Facts are handed to the evaluator under these names. A quantity with a spread has three of them: `apogee_m` for
the nominal value, `apogee_high_m` for the upper 95th percentile and `apogee_low_m` for the lower 5th.
"""

from dataclasses import dataclass
from typing import Literal

from service.codes.units import nearest_name

Origin = Literal["estimate", "footprint", "document", "measured", "attested", "derived"]
ZONE_KINDS = ("people", "parking", "building", "road", "power_line", "water", "trees", "keep_out")
MODES = ("no_deployment", "drogue_only", "main_at_apogee", "one_unlit")
UNIT_ENDINGS = ("_mps", "_kg", "_ns", "_m", "_n", "_j", "_s", "_h", "_min", "_deg", "_cal")


@dataclass(frozen=True)
class Quantity:
    """One name. `unit` is None for yes/no and for words; `values` lists the words allowed, if any.

    A number below `least` is none that can be, and counts as not known; `below` says what it means.
    """

    name: str
    meaning: str
    unit: str | None
    origin: Origin
    spread: bool = False
    values: tuple[str, ...] = ()
    least: float | None = None
    below: str = ""

    @property
    def is_number(self) -> bool:
        """True for a quantity that can be held against a number."""
        return self.unit is not None


def with_statistic(name: str, statistic: str) -> str:
    """The name under which one statistic of a quantity is handed over.

    >>> with_statistic("apogee_m", "high"), with_statistic("outside_chance", "low")
    ('apogee_high_m', 'outside_chance_low')
    """
    if statistic == "nominal":
        return name
    ending = next((ending for ending in UNIT_ENDINGS if name.endswith(ending)), "")
    stem = name.removesuffix(ending) if ending else name
    return f"{stem}_{statistic}{ending}"


_ROCKET = [
    Quantity("liftoff_mass_kg", "mass at lift-off, motors and propellant included", "kg", "document"),
    Quantity("propellant_mass_kg", "propellant of all installed motors", "kg", "document"),
    Quantity("motor_propellant_mass_kg", "propellant of the largest single motor", "kg", "document"),
    Quantity("impulse_ns", "total impulse of all installed motors, all stages", "N*s", "document"),
    Quantity("motor_impulse_ns", "total impulse of the largest single motor", "N*s", "document"),
    Quantity("average_thrust_n", "average thrust of the motors that light at launch, added up", "N", "document"),
    Quantity("motor_average_thrust_n", "average thrust of the strongest single motor", "N", "document"),
    Quantity("labelled_thrust_n", "average thrust in the motor's designation", "N", "document"),
    Quantity("labelled_thrust_ratio", "average thrust by the curve over that in the designation", "1", "document"),
    Quantity("motor_count", "motors lit at launch", "1", "document"),
    Quantity("stage_count", "stages, 1 for a rocket that is not staged", "1", "document"),
    Quantity("sparking", "a motor that throws sparks", None, "document"),
    Quantity("hybrid", "a hybrid motor", None, "document"),
    Quantity("substantial_metal", "metal parts that are more than light fittings", None, "document"),
    Quantity("plugged_without_trigger", "no ejection charge and nothing else that opens a device", None, "document"),
    Quantity("recovery_count", "recovery devices that slow the descent", "1", "document"),
    Quantity("recovery_events", "separate recovery events", "1", "document"),
    Quantity("diameter_m", "greatest body diameter", "m", "document"),
    Quantity("length_m", "length of the rocket", "m", "document"),
    Quantity("tracked", "carries a tracker or tracking smoke; no unless said", None, "document"),
]
_FLYER = [
    Quantity("flyer_adult", "the flyer is 18 or older", None, "document"),
    Quantity("first_flight", "it is the flyer's first flight", None, "document"),
    Quantity("flyer_supervised", "the flyer is under an adult's supervision", None, "document"),
    Quantity("flyer_certification", "the flyer's high-power certification level, 0 for none", "1", "document"),
]
_FLIGHT = [
    Quantity("thrust_to_weight", "average thrust over weight at lift-off", "1", "estimate"),
    Quantity("guide_left", "the thrust carries the rocket off its guide", None, "estimate"),
    Quantity("guide_thrust_to_weight", "mean thrust on the guide over weight at lift-off", "1", "estimate"),
    Quantity("apogee_m", "apogee above the field", "m", "estimate", spread=True),
    Quantity("exit_speed_mps", "speed where the guide ends", "m/s", "estimate", spread=True),
    Quantity("static_margin_cal", "static margin where the guide ends", "cal", "estimate", spread=True),
    Quantity("least_static_margin_cal", "least static margin while thrust lasts", "cal", "estimate", spread=True),
    Quantity("damping_ratio", "damping ratio of the pitch oscillation where the guide ends", "1", "estimate"),
    Quantity("descent_speed_mps", "speed at landing", "m/s", "estimate", spread=True),
    Quantity("drogue_descent_speed_mps", "descent speed under the first of two devices", "m/s", "estimate",
             spread=True),
    Quantity("landing_energy_j", "kinetic energy of the heaviest section at landing", "J", "estimate", spread=True),
    Quantity("deploy_speed_mps", "airspeed when the first device opens", "m/s", "estimate", spread=True),
    Quantity("deploy_delay_error_s", "time between apogee and the first device, early or late", "s", "estimate",
             spread=True),
    Quantity("nothing_opened_chance", "share of flights in which nothing has opened before the ground", "1", "estimate",
             spread=True),
    Quantity("main_altitude_m", "height at which the main opens", "m", "document"),
    Quantity("wind_above_extrapolated", "the flight goes above the highest wind known", None, "estimate"),
]
_GROUND = [
    Quantity("outside_chance", "chance of landing outside the boundary, planned mode", "1", "footprint", spread=True),
    Quantity("people_chance", "chance of landing in a people zone, planned mode", "1", "footprint", spread=True),
    *(Quantity(f"outside_chance_{mode}", f"chance of landing outside the boundary, mode {mode}", "1", "footprint",
               spread=True) for mode in MODES),
    *(Quantity(f"people_chance_{mode}", f"chance of landing in a people zone, mode {mode}", "1", "footprint",
               spread=True) for mode in MODES),
    *(Quantity(f"{zone}_chance", f"chance of landing in a zone of kind {zone}, planned mode", "1", "footprint",
               spread=True) for zone in ZONE_KINDS if zone != "people"),
    Quantity("collective_risk", "expected casualties of the flight, all modes", "1", "footprint", spread=True),
    Quantity("individual_risk", "chance that the most exposed person is struck, all modes", "1", "footprint",
             spread=True),
    Quantity("footprint_over_people", "the centre of the planned footprint lies in a people or parking zone", None,
             "footprint"),
    Quantity("track_over_people", "the planned ascent passes over a people zone", None, "footprint"),
    Quantity("outside_caution_limit", "the organiser's chance of landing outside that cautions", "1", "document"),
    Quantity("outside_stop_limit", "the organiser's chance of landing outside that stops", "1", "document"),
    Quantity("people_caution_limit", "the organiser's chance of landing among people that cautions", "1", "document"),
    Quantity("people_stop_limit", "the organiser's chance of landing among people that stops", "1", "document"),
]
_FIELD = [
    Quantity("field_min_dimension_m", "smallest width of the field", "m", "document"),
    *(Quantity(f"{zone}_distance_m", f"pad to the nearest zone of kind {zone}", "m", "document")
      for zone in ZONE_KINDS),
    Quantity("outsider_distance_m", "pad to the nearest person or property with no part in the launch", "m",
             "document"),
    Quantity("edge_distance_m", "pad to the nearest point of the boundary", "m", "document"),
    Quantity("airport_distance_m", "pad to the nearest airport boundary", "m", "measured"),
    Quantity("cleared_diameter_m", "diameter cleared of dry grass around the pad", "m", "measured"),
    Quantity("tilt_deg", "launcher angle from vertical", "deg", "document"),
    Quantity("tilt_toward_people", "the launcher leans toward a people or parking zone", None, "document"),
    Quantity("ceiling_agl_m", "ceiling in force at the launch time, above the field", "m", "document"),
    Quantity("site_ceiling_agl_m", "highest ceiling the site ever permits, above the field", "m", "document"),
]
_DAY = [
    Quantity("surface_wind_mps", "surface wind", "m/s", "measured"),
    Quantity("gust_mps", "surface gust", "m/s", "measured"),
    Quantity("crosswind_mps", "surface wind across the guide", "m/s", "measured"),
    Quantity("cloud_cover", "part of the sky covered by cloud", "1", "measured"),
    Quantity("cloud_base_m", "lowest cloud base above the field", "m", "measured"),
    Quantity("visibility_m", "horizontal visibility", "m", "measured"),
    Quantity("conditions_age_min", "age of the conditions", "min", "derived", least=0.0,
             below="they are timed ahead of the moment that they are held against"),
    Quantity("conditions_max_age_min", "the organiser's greatest age of conditions", "min", "document"),
    Quantity("daylight", "flown between sunrise and sunset", None, "derived"),
    Quantity("notice_lead_h", "time between the notice and the start of the launch", "h", "document"),
    Quantity("simultaneous_count", "rockets launched at once, this one included; 1 unless said", "1", "document"),
    Quantity("simultaneous_high_power_count", "high-power rockets launched at once; 1 unless said", "1", "document"),
    Quantity("simultaneous_impulse_ns", "impulse of all rockets launched at once", "N*s", "document"),
    Quantity("simultaneous_apogee_m", "highest apogee of the rockets launched at once", "m", "estimate"),
]
_DERIVED = [
    Quantity("faa_class", "class of 14 CFR 101.22: 1, 2 or 3", "1", "derived"),
    Quantity("category", "model rocket or high-power rocket", None, "derived", values=("model", "high_power")),
    Quantity("model_covered", "a code for model rockets is in force", None, "derived"),
    Quantity("high_power_covered", "a code for high-power rockets is in force", None, "derived"),
]

QUANTITIES: dict[str, Quantity] = {}
for _quantity in [*_ROCKET, *_FLYER, *_FLIGHT, *_GROUND, *_FIELD, *_DAY, *_DERIVED]:
    for _statistic in ("nominal", "high", "low") if _quantity.spread else ("nominal",):
        _name = with_statistic(_quantity.name, _statistic)
        _bound = {"nominal": "", "high": ", upper 95 %", "low": ", lower 5 %"}[_statistic]
        QUANTITIES[_name] = Quantity(_name, _quantity.meaning + _bound, _quantity.unit, _quantity.origin,
                                     _quantity.spread and _statistic == "nominal", _quantity.values,
                                     _quantity.least, _quantity.below)


def unknown_name(name: str) -> str:
    """A sentence for a name that is not in the registry."""
    return f"{name!r} is not a known quantity{nearest_name(name, tuple(QUANTITIES))}"
