"""Ways to spoil a launch day: what is done to it, where the fault then stands, and words of what is said about it."""

from __future__ import annotations

import math
from copy import deepcopy
from typing import Any

from tests.builders import HALF_DEG, LAT_DEG, LON_DEG, square
from tests.planning.quick import Change, drop, put


def again(path: str) -> Change:
    """Append a copy of the first item of a list."""

    def change(document: dict[str, Any]) -> None:
        node: Any = document
        for step in path.split("/")[1:]:
            node = node[step]
        node.append(deepcopy(node[0]))

    return change


def swapped(document: dict[str, Any]) -> None:
    """Write every position of the boundary and the pads as [latitude, longitude], at a place where both exist."""
    ring = document["field"]["boundary"]["coordinates"][0]
    document["field"]["boundary"]["coordinates"][0] = [[lat, lon] for lon, lat in ring]
    for pad in document["field"]["pads"]:
        pad["position"].reverse()


def polygon(*rings: list[list[float]]) -> dict[str, Any]:
    return {"type": "Polygon", "coordinates": list(rings)}


BOW_TIE = [[-63.212, -32.112], [-63.188, -32.088], [-63.188, -32.112], [-63.212, -32.088], [-63.212, -32.112]]
FLAT = [[-63.212, -32.1], [-63.2, -32.1], [-63.19, -32.1], [-63.212, -32.1]]

NOSE = "/entries/0/rocket/airframe/nose"
FIN = "/entries/0/rocket/airframe/fins/0"
TRANSITION = "/entries/1/rocket/airframe/transitions/0"
ROCKET = "/entries/0/rocket"
MAIN = "/entries/1/recovery/1"
BOUNDARY = "/field/boundary"

# what is done to a good document; where the fault stands; words of what was found; words of what would be right
SPOILT: list[tuple[str, Change, str, str, str]] = [
    # numbers that are none, or out of all bounds
    ("nan", put("/conditions/temperature_c", math.nan), "/conditions/temperature_c", "NaN", "from -60 to 60"),
    ("infinity", put("/motors/0/length_m", math.inf), "/motors/0/length_m", "infinity", "up to 5 m|to 5 m"),
    ("minus-infinity", put("/field/elevation_m", -math.inf), "/field/elevation_m", "infinity", "-430 to 6,000 m"),
    ("nan-in-curve", put("/motors/0/thrust_curve/1/1", math.nan), "/motors/0/thrust_curve/1/1", "NaN", "200,000 N"),
    ("nan-in-position", put("/field/pads/0/position/1", math.nan), "/field/pads/0/position/1", "NaN", "latitude"),
    ("huge-whole-number", put("/motors/0/stock", 10**400), "/motors/0/stock", "too large", "whole number"),
    ("negative-mass", put(f"{ROCKET}/mass_kg", -0.06), f"{ROCKET}/mass_kg", "-0.06", "0.001 to 1,000 kg"),
    ("zero-mass", put(f"{ROCKET}/mass_kg", 0), f"{ROCKET}/mass_kg", "0", "0.001 to 1,000 kg"),
    ("absurd-mass", put(f"{ROCKET}/mass_kg", 60_000), f"{ROCKET}/mass_kg", "60000", "0.001 to 1,000 kg"),
    ("negative-wind", put("/conditions/wind/0/speed_mps", -2.0), "/conditions/wind/0/speed_mps", "-2.0", "0 to 120"),
    ("hurricane", put("/conditions/wind/0", {"height_m": 3.0, "speed_mps": 90.0, "from_deg": 0.0}),
     "/conditions/wind/0/speed_mps", "90 m/s at 3 m", "60 m/s near the ground"),
    ("direction", put("/conditions/wind/1/from_deg", 400.0), "/conditions/wind/1/from_deg", "400", "0 to 360 degrees"),
    ("humidity-percent", put("/conditions/relative_humidity", 55), "/conditions/relative_humidity", "55", "0 to 1"),
    ("cloud-oktas", put("/conditions/cloud_cover", 5), "/conditions/cloud_cover", "5", "0 to 1"),
    ("kelvin", put("/conditions/temperature_c", 279.0), "/conditions/temperature_c", "279", "Celsius"),
    ("pascals", put("/conditions/pressure_hpa", 99_600), "/conditions/pressure_hpa", "99600", "300 to 1,100 hPa"),
    ("negative-thrust", put("/motors/0/thrust_curve/1/1", -5.0), "/motors/0/thrust_curve/1/1", "-5.0",
     "0 to 200,000 N"),
    ("negative-stock", put("/motors/1/stock", -1), "/motors/1/stock", "-1", "whole number from 0"),
    ("tilt", put("/field/pads/1/tilt_deg", 80), "/field/pads/1/tilt_deg", "80", "0 to 60 degrees"),
    ("guide-in-mm", put("/field/pads/0/guide_length_m", 1000), "/field/pads/0/guide_length_m", "1000", "0.2 to 20 m"),
    ("fin-count", put(f"{FIN}/count", 2), f"{FIN}/count", "2", "whole number from 3 to 8"),
    ("half-a-fin", put(f"{FIN}/count", 3.5), f"{FIN}/count", "3.5", "whole number from 3 to 8"),
    ("more-motors-than-can-be-flown", put("/entries/0/motor_count", 17), "/entries/0/motor_count", "17",
     "whole number from 1 to 16"),
    ("no-motors-lit", put("/entries/0/motor_count", 0), "/entries/0/motor_count", "0", "whole number from 1"),
    ("samples", put("/policy", {"samples": 1000}), "/policy/samples", "1000", "power of two"),
    ("chance-over-one", put("/policy", {"outside_stop": 5}), "/policy/outside_stop", "5", "0 to 1"),
    # values of another kind
    ("number-as-text", put(f"{ROCKET}/mass_kg", "0.06"), f"{ROCKET}/mass_kg", '"0.06"', "a number"),
    ("true-as-number", put("/field/elevation_m", True), "/field/elevation_m", "true", "a number"),
    ("number-as-flag", put("/entries/0/flyer/adult", 1), "/entries/0/flyer/adult", "1", "true or false"),
    ("null-where-needed", put("/conditions", None), "/conditions", "null", "an object"),
    ("text-for-object", put("/field", "Caldén"), "/field", '"Caldén"', "an object"),
    ("object-for-list", put("/motors", {}), "/motors", "an object with 0 fields", "a list"),
    ("number-as-name", put("/name", 7), "/name", "7", "a text of 1 to 120"),
    ("price-as-number", put("/motors/1/price/amount", 61.5), "/motors/1/price/amount", "61.5", "decimal string"),
    ("currency", put("/motors/1/price/currency", "pesos"), "/motors/1/price/currency", '"pesos"', "ISO 4217"),
    ("empty-name", put("/name", ""), "/name", "empty", "1 to 120"),
    ("blank-name", put("/field/pads/0/name", "  "), "/field/pads/0/name", '"  "', "printable"),
    ("bell-in-name", put("/name", "ding\u0007"), "/name", "\\u0007", "printable"),
    ("half-a-surrogate", put("/name", "\ud800"), "/name", "\\ud800", "printable"),
    ("endless-name", put("/name", "n" * 5000), "/name", "nnn", "1 to 120"),
    ("path-as-id", put("/entries/0/id", "../../etc"), "/entries/0/id", "../../etc", "letters, digits"),
    ("unknown-terrain", put("/field/terrain", "lawn"), "/field/terrain", '"lawn"', "open_grass"),
    ("unknown-recovery", put(f"{MAIN}/kind", "balloon"), f"{MAIN}/kind", '"balloon"', "parachute"),
    ("unknown-deploy", put(f"{MAIN}/deploy/at", "sunset"), f"{MAIN}/deploy/at", '"sunset"', "apogee"),
    ("deploy-without-at", put(f"{MAIN}/deploy", {}), f"{MAIN}/deploy/at", "nothing", "motor_delay"),
    ("deploy-as-text", put(f"{MAIN}/deploy", "apogee"), f"{MAIN}/deploy", '"apogee"', "object"),
    ("unknown-datum", put("/ceiling/0/datum", "amsl"), "/ceiling/0/datum", '"amsl"', '"agl" or "msl"'),
    ("ceiling-as-number", put("/ceiling", 1500), "/ceiling", "1500", "an object"),
    # missing, unknown
    ("no-date", drop("/date"), "/date", "nothing", "date"),
    ("no-pressure", drop("/conditions/pressure_hpa"), "/conditions/pressure_hpa", "nothing", "barometer"),
    ("no-guide-length", drop("/field/pads/0/guide_length_m"), "/field/pads/0/guide_length_m", "nothing", "[m]"),
    ("half-a-point", put("/motors/0/thrust_curve/2", [0.4]), "/motors/0/thrust_curve/2/1", "nothing", "place"),
    ("altitude-in-position", put("/field/pads/0/position", [LON_DEG, LAT_DEG, 180.0]), "/field/pads/0/position",
     "3 values", "exactly 2"),
    ("no-pads", put("/field/pads", []), "/field/pads", "0 values", "1 to 200"),
    ("no-wind", put("/conditions/wind", []), "/conditions/wind", "0 values", "1 to 200"),
    ("no-recovery", put("/entries/0/recovery", []), "/entries/0/recovery", "0 values", "1 to 10"),
    ("unknown-field", put("/colour", "blue"), "/colour", '"blue"', "known fields"),
    ("misspelt-field", put("/field/pads/0/guide_lenght_m", 1.0), "/field/pads/0/guide_lenght_m", "1.0",
     "guide_length_m"),
    ("unknown-with-slash", put("/conditions/dew~point", 1), "/conditions/dew~0point", "unknown", "known fields"),
    ("field-of-another-kind", put("/motors/1/delays/step_s", 1), "/motors/1/delays/step_s", "unknown", "kind"),
    # dates, times, zones
    ("no-such-date", put("/date", "2028-02-30"), "/date", "2028-02-30", "real date"),
    ("date-the-other-way", put("/date", "09/07/2028"), "/date", "09/07/2028", "real date"),
    ("no-offset", put("/conditions/observed_at", "2028-07-09T09:40:00"), "/conditions/observed_at", "09:40", "offset"),
    ("no-such-hour", put("/conditions/observed_at", "2028-07-09T25:00:00Z"), "/conditions/observed_at", "T25",
     "real date"),
    ("time-as-number", put("/conditions/observed_at", 1846758000), "/conditions/observed_at", "1846758000", "RFC 3339"),
    ("no-such-zone", put("/timezone", "Pampas/Caldén"), "/timezone", "Pampas", "IANA"),
    ("zone-as-path", put("/timezone", "../../../etc/passwd"), "/timezone", "passwd", "IANA"),
    ("zone-of-elsewhere", put("/timezone", "Asia/Tokyo"), "/timezone", "Asia/Tokyo", "zone of the field"),
    ("weather-of-last-year", put("/conditions/observed_at", "2027-07-09T09:40:00-03:00"), "/conditions/observed_at",
     "2027", "2 days of the launch day"),
    ("window-backwards", put("/ceiling/1/to", "2028-07-09T09:00:00-03:00"), "/ceiling/1/to", "09:00",
     "after the window"),
    ("forecast-backwards", lambda d: d.update(forecast=[d["conditions"], d["conditions"]]), "/forecast/1/observed_at",
     "2028", "later than the one before"),
    # positions and shapes
    ("swapped-past-the-pole", put("/field/pads/0/position", [46.9, -97.5]), "/field/pads/0/position/1", "-97.5",
     "latitude"),
    ("swapped-all-but-a-zone", swapped, "/field/zones/0/geometry/coordinates", "swapped", "longitude first"),
    ("swapped-boundary", put(f"{BOUNDARY}/coordinates/0", [[lat, lon] for lon, lat in square(HALF_DEG)]),
     f"{BOUNDARY}/coordinates", "swapped", "longitude first"),
    ("swapped-pad", put("/field/pads/0/position", [LAT_DEG, LON_DEG]), "/field/pads/0/position", "swapped",
     "longitude, lat"),
    ("boundary-crosses-itself", put(f"{BOUNDARY}/coordinates/0", BOW_TIE), f"{BOUNDARY}/coordinates/0", "cross", ""),
    ("boundary-without-area", put(f"{BOUNDARY}/coordinates/0", FLAT), f"{BOUNDARY}/coordinates/0", "area", ""),
    ("boundary-of-two-points", put(f"{BOUNDARY}/coordinates/0", FLAT[:2]), f"{BOUNDARY}/coordinates/0", "2 values",
     "3 to"),
    ("boundary-a-line", put(BOUNDARY, {"type": "LineString", "coordinates": FLAT}), f"{BOUNDARY}/type", "LineString",
     "Polygon"),
    ("boundary-elsewhere", put(f"{BOUNDARY}/coordinates/0", square(HALF_DEG, LON_DEG + 0.5)), f"{BOUNDARY}/coordinates",
     "46 km", "20 km"),
    ("pad-outside", put("/field/pads/1/position", [LON_DEG + 0.02, LAT_DEG]), "/field/pads/1/position", "outside",
     "inside"),
    ("zone-crosses-itself", put("/field/zones/0/geometry/coordinates/0", BOW_TIE),
     "/field/zones/0/geometry/coordinates/0",
     "cross", ""),
    ("people-on-a-line", put("/field/zones/1/kind", "people"), "/field/zones/1/geometry/type", "LineString", "Polygon"),
    # contradictions inside one object
    ("gust-below-mean", put("/conditions/wind/0/gust_mps", 1.0), "/conditions/wind/0/gust_mps", "1 m/s",
     "mean speed, 2 m/s"),
    ("wind-upside-down", put("/conditions/wind/2/height_m", 100.0), "/conditions/wind/2/height_m", "100 m", "300 m"),
    ("base-without-cloud", lambda d: d["conditions"].update(cloud_cover=0, cloud_base_m=900),
     "/conditions/cloud_base_m",
     "900 m", "null"),
    ("cg-behind-the-tail", put(f"{ROCKET}/cg_from_nose_m", 0.6), f"{ROCKET}/cg_from_nose_m", "0.6 m",
     "less than 0.42 m"),
    ("no-cg", drop(f"{ROCKET}/cg_from_nose_m"), f"{ROCKET}/cg_from_nose_m", "nothing", "balance point"),
    ("neither-airframe-nor-length", drop("/entries/2/rocket/length_m"), "/entries/2/rocket/length_m", "neither",
     "one of"),
    ("two-lengths", put(f"{ROCKET}/length_m", 0.5), f"{ROCKET}/length_m", "0.5 m", "0.42 m"),
    ("nose-too-long", put(f"{NOSE}/length_m", 0.5), f"{NOSE}/length_m", "0.5 m", "0.42 m"),
    ("parameter-of-no-series", put(f"{NOSE}", {"shape": "cone", "length_m": 0.08, "parameter": 0.5}),
     f"{NOSE}/parameter",
     "0.5", "null"),
    ("fins-off-the-tail", put(f"{FIN}/leading_edge_from_nose_m", 0.4), f"{FIN}/leading_edge_from_nose_m", "0.45 m",
     "0.42 m"),
    ("fin-span-in-cm", put(f"{FIN}/span_m", 4.0), f"{FIN}/span_m", "4 m", "10 body diameters"),
    ("tip-in-cm", put(f"{FIN}/tip_chord_m", 3.0), f"{FIN}/tip_chord_m", "3 m", "root chord"),
    ("fin-thicker-than-long", put(f"{FIN}/thickness_m", 0.06), f"{FIN}/thickness_m", "0.06 m", "root chord"),
    ("transition-in-the-nose", put(f"{TRANSITION}/from_nose_m", 0.2), f"{TRANSITION}/from_nose_m", "0.2 m", "0.3 m"),
    ("transition-off-the-tail", put(f"{TRANSITION}/length_m", 1.2), f"{TRANSITION}/length_m", "2 m", "1.7 m"),
    ("diameters-that-do-not-join", put("/entries/1/rocket/airframe/transitions/1",
     {"from_nose_m": 1.3, "length_m": 0.1, "fore_diameter_m": 0.05, "aft_diameter_m": 0.04}),
     "/entries/1/rocket/airframe/transitions/1/fore_diameter_m", "0.05 m", "0.08 m"),
    ("largest-diameter", put("/entries/1/rocket/airframe/diameter_m", 0.1), "/entries/1/rocket/airframe/diameter_m",
     "0.1 m", "0.08 m"),
    ("inertia-in-gcm2", put("/entries/1/rocket/pitch_inertia_kgm2", 40.0), "/entries/1/rocket/pitch_inertia_kgm2",
     "40", "2.1 kg"),
    ("mach-backwards", put("/entries/1/rocket/known/drag_coefficient/2/0", 0.5),
     "/entries/1/rocket/known/drag_coefficient/2/0",
     "Mach 0.5", "0.9"),
    ("mount-wider-than-body", put(f"{ROCKET}/mount/diameter_m", 0.029), f"{ROCKET}/mount/diameter_m", "0.029 m",
     "0.025 m"),
    ("all-propellant", put("/motors/0/propellant_mass_kg", 0.024), "/motors/0/propellant_mass_kg", "0.024 kg",
     "loaded mass"),
    ("specific-impulse", put("/motors/1/propellant_mass_kg", 0.05), "/motors/1/propellant_mass_kg", "768 s",
     "20 to 300 s"),
    ("curve-starts-late", put("/motors/0/thrust_curve/0/0", 0.1), "/motors/0/thrust_curve/0/0", "0.1 s", "0 s"),
    ("curve-turns-back", put("/motors/0/thrust_curve/2/0", 0.2), "/motors/0/thrust_curve/2/0", "0.2 s", "later"),
    ("curve-without-end", drop("/motors/0/thrust_curve/4"), "/motors/0/thrust_curve/3/1", "4.8 N", "0 N"),
    ("curve-without-thrust", put("/motors/0/thrust_curve", [[0, 0], [1, 0], [2, 0]]), "/motors/0/thrust_curve",
     "no thrust", "above 0 N"),
    ("curve-of-two-points", put("/motors/0/thrust_curve", [[0, 9], [1, 0]]), "/motors/0/thrust_curve", "2 values",
     "3 to"),
    ("letter-of-another-class", put("/motors/0/designation", "D6"), "/motors/0/thrust_curve", "9.42 N s",
     "over 10 and up to 20 N s"),
    ("average-of-another-motor", put("/motors/0/designation", "C20"), "/motors/0/designation", "C20", "factor 2"),
    ("no-designation", put("/motors/0/designation", "Big One"), "/motors/0/designation", "Big One", "letter class"),
    ("named-delay-not-on-sale", put("/motors/0/designation", "C6-7"), "/motors/0/designation", "C6-7", "3 or 5 s"),
    ("plugged-with-delays", put("/motors/0/designation", "C6-P"), "/motors/0/designation", "plugged", "fixed"),
    ("casing-of-single-use", put("/motors/0/casing", "18/10"), "/motors/0/casing", "18/10", "null"),
    ("delays-backwards", put("/motors/0/delays/seconds", [5, 3]), "/motors/0/delays/seconds/1", "3 s", "longer"),
    ("drilled-past-the-end", put("/motors/2/delays/shortest_s", 12.0), "/motors/2/delays/shortest_s", "12 s", "10 s"),
    ("two-answers-to-speed", put(f"{MAIN}/descent_speed_mps", 5.0), f"{MAIN}/descent_speed_mps", "5 m/s", "not both"),
    ("canopy-without-size", drop(f"{MAIN}/diameter_m"), f"{MAIN}/diameter_m", "neither", "one of the two"),
    ("ribbon-with-a-diameter", put("/entries/0/recovery/0/diameter_m", 0.3), "/entries/0/recovery/0/diameter_m",
     "streamer", "null"),
    ("glide-without-ratio", put("/entries/2/recovery/0/kind", "glide"), "/entries/2/recovery/0/glide_ratio",
     "nothing", "ratio"),
    ("nothing-that-deploys", put("/entries/2/recovery/0", {"name": "x", "kind": "none", "deploy": {"at": "apogee"}}),
     "/entries/2/recovery/0/deploy", "apogee", "null"),
    ("device-that-never-opens", drop(f"{MAIN}/deploy"), f"{MAIN}/deploy", "nothing", "apogee"),
    ("main-before-drogue", lambda d: d["entries"][1]["recovery"].reverse(), "/entries/1/recovery/1/deploy/at",
     "apogee", "order"),
    ("none-beside-a-canopy", put("/entries/0/recovery/1", {"name": "n", "kind": "none"}),
     "/entries/0/recovery/1/kind", "none", "alone"),
    ("canopies-of-one-name", put(f"{MAIN}/name", "drogue"), f"{MAIN}/name", "drogue", "of its own"),
    ("delay-forgotten", put("/entries/0/delay_s", None), "/entries/0/delay_s", "ribbon", "delay chosen"),
    ("policy-upside-down", put("/policy", {"people_caution": 0.1}), "/policy/people_stop", "0.01",
     "people_caution, 0.1"),
    ("chances-over-one", put("/mode_chances", {"no_deployment": 0.99, "drogue_only": 0.2}), "/mode_chances", "1.2",
     "less than 1"),
    ("skips-a-level", put("/entries/0/flyer/certifying", 3), "/entries/0/flyer/certifying", "level 3", "next level, 1"),
    # contradictions between parts
    ("unknown-motor", put("/entries/0/motor", "c7"), "/entries/0/motor", '"c7"', '"c6"'),
    ("unknown-pad", put("/entries/1/pad", "P9"), "/entries/1/pad", '"P9"', '"P2"'),
    ("motor-too-wide", put("/entries/0/motor", "f30"), "/entries/0/motor", "0.024 m in diameter", "0.018 m"),
    ("motor-too-long", put("/entries/1/rocket/mount/length_m", 0.2), "/entries/1/motor", "0.3 m long", "0.2 m"),
    ("cluster-too-wide", put("/entries/1/motor_count", 4), "/entries/1/motor_count", "4 motors", "0.08 m"),
    ("delay-not-on-sale", put("/entries/0/delay_s", 4), "/entries/0/delay_s", "4 s", "3 or 5 s"),
    ("delay-not-a-step", put("/entries/2/delay_s", 5.0), "/entries/2/delay_s", "5 s", "4, 6, 8 or 10 s"),
    ("delay-of-plugged", put("/entries/1/delay_s", 6), "/entries/1/delay_s", "plugged", "null"),
    ("motor-id-twice", again("/motors"), "/motors/3/id", '"c6"', "of its own"),
    ("entry-id-twice", again("/entries"), "/entries/3/id", '"n1"', "of its own"),
    ("pad-name-twice", again("/field/pads"), "/field/pads/2/name", '"P1"', "of its own"),
    ("code-twice", again("/codes"), "/codes/1", '"practice"', "once"),
    ("ceiling-under-the-field", put("/ceiling/0/height_m", 150.0), "/ceiling/0/height_m", "150 m", "180 m"),
    ("pressure-of-the-sea", put("/field/elevation_m", 1650.0), "/conditions/pressure_hpa", "996 hPa",
     "station pressure"),
]  # fmt: skip
