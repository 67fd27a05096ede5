"""Facts of an ordinary model rocket and an ordinary high-power rocket, every one of them within its limits."""

from service.codes.evaluate import BoundRule, evaluate
from service.codes.rulebook import rulebook

ALL_CODES = ["us-model", "us-high-power", "us-airspace", "practice", "canada"]

FOOT_M = 0.3048
MPH_MPS = 0.44704

GROUND = {
    f"{name}{end}": value
    for name, value in {"outside_chance": 0.001, "people_chance": 0.0001, "people_chance_no_deployment": 0.0001,
                        "people_chance_drogue_only": 0.0001, "people_chance_one_unlit": 0.0001}.items()
    for end in ("", "_low", "_high")
}

MODEL = {
    **GROUND,
    "liftoff_mass_kg": 0.2, "propellant_mass_kg": 0.024, "impulse_ns": 18.0, "motor_impulse_ns": 18.0,
    "motor_average_thrust_n": 9.0, "motor_count": 1, "stage_count": 1, "sparking": False, "hybrid": False,
    "labelled_thrust_ratio": 1.0, "plugged_without_trigger": False, "recovery_count": 1, "recovery_events": 1,
    "diameter_m": 0.041, "length_m": 0.86, "first_flight": False, "tracked": False,
    "flyer_adult": True, "flyer_supervised": False, "flyer_certification": 0,
    "thrust_to_weight": 6.0, "apogee_m": 250.0, "apogee_high_m": 270.0, "apogee_low_m": 230.0,
    "guide_left": True,
    "exit_speed_mps": 16.0, "exit_speed_low_mps": 15.0, "static_margin_cal": 1.8, "static_margin_low_cal": 1.5,
    "least_static_margin_cal": 1.7, "least_static_margin_low_cal": 1.4, "descent_speed_mps": 5.0,
    "landing_energy_j": 2.5, "deploy_speed_mps": 8.0, "deploy_speed_high_mps": 15.0, "deploy_delay_error_s": 0.5,
    "deploy_delay_error_high_s": 1.5, "wind_above_extrapolated": False, "collective_risk": 1e-6,
    "collective_risk_high": 3e-6, "individual_risk": 1e-8, "individual_risk_high": 3e-8,
    "footprint_over_people": False, "track_over_people": False,
    "outside_caution_limit": 0.01, "outside_stop_limit": 0.05, "people_caution_limit": 0.001,
    "people_stop_limit": 0.01, "field_min_dimension_m": 600.0, "people_distance_m": 40.0,
    "outsider_distance_m": 300.0, "edge_distance_m": 200.0, "tilt_deg": 5.0, "tilt_toward_people": False,
    "ceiling_agl_m": 1000.0, "site_ceiling_agl_m": 1000.0, "surface_wind_mps": 3.0, "gust_mps": 4.0,
    "crosswind_mps": 3.0, "cloud_cover": 0.3, "cloud_base_m": 1800.0, "visibility_m": 16000.0,
    "conditions_age_min": 5.0, "conditions_max_age_min": 30.0, "daylight": True, "simultaneous_count": 1,
    "simultaneous_high_power_count": 1, "simultaneous_impulse_ns": 18.0, "simultaneous_apogee_m": 250.0,
}

HIGH_POWER = {
    **MODEL,
    "liftoff_mass_kg": 4.0, "propellant_mass_kg": 0.35, "impulse_ns": 600.0, "motor_impulse_ns": 600.0,
    "motor_average_thrust_n": 300.0, "diameter_m": 0.1, "length_m": 1.8, "flyer_certification": 1,
    "apogee_m": 700.0, "apogee_high_m": 750.0, "apogee_low_m": 650.0, "landing_energy_j": 60.0,
    "thrust_to_weight": 7.6, "outsider_distance_m": 900.0, "people_distance_m": 100.0, "edge_distance_m": 250.0,
    "simultaneous_impulse_ns": 600.0, "simultaneous_apogee_m": 700.0, "building_distance_m": 800.0,
    "road_distance_m": 800.0, "notice_lead_h": 48.0, "airport_distance_m": 20_000.0, "cleared_diameter_m": 20.0,
    "track_over_people": False, "flyer_adult": True,
}


def bound(rule_id: str, codes: list[str] | None = None) -> BoundRule:
    """One rule in its place among the codes."""
    return next(each for each in rulebook(codes or ALL_CODES).rules if each.rule.id == rule_id)


def finding(rule_id: str, facts: dict, attestation=None):
    """The finding of one rule on facts that already hold `faa_class` and `category` where they matter."""
    return evaluate(bound(rule_id), facts, attestation)


def standing(rule_id: str, facts: dict) -> str | None:
    """The standing of one rule, None where it does not apply."""
    found = finding(rule_id, facts)
    return found.standing if found else None
