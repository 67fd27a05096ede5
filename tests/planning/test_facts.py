"""Facts against distances and angles worked out by hand on a square field.

Lengths of degrees at 32.1 degrees south on the WGS 84 ellipsoid, from the textbook series for the meridian radius
M = a(1-e²)/(1-e² sin²)^1.5 and the prime vertical N = a/(1-e² sin²)^0.5, worked out below.
"""

from __future__ import annotations

import math
from datetime import timedelta

import pytest

from service.codes.quantities import QUANTITIES, ZONE_KINDS
from service.codes.rulebook import evaluate_all
from service.planning import facts as known
from service.planning.advise.ladder import open_ceiling_m
from service.planning.assess import fly_entry
from service.planning.estimate import estimate_of
from service.planning.flight_inputs import flight_inputs
from service.planning.ground import ground_of
from tests.builders import HALF_DEG, LAT_DEG, LON_DEG, square
from tests.planning.quick import put, quick_day, too_heavy

A_M, E2 = 6_378_137.0, 0.00669437999014  # WGS 84
SIN2 = math.sin(math.radians(LAT_DEG)) ** 2
NORTH_M = math.radians(1.0) * A_M * (1.0 - E2) / (1.0 - E2 * SIN2) ** 1.5  # metres a degree of latitude
EAST_M = math.radians(1.0) * A_M / math.sqrt(1.0 - E2 * SIN2) * math.cos(math.radians(LAT_DEG))


def zone(kind, ring, **more):
    return {"name": f"{kind} zone", "kind": kind, "geometry": {"type": "Polygon", "coordinates": [ring]}, **more}


def field_facts(*changes, pad="P1", when=None):
    day = quick_day(*changes)
    return known.field_facts(day, ground_of(day), day.pad_by_name(pad), when or day.conditions.observed_at)


def test_edge_and_width_of_the_square():
    found = field_facts()
    assert found["edge_distance_m"] == pytest.approx(HALF_DEG * EAST_M, abs=0.1)  # a degree east is the shorter one
    assert found["field_min_dimension_m"] == pytest.approx(2.0 * HALF_DEG * EAST_M, abs=0.5)
    second = field_facts(pad="P2")
    assert second["edge_distance_m"] == pytest.approx((HALF_DEG - 0.001) * EAST_M, abs=0.1)


def test_distance_to_people_is_to_their_near_side():
    """The benches are 0.0006 degrees wide, their middle 0.002 degrees east of the pad."""
    assert field_facts()["people_distance_m"] == pytest.approx((0.002 - 0.0003) * EAST_M, abs=0.1)


def test_distance_to_a_road_is_to_its_edge():
    """A track along a meridian 0.004 degrees west; 4 m of its half width nearer."""
    line = {"type": "LineString", "coordinates": [[LON_DEG - 0.004, LAT_DEG - 0.01], [LON_DEG - 0.004, LAT_DEG + 0.01]]}
    found = field_facts(put("/field/zones/1/geometry", line))
    assert found["road_distance_m"] == pytest.approx(0.004 * EAST_M - 4.0, abs=0.3)
    assert found["outsider_distance_m"] == found["road_distance_m"]


def test_an_empty_building_is_no_outsider():
    barn = zone("building", square(0.0005, LON_DEG, LAT_DEG + 0.003), occupied=False)
    house = {**barn, "name": "house", "occupied": True}
    away_m = (0.003 - 0.0005) * NORTH_M
    assert field_facts(put("/field/zones", [barn]))["building_distance_m"] is None
    found = field_facts(put("/field/zones", [house]))
    assert found["building_distance_m"] == found["outsider_distance_m"] == pytest.approx(away_m, abs=0.1)


def test_a_building_of_which_nothing_is_said_counts():
    house = zone("building", square(0.0005, LON_DEG, LAT_DEG + 0.003))
    assert field_facts(put("/field/zones", [house]))["building_distance_m"] is not None


def test_the_boundary_is_where_outsiders_begin():
    found = field_facts(put("/field/zones", []))
    assert found["outsider_distance_m"] == found["edge_distance_m"]
    assert [found[f"{kind}_distance_m"] for kind in ZONE_KINDS] == [None] * len(ZONE_KINDS)


@pytest.mark.parametrize(
    ("azimuth_deg", "tilt_deg", "toward"),
    [(90.0, 3.0, True), (118.0, 3.0, True), (62.0, 3.0, True), (270.0, 3.0, False), (180.0, 3.0, False),
     (0.0, 3.0, False), (90.0, 0.0, False)],
)  # fmt: skip
def test_a_guide_that_leans_toward_people(azimuth_deg, tilt_deg, toward):
    """The benches lie due east, and 0.0003 degrees to each side of that: 9 degrees beside the 30 allowed for."""
    changes = put("/field/pads/0/azimuth_deg", azimuth_deg), put("/field/pads/0/tilt_deg", tilt_deg)
    assert field_facts(*changes)["tilt_toward_people"] is toward


@pytest.mark.parametrize(("tilt_deg", "toward"), [(3.0, None), (0.0, False)])
def test_a_guide_that_leans_where_nobody_has_drawn_the_people(tilt_deg, toward):
    cars = zone("parking", square(0.0003, LON_DEG, LAT_DEG - 0.002))  # behind it
    for zones in ([], [cars]):
        found = field_facts(put("/field/zones", zones), put("/field/pads/0/tilt_deg", tilt_deg))
        assert found["tilt_toward_people"] is toward


def test_a_guide_that_leans_toward_parked_cars():
    cars = zone("parking", square(0.0003, LON_DEG, LAT_DEG + 0.002))
    changes = put("/field/zones", [cars]), put("/field/pads/0/tilt_deg", 2.0)
    assert field_facts(*changes)["tilt_toward_people"] is True


def weather_facts(*changes, pad="P1", minutes=0.0, flight_s=60.0):
    day = quick_day(*changes)
    at = None if minutes is None else day.conditions.observed_at + timedelta(minutes=minutes)
    return known.weather_facts(day, day.conditions, day.pad_by_name(pad), at, flight_s)


def test_crosswind_of_an_upright_guide_is_the_whole_wind():
    assert weather_facts()["crosswind_mps"] == pytest.approx(2.0)


@pytest.mark.parametrize(
    ("tilt_deg", "azimuth_deg", "expected_mps"),
    [(30.0, 180.0, 2.0 * math.cos(math.radians(30.0))), (30.0, 0.0, 2.0 * math.cos(math.radians(30.0))),
     (30.0, 90.0, 2.0), (30.0, 225.0, 2.0 * math.sqrt(1.0 - 0.125))],
)  # fmt: skip
def test_crosswind_of_a_guide_that_leans(tilt_deg, azimuth_deg, expected_mps):
    """Wind from 180; along an axis that leans by t toward a lies sin t cos(180 - a) of it."""
    changes = put("/field/pads/0/tilt_deg", tilt_deg), put("/field/pads/0/azimuth_deg", azimuth_deg)
    assert weather_facts(*changes)["crosswind_mps"] == pytest.approx(expected_mps)


def test_gusts():
    assert weather_facts()["gust_mps"] == 3.0
    calm = put("/conditions/wind/0", {"height_m": 3.0, "speed_mps": 2.0, "from_deg": 180.0})
    assert weather_facts(calm)["gust_mps"] is None


@pytest.mark.parametrize(
    ("minutes", "age_min", "stands"),
    [(12.5, 12.5, "clear"), (0.0, 0.0, "clear"), (-2.0, 0.0, "clear"), (-2.1, -2.1, "unknown"),
     (-90.0, -90.0, "unknown"), (31.0, 31.0, "caution"), (None, None, None)],
)  # fmt: skip
def test_age_of_the_conditions(minutes, age_min, stands):
    """Clocks may differ by two minutes; a reading from further ahead has no age, nor has one held to no moment."""
    found = weather_facts(minutes=minutes)
    assert found["conditions_age_min"] == (None if age_min is None else pytest.approx(age_min))
    findings = {each.rule: each.standing for each in evaluate_all(["practice"], [], found)}
    assert findings.get("adv-conditions-age") == stands


def test_without_a_moment_the_light_is_that_of_the_reading():
    dark, light = (put("/conditions/observed_at", f"2028-07-09T{clock}:00-03:00") for clock in ("08:05", "09:40"))
    assert weather_facts(dark, minutes=None)["daylight"] is False
    assert weather_facts(light, minutes=None)["daylight"] is True


@pytest.mark.parametrize(
    ("clock", "light"), [("09:40", True), ("08:05", False), ("08:35", True), ("18:00", True), ("19:00", False)]
)
def test_daylight(clock, light):
    """Early July at 32 degrees south, 63 degrees west, clocks three hours behind Greenwich.

    Declination is about 22.4 degrees north, so cos H = -tan(-32.1) tan(22.4) = 0.2585, H = 75.0 degrees or 5 h 00;
    refraction adds some 4 minutes. Noon is at 12 h + 13 min (63.2 - 45 degrees) + 5 min (equation of time) after 12:00:
    12:00 + 1 h 12.8 min + 5.2 min = 13:18. So the sun is up from about 08:14 to 18:22.
    """
    found = weather_facts(put("/conditions/observed_at", f"2028-07-09T{clock}:00-03:00"))
    assert found["daylight"] is light


def test_a_flight_that_ends_after_sunset_is_not_flown_by_day():
    at = put("/conditions/observed_at", "2028-07-09T18:15:00-03:00")
    assert weather_facts(at, flight_s=10.0)["daylight"] is True
    assert weather_facts(at, flight_s=1800.0)["daylight"] is False
    assert weather_facts(at, flight_s=None)["daylight"] is None


def window(height_m, datum="agl", opens=None, closes=None, condition=None):
    at = "2028-07-09T{}:00-03:00"
    limits = {name: at.format(clock) for name, clock in (("from", opens), ("to", closes)) if clock}
    return {"height_m": height_m, "datum": datum, "condition": condition, **limits}


CEILINGS = [  # the field lies at 180 m
    ([window(900.0, "msl")], 720.0),
    ([window(900.0, "agl"), window(900.0, "msl")], 720.0),  # the same number is less above the sea
    ([window(800.0, "agl"), window(990.0, "msl")], 800.0),
    ([window(2000.0), window(500.0)], 500.0),
    ([window(500.0), window(2000.0)], 500.0),
    ([window(500.0), window(2000.0, opens="09:00", closes="10:00")], 500.0),
    ([window(2000.0), window(500.0, opens="09:00", closes="10:00")], 500.0),
    ([window(2000.0), window(500.0, opens="09:41")], 2000.0),
    ([window(500.0, closes="09:39"), window(2000.0, opens="09:39")], 2000.0),
    ([window(500.0, closes="09:40"), window(2000.0, opens="09:40")], 2000.0),  # where two meet the next one holds
    ([window(500.0, closes="09:40")], None),
    ([window(500.0, closes="09:41"), window(2000.0, opens="09:40")], 500.0),
    ([window(500.0), window(2000.0, condition="a call")], 500.0),
    ([window(2000.0), window(500.0, condition="a call")], 2000.0),
    ([window(500.0, condition="a call")], None),
    ([window(500.0, opens="10:00")], None),
]


@pytest.mark.parametrize(("ceilings", "lowest_m"), CEILINGS)
def test_the_lowest_ceiling_that_holds_binds(ceilings, lowest_m):
    """At 09:40, heights above the field."""
    found = field_facts(put("/ceiling", ceilings))["ceiling_agl_m"]
    assert found == (None if lowest_m is None else pytest.approx(lowest_m))
    day = quick_day(put("/ceiling", ceilings))
    assert open_ceiling_m(day, day.conditions.observed_at) == found


def test_the_site_permits_as_much_as_its_highest_ceiling():
    assert field_facts()["site_ceiling_agl_m"] == pytest.approx(2020.0)


def test_rocket_facts_by_hand():
    day = quick_day(put("/entries/0/motor_count", 1))
    found = known.rocket_facts(day, day.entry_by_id("n1"))
    impulse_ns = 0.5 * 0.2 * 14.0 + 0.2 * 0.5 * (14.0 + 5.0) + 1.2 * 0.5 * (5.0 + 4.8) + 0.1 * 0.5 * 4.8
    assert found["impulse_ns"] == pytest.approx(impulse_ns)
    assert found["liftoff_mass_kg"] == pytest.approx(0.06 + 0.024)
    assert found["propellant_mass_kg"] == pytest.approx(0.011)
    assert found["labelled_thrust_n"] == 6.0
    assert found["plugged_without_trigger"] is False
    two = known.rocket_facts(day, day.entry_by_id("n2"))
    assert two["recovery_count"] == 2.0 and two["main_altitude_m"] == 150.0
    assert two["plugged_without_trigger"] is False  # the motor ejects nothing, but altimeters open both


def all_facts(*changes, entry_id="n1"):
    day = quick_day(*changes)
    entry, ground = day.entry_by_id(entry_id), ground_of(day)
    pad = day.pad_by_name(entry.pad)
    flown = fly_entry(day, entry, day.conditions, 64, 1, 1)
    estimate = estimate_of(flown.inputs, flown.nominal, flown.dispersed)
    return {
        **known.rocket_facts(day, entry),
        **known.weather_facts(day, day.conditions, pad, day.conditions.observed_at, estimate.flight_time_s.nominal),
        **known.estimate_facts(flown.inputs, estimate, day.conditions, 5.0),
        **known.ground_facts(ground, [], None, (0.0, 0.0), [(0.0, 0.0), (1.0, 1.0)]),
        **known.field_facts(day, ground, pad, day.conditions.observed_at),
    }


@pytest.mark.parametrize("entry_id", ["n1", "n2", "n3"])
def test_every_fact_has_a_name_that_rules_may_use(entry_id):
    found = all_facts(entry_id=entry_id)
    assert set(found) <= set(QUANTITIES)
    for name, value in found.items():
        if value is not None and QUANTITIES[name].is_number:
            assert isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value), name


def test_what_is_missing_is_none():
    found = all_facts(put("/field/zones", []), entry_id="n3")
    assert found["static_margin_low_cal"] is None and found["damping_ratio"] is None  # no airframe
    assert found["visibility_m"] is None and found["cloud_base_m"] is None
    assert found["people_chance_high"] is None and found["outside_chance"] is None and found["collective_risk"] is None
    assert found["main_altitude_m"] is None and found["people_distance_m"] is None


@pytest.mark.parametrize(("north", "over"), [(0.002, True), (0.004, None)])
def test_the_footprint_over_cars_where_nobody_has_drawn_the_people(north, over):
    day = quick_day(put("/field/zones", [zone("parking", square(0.0003, LON_DEG, LAT_DEG + 0.002))]))
    ground = ground_of(day)
    middle = tuple(float(x) for x in ground.frame.to_local(LON_DEG, LAT_DEG + north))
    assert known.ground_facts(ground, [], None, middle, [])["footprint_over_people"] is over


def test_nothing_flown_leaves_every_figure_of_the_flight_none():
    day = quick_day()
    inputs = flight_inputs(day, day.entry_by_id("n1"), day.conditions)
    found = known.estimate_facts(inputs, None, day.conditions, None)
    assert found["thrust_to_weight"] > 1.0  # known from the scales and the curve
    assert found["guide_left"] is True  # nor is a flight needed for this
    assert {value for name, value in found.items() if name not in ("thrust_to_weight", "guide_left")} == {None}
    assert set(known.estimate_facts(None, None, day.conditions, None).values()) == {None}


def test_a_flight_above_the_highest_wind_says_so():
    low = put("/conditions/wind", [{"height_m": 3.0, "speed_mps": 2.0, "from_deg": 180.0}])
    assert all_facts(low)["wind_above_extrapolated"] is True
    assert all_facts()["wind_above_extrapolated"] is False


def test_a_distance_measured_on_site_goes_before_the_drawing():
    assert field_facts(put("/field/measured", {"airport_distance_m": 9000.0}))["airport_distance_m"] == 9000.0


def test_thrust_that_does_not_reach_the_end_of_the_guide():
    """14 N at most do not lift 5 kg; a moment of them lifts half a kilogram, and 5 N after it hold it where it is."""

    def found(*changes):
        day = quick_day(*changes)
        inputs = flight_inputs(day, day.entry_by_id("n1"), day.conditions)
        return known.estimate_facts(inputs, None, day.conditions, None)

    heavy = found(too_heavy)
    assert heavy["thrust_to_weight"] < 1.0 and heavy["guide_left"] is False
    # 7.8 N on average against a weight of 5.1 N; 1.7 m/s after the first tenth of a second, some 0.6 m in all
    spike = [[0.0, 0.0], [0.01, 14.0], [0.1, 14.0], [0.11, 5.1], [0.3, 5.1], [0.31, 0.0]]
    hop = found(
        put("/motors/0/thrust_curve", spike), put("/entries/0/rocket/mass_kg", 0.5), put("/motors/0/designation", "A8"),
        put("/field/pads/0/guide_length_m", 20.0),
    )  # fmt: skip
    assert hop["thrust_to_weight"] > 1.0 and hop["guide_left"] is False


def test_a_burn_that_ends_on_the_guide_leaves_the_margin_there():
    """60 N for 0.1 s: some 70 m/s after 3.5 m, then the rest of 10 m of guide without thrust."""
    kick = [[0.0, 0.0], [0.001, 60.0], [0.1, 60.0], [0.101, 0.0]]
    found = all_facts(
        put("/motors/0/thrust_curve", kick), put("/motors/0/designation", "C60"),
        put("/field/pads/0/guide_length_m", 10.0),
    )  # fmt: skip
    assert found["static_margin_cal"] > 0.0
    for end in ("cal", "low_cal", "high_cal"):
        assert found[f"least_static_margin_{end}"] == found[f"static_margin_{end}"] is not None
