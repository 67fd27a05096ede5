"""An assessment's figures worked out again from the flights themselves, with plain numpy and nothing of geo.

Metres come from the series for the lengths of a degree on the WGS 84 ellipsoid (textbook form; a and e² of NIMA
TR8350.2, from memory, not re-read), containment from counting edge crossings, percentiles from sorting, chances from
counting. Over two kilometres such flat metres are true to some centimetres.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from service.planning.assess import assess_entry, fly_entry
from tests.builders import LAT_DEG, LON_DEG, square
from tests.planning.quick import put, quick_day

A_M, E2 = 6_378_137.0, 0.00669437999014
SAMPLES = 256
T_15 = 2.131  # Student's t, 15 degrees of freedom, 97.5 % (any table)
STANDARD_GRAVITY_MPS2 = 9.80665

# an L with a notch, metres from the first pad; the glider reaches past several of its sides
OUTLINE_M = [(-700, -600), (600, -600), (600, 250), (250, 300), (200, 900), (-500, 800), (-700, -600)]


def degree_m(lat_deg: float) -> tuple[float, float]:
    """Metres a degree of longitude and of latitude."""
    sine2 = math.sin(math.radians(lat_deg)) ** 2
    east = math.radians(1.0) * A_M / math.sqrt(1.0 - E2 * sine2) * math.cos(math.radians(lat_deg))
    return east, math.radians(1.0) * A_M * (1.0 - E2) / (1.0 - E2 * sine2) ** 1.5


EAST_M, NORTH_M = degree_m(LAT_DEG)


def to_metres(lonlat) -> np.ndarray:
    return (np.asarray(lonlat, dtype=float) - [LON_DEG, LAT_DEG]) * [EAST_M, NORTH_M]


def to_degrees(ring_m) -> list[list[float]]:
    return [[LON_DEG + x / EAST_M, LAT_DEG + y / NORTH_M] for x, y in ring_m]


def inside(points: np.ndarray, ring: np.ndarray) -> np.ndarray:
    """Which points lie in a closed ring: an odd number of its edges crosses the ray to the east."""
    odd = np.zeros(len(points), dtype=bool)
    for (x1, y1), (x2, y2) in itertools.pairwise(ring):
        if y1 == y2:
            continue
        between = (y1 > points[:, 1]) != (y2 > points[:, 1])
        odd ^= between & (points[:, 0] < x1 + (points[:, 1] - y1) * (x2 - x1) / (y2 - y1))
    return odd


def in_multipolygon(points: np.ndarray, geometry) -> np.ndarray:
    held = np.zeros(len(points), dtype=bool)
    for polygon in geometry["coordinates"]:
        rings = [inside(points, to_metres(ring)) for ring in polygon]
        part = rings[0]
        for hole in rings[1:]:
            part &= ~hole
        held |= part
    return held


def glider(document) -> None:
    document["field"]["boundary"]["coordinates"] = [to_degrees(OUTLINE_M)]
    benches = square(0.0015, LON_DEG + 0.001, LAT_DEG + 0.0025)
    document["field"]["zones"][0]["geometry"]["coordinates"] = [benches]
    document["field"]["pads"] = [document["field"]["pads"][0]]  # one pad: the frame's origin
    document["entries"] = [document["entries"][0]]
    document["entries"][0]["recovery"] = [
        {"name": "wing", "kind": "glide", "descent_speed_mps": 2.5, "glide_ratio": 2.5, "deploy": {"at": "motor_delay"}}
    ]
    document["policy"].update(samples=SAMPLES, outside_caution=0.0, outside_stop=0.9, people_caution=0.5)
    document["mode_chances"] = {"no_deployment": 0.04}


@pytest.fixture(scope="module")
def case():
    """The assessment, and the flights it rests on."""
    day = quick_day(glider)
    entry = day.entry_by_id("n1")
    found = assess_entry(day, entry, threads=1)
    assert found.samples == SAMPLES
    return day, entry, found, fly_entry(day, entry, day.conditions, SAMPLES, found.seed, 1)


def landings(flown, mode="planned") -> np.ndarray:
    return flown.dispersed.landings[mode][:, :2]


def test_chance_inside_is_the_share_counted(case):
    _day, _entry, found, flown = case
    held = inside(landings(flown), np.array(OUTLINE_M, float))
    chance = found.footprint("planned").inside
    assert 0.5 < held.mean() < 0.95  # a case that can be got wrong
    assert chance.estimate == pytest.approx(held.mean(), abs=1e-12)
    shares = held.reshape(16, -1).mean(axis=1)  # sixteen scrambles, one after another
    reach = T_15 * shares.std(ddof=1) / 4.0
    assert chance.low == pytest.approx(held.mean() - reach, abs=1e-4)
    assert chance.high == pytest.approx(held.mean() + reach, abs=1e-4)


def test_chance_among_people_is_the_share_counted(case):
    day, _entry, found, flown = case
    benches = to_metres(day.field.zones[0].geometry.model_dump(mode="json")["coordinates"][0])
    for mode in ("planned", "no_deployment"):
        share = inside(landings(flown, mode), benches).mean()
        assert found.footprint(mode).people.estimate == pytest.approx(share, abs=1e-12)
        assert found.footprint(mode).zones["Benches"].estimate == pytest.approx(share, abs=1e-12)
    assert found.footprint("planned").people.estimate > 0.0


def test_contours_hold_their_share_and_nest(case):
    _day, _entry, found, flown = case
    for mode in ("planned", "no_deployment"):
        contours = found.footprint(mode).contours
        assert [contour.share for contour in contours] == [0.5, 0.95, 0.99]
        held = [in_multipolygon(landings(flown, mode), contour.geometry) for contour in contours]
        for contour, which in zip(contours, held):
            # a glider's ground is nearly flat in density: a level there holds its share or somewhat more
            most = 0.04 if mode == "no_deployment" else 0.1
            assert contour.share - 0.02 <= which.mean() <= contour.share + most
        assert not np.any(held[0] & ~held[1]) and not np.any(held[1] & ~held[2])
        assert contours[0].area_m2 < contours[1].area_m2 < contours[2].area_m2


def test_nearest_edge_and_farthest_landing(case):
    """The 99 % contour reaches outside: how far its farthest corner lies from the field, by every edge in turn."""
    _day, _entry, found, flown = case
    planned = found.footprint("planned")
    corners = np.concatenate([to_metres(r) for p in planned.contours[-1].geometry["coordinates"] for r in p])
    ring = np.array(OUTLINE_M, float)
    away = np.full(len(corners), np.inf)
    for a, b in itertools.pairwise(ring):
        share = np.clip(((corners - a) @ (b - a)) / ((b - a) @ (b - a)), 0.0, 1.0)
        away = np.minimum(away, np.hypot(*(corners - (a + share[:, None] * (b - a))).T))
    farthest_out = away[~inside(corners, ring)].max()
    assert planned.nearest_edge.distance_m == pytest.approx(-farthest_out, abs=0.5)
    assert planned.farthest_m == pytest.approx(np.hypot(*landings(flown).T).max(), abs=0.01)


def test_percentiles_are_those_of_the_flights(case):
    _day, _entry, found, flown = case
    table = flown.dispersed.landings["planned"]
    figures = flown.dispersed.figures
    many = {
        "apogee_m": figures["apogee_m"],
        "exit_speed_mps": figures["exit_speed_mps"],
        "static_margin_cal": figures["exit_margin_cal"],
        "deploy_speed_mps": figures["deploy_airspeed_mps"],
        "best_delay_s": figures["apogee_s"] - figures["burnout_s"],
        "deploy_delay_error_s": np.abs(figures["deploy_s"] - figures["apogee_s"]),
        "flight_time_s": table[:, 2],
        "descent_speed_mps": table[:, 3],
    }
    for name, values in many.items():
        spread = getattr(found.estimate, name)
        low, lower, upper, high = np.percentile(values, [2.5, 5.0, 95.0, 97.5])
        assert (spread.p025, spread.p05, spread.p95, spread.p975) == pytest.approx((low, lower, upper, high)), name
        assert spread.half_width == pytest.approx(0.5 * (high - low)), name
        assert low < spread.nominal < high or name == "deploy_delay_error_s", name


def test_impulse_thrust_and_weight_by_hand(case):
    """Trapezoids of the curve; average thrust between the 5 % crossings of NFPA 1125 (from memory, not re-read)."""
    day, _entry, found, _flown = case
    time_s, thrust_n = np.array(day.motors[0].thrust_curve, float).T
    impulse_ns = sum(0.5 * (f + g) * (t - s) for s, t, f, g in zip(time_s, time_s[1:], thrust_n, thrust_n[1:]))
    assert found.estimate.impulse_ns == pytest.approx(impulse_ns) == pytest.approx(9.42)
    assert found.estimate.impulse_class == "C"  # over 5 and up to 10 newton-seconds
    assert found.estimate.liftoff_mass_kg == pytest.approx(0.06 + 0.024)
    # 5 % of 14 N is 0.7 N: crossed at 0.01 s, and on the last slope at 1.7 - 0.1 * 0.7 / 4.8
    start_s, end_s = 0.01, 1.7 - 0.1 * 0.7 / 4.8
    burning_ns = 9.42 - 0.5 * 0.7 * start_s - 0.5 * 0.7 * (1.7 - end_s)
    ratio = burning_ns / (end_s - start_s) / (0.084 * STANDARD_GRAVITY_MPS2)
    assert found.estimate.thrust_to_weight == pytest.approx(ratio, rel=0.003)  # gravity at 32 degrees is 0.1 % less


def test_landing_energy_is_half_m_v_squared(case):
    """What comes down is the rocket and its burnt-out motor: 0.060 + 0.024 - 0.011 kg.

    A glider that sinks at v flies on at 2.5 v: its speed squared is v² (1 + 2.5²).
    """
    _day, _entry, found, _flown = case
    streamer = quick_day()
    plain = assess_entry(streamer, streamer.entry_by_id("n1"), threads=1)
    for each, factor in ((found, 1.0 + 2.5**2), (plain, 1.0)):
        for statistic in ("nominal", "p05", "p95"):
            energy_j = 0.5 * 0.073 * factor * getattr(each.estimate.descent_speed_mps, statistic) ** 2
            assert getattr(each.estimate.landing_energy_j, statistic) == pytest.approx(energy_j, rel=1e-3)


def test_a_dart_lands_with_all_its_speed():
    """Nothing opens: the slant of its path counts, not the fall alone."""
    day = quick_day(put("/entries/0/recovery", [{"name": "nothing", "kind": "none"}]))
    entry = day.entry_by_id("n1")
    landing = fly_entry(day, entry, day.conditions, 64, 1, 1).nominal.landings["planned"]
    assert landing.across_mps > 1.0
    energy_j = 0.5 * 0.073 * (landing.down_mps**2 + landing.across_mps**2)
    assert assess_entry(day, entry, threads=1).estimate.landing_energy_j.nominal == pytest.approx(energy_j, rel=1e-9)


def test_the_best_delay_is_from_burnout_to_apogee_and_opens_slowest(case):
    _day, _entry, found, _flown = case
    estimate = found.estimate
    assert estimate.burnout_s == pytest.approx(1.7, abs=0.02)
    assert estimate.best_delay_s.nominal == pytest.approx(estimate.apogee_s.nominal - estimate.burnout_s, abs=1e-9)
    best_s = 0.25 * round(4.0 * estimate.best_delay_s.nominal)
    delays = {"kind": "adjustable", "longest_s": 12.0, "shortest_s": 1.0, "step_s": 0.25}
    speeds = {}
    for delay_s in (best_s - 1.5, best_s, best_s + 1.5):
        day = quick_day(glider, put("/motors/0/delays", delays), put("/entries/0/delay_s", delay_s))
        each = assess_entry(day, day.entry_by_id("n1"), threads=1).estimate
        speeds[delay_s] = each.deploy_speed_mps.nominal
        assert each.deploy_delay_error_s.nominal == pytest.approx(
            abs(delay_s - estimate.best_delay_s.nominal), abs=0.01
        )
    assert min(speeds, key=speeds.get) == best_s
    late = speeds[best_s + 1.5]
    assert late == pytest.approx(math.hypot(9.8 * 1.5, speeds[best_s]), rel=0.2)  # falling freely for 1.5 s


def test_each_entry_lands_where_its_own_pad_stands():
    """The second pad lies 0.001 degrees, 94 m, west of the first."""
    day = quick_day()
    for entry_id in ("n1", "n2"):
        entry = day.entry_by_id(entry_id)
        pad = to_metres(day.pad_by_name(entry.pad).position)
        flown, found = fly_entry(day, entry, day.conditions, 64, 1, 1), assess_entry(day, entry, threads=1)
        for mode, landing in flown.nominal.landings.items():
            footprint = found.footprint(mode)
            expected = pad + np.array([landing.east_m, landing.north_m])
            assert to_metres(footprint.landing) == pytest.approx(expected, abs=0.1)
            middle = pad + flown.dispersed.landings[mode][:, :2].mean(axis=0)
            corners = np.concatenate([to_metres(r) for p in footprint.contours[0].geometry["coordinates"] for r in p])
            assert np.all(corners.min(axis=0) < middle) and np.all(middle < corners.max(axis=0))


def windy(from_deg: float):
    """The same 5 m/s at every height, from one side; the pad upright."""

    def change(document) -> None:
        document["conditions"]["wind"] = [
            {"height_m": height_m, "speed_mps": 5.0, "from_deg": from_deg} for height_m in (3.0, 300.0, 2500.0)
        ]
        document["entries"][0]["recovery"] = [
            {"name": "it", "kind": "parachute", "descent_speed_mps": 2.0, "deploy": {"at": "motor_delay"}}
        ]

    return change


@pytest.mark.parametrize(("from_deg", "east", "north"), [(270.0, 1, 0), (90.0, -1, 0), (180.0, 0, 1), (0.0, 0, -1)])
def test_a_canopy_drifts_down_wind_and_a_stable_rocket_turns_into_it(from_deg, east, north):
    """Wind that comes from the west carries a canopy east at its own speed; a ballistic flight ends up wind."""
    day = quick_day(windy(from_deg))
    found = assess_entry(day, day.entry_by_id("n1"), threads=1)
    down_wind = np.array([east, north], float)
    under_canopy, ballistic = (to_metres(found.footprint(m).landing) for m in ("planned", "no_deployment"))
    assert under_canopy @ down_wind > 100.0
    assert ballistic @ down_wind < -10.0
    across = np.array([-north, east], float)
    assert abs(under_canopy @ across) < 0.05 * (under_canopy @ down_wind)
    opened, landed = (next(e for e in found.track.events if word in e.name) for word in ("opens", "landing"))
    drifted = np.array([landed.east_m - opened.east_m, landed.north_m - opened.north_m]) @ down_wind
    assert drifted / (landed.time_s - opened.time_s) == pytest.approx(5.0, rel=0.03)
    assert (opened.height_m - landed.height_m) / (landed.time_s - opened.time_s) == pytest.approx(2.0, rel=0.05)


def test_expected_casualties_by_hand(case):
    """Sum over modes: chance of the mode, of the zone, people there, struck share of the zone (manner of RCC 321).

    Struck area: the body's outline grown by a person's radius of 0.3 m, swept over 1.8 m of height by the slant.
    """
    day, _entry, found, flown = case
    ring = to_metres(day.field.zones[0].geometry.model_dump(mode="json")["coordinates"][0])
    zone_m2 = 0.5 * abs(np.sum(ring[:-1, 0] * ring[1:, 1] - ring[1:, 0] * ring[:-1, 1]))
    length_m, diameter_m, r = 0.42, 0.025, 0.3
    total = 0.0
    for mode, chance, flat in (("planned", 0.96, True), ("no_deployment", 0.04, False)):
        nominal = flown.nominal.landings[mode]
        slant = 1.8 * nominal.across_mps / nominal.down_mps
        slant = min(slant, 1.8 / math.tan(math.radians(10.0)))  # no flatter than ten degrees
        if flat:
            struck = (
                length_m * diameter_m + 2 * r * (length_m + diameter_m) + math.pi * r**2 + (length_m + 2 * r) * slant
            )
        else:
            struck = math.pi * (r + diameter_m / 2) ** 2 + (diameter_m + 2 * r) * slant
        landing = inside(landings(flown, mode), ring).mean()
        total += chance * landing * 25 * struck / zone_m2
    assert total > 0.0
    assert found.risk.collective == pytest.approx(total, rel=1e-3)
    assert found.risk.individual == pytest.approx(total / 25.0, rel=1e-3)
    assert sum(share.collective for share in found.risk.shares) == pytest.approx(found.risk.collective)
