"""An entry from the document to its standing: each standing for a real reason, never clear where it is not known."""

from __future__ import annotations

import math
from concurrent.futures import Future, ProcessPoolExecutor, ThreadPoolExecutor
from datetime import timedelta
from multiprocessing import get_context

import pytest

from service.models.finding import WORST_FIRST, worst_standing
from service.planning.assess import SAMPLE_CAP, assess_day, assess_entry, attention, modes_of
from service.planning.flight_inputs import flight_inputs
from tests.planning.quick import assessed, device, drop, put, quick_day, rule, too_fast, too_heavy

DOCUMENT = "0" * 64


def with_low_ceiling(document):
    """300 m above sea level over a field at 180 m: 120 m of air for a rocket that goes over 200 m."""
    document["ceiling"] = {"height_m": 300.0, "datum": "msl"}


def slow_exit(document):
    document["field"]["pads"][0]["guide_length_m"] = 0.3


def big_slow_canopy(document):
    document["entries"][0]["recovery"] = [
        {"name": "it", "kind": "parachute", "descent_speed_mps": 5.0, "deploy": {"at": "motor_delay"}}
    ]


def test_a_ceiling_that_is_broken_stops():
    found = assessed("n1", big_slow_canopy, with_low_ceiling)
    assert found.standing == "stop"
    stops = [finding for finding in found.findings if finding.standing == "stop"]
    assert [finding.rule for finding in stops] == ["club-ceiling"]
    assert stops[0].limit_si == pytest.approx(120.0) and stops[0].measured_si > 200.0
    assert "120 m" in found.decides


def test_a_high_power_rocket_meets_the_ceiling_where_no_code_speaks_of_such_rockets():
    """Practice alone is in force; 661 m nominal, 120 m of air."""
    found = assessed("n2", with_low_ceiling)
    assert found.standing == "stop" and rule(found, "club-ceiling").standing == "stop"
    under_a_code = assessed("n2", with_low_ceiling, put("/codes", ["practice", "us-high-power"]))
    assert rule(under_a_code, "us-hpr-ceiling").standing == "stop"
    assert not any(finding.rule == "club-ceiling" for finding in under_a_code.findings)  # not said twice


VISIBILITY = {
    "id": "our-sight", "protects": "aircraft", "kind": "measured", "weight": "club",
    "quantity": "visibility_m", "unit": "m", "at_least": 5000.0,
}  # fmt: skip


def test_a_visibility_that_nobody_measured_is_unknown():
    found = assessed("n1", big_slow_canopy, put("/local_rules", [VISIBILITY]))
    assert found.standing == "unknown"
    assert any("visibility" in sentence.lower() for sentence in found.unknowns)
    seen = assessed("n1", big_slow_canopy, put("/local_rules", [VISIBILITY]), put("/conditions/visibility_m", 9000.0))
    assert seen.standing == "clear"


def test_an_airframe_that_is_not_described_is_unknown():
    found = assessed("n3")
    assert found.standing == "unknown"
    unknown = {f.rule for f in found.findings if f.standing == "unknown"}
    assert unknown == {"adv-margin-low", "adv-margin-least", "mot-stable"}
    assert "margin drawn from 1 to 3 calibers" in found.unknowns[0]
    estimate = found.estimate
    assert estimate.apogee_m.nominal > 100.0
    assert estimate.damping_ratio is None  # what hangs on the fins is not told from fins that were made up
    assert estimate.static_margin_cal.nominal is None and estimate.static_margin_cal.p95 is None
    assert estimate.least_static_margin_cal.nominal is None


def test_a_slow_exit_cautions():
    found = assessed("n1", big_slow_canopy, slow_exit)
    assert found.standing == "caution"
    slow = rule(found, "adv-exit-speed")
    assert slow.standing == "caution" and slow.measured < slow.limit == pytest.approx(30.0)
    assert any(slow.statement in sentence for sentence in found.cautions)


def test_nothing_amiss_is_clear():
    found = assessed("n1", big_slow_canopy, put("/entries/0/rocket/airframe/lugs_from_nose_m", [0.27]))
    assert found.standing == "clear" and found.unknowns == ()
    assert found.decides == "Every computed and measured check is met."
    assert found.answer.startswith("Comes down inside the field in all of 256 simulated flights; nearest edge")
    assert "Local code, the authority having jurisdiction" in found.cautions[-1]


@pytest.mark.parametrize(
    ("change", "entry_id", "words"),
    [(too_heavy, "n1", "never carries the rocket"), (too_fast, "n2", "Mach 3")],
)
def test_what_cannot_be_flown_is_not_cleared_and_the_rest_still_is_assessed(change, entry_id, words):
    result = assess_day(quick_day(big_slow_canopy, change), DOCUMENT)
    by_id = {each.entry: each for each in result.assessments}
    lost = by_id.pop(entry_id)
    assert lost.standing in ("unknown", "stop")
    assert words in lost.decides and words in lost.answer and words in lost.unknowns[0]
    assert lost.estimate is None and lost.track is None and lost.risk is None and lost.samples == 0
    assert not any(
        f.standing == "clear" for f in lost.findings if f.quantity in ("apogee_m", "outside_chance", "exit_speed_mps")
    )
    assert len(by_id) == 2 and all(each.estimate is not None and each.samples >= 64 for each in by_id.values())
    assert result.standings["clear"] == (1 if entry_id == "n2" else 0)


def test_what_cannot_be_flown_is_unknown_though_every_rule_that_can_be_checked_is_met():
    wind = {**VISIBILITY, "id": "our-wind", "quantity": "surface_wind_mps", "unit": "m/s"}
    del wind["at_least"]
    rules = put("/local_rules", [{**wind, "at_most": 9.0}])
    flown, lost = assessed("n1", put("/codes", []), rules), assessed("n2", put("/codes", []), rules, too_fast)
    assert {finding.standing for finding in flown.findings} == {"clear"}
    assert {f.standing for f in lost.findings if f.rule == "our-wind"} == {"clear"}
    assert flown.standing == "clear" and lost.standing == "unknown"


def test_a_drift_beyond_belief_is_unknown_and_harms_no_other_entry():
    """0.3 m/s down from some 200 m in 110 m/s of wind is 70 km; from 30 km of height it would be past 1,000 km."""

    def storm(document):
        document["conditions"]["wind"][1].update(speed_mps=120.0)
        document["conditions"]["wind"][2].update(speed_mps=120.0)
        document["entries"][1]["recovery"] = [
            {"name": "it", "kind": "parachute", "descent_speed_mps": 0.3, "deploy": {"at": "apogee"}}
        ]
        document["entries"][1]["rocket"]["mass_kg"] = 0.3
        document["entries"][1]["rocket"]["known"] = {"drag_coefficient": 0.02}
        document["entries"][1]["rocket"]["pitch_inertia_kgm2"] = None
        document["field"]["pads"][1]["tilt_deg"] = 0.0

    result = assess_day(quick_day(storm), DOCUMENT)
    assert {each.entry for each in result.assessments} == {"n1", "n2", "n3"}
    far = next(each for each in result.assessments if each.entry == "n2")
    assert far.standing in ("stop", "unknown")


def test_flights_that_leave_the_model_leave_the_landing_unknown():
    """Nominally Mach 2.9 and flyable; of the dispersed flights some pass Mach 3."""

    def nearly_too_fast(document):
        too_fast(document)
        document["entries"][1]["rocket"]["known"] = {"drag_coefficient": 0.1}

    found = assessed("n2", nearly_too_fast)
    assert found.estimate is not None and 2.5 < found.estimate.greatest_mach.nominal < 3.0
    assert found.standing in ("unknown", "stop")
    assert "of 64 dispersed flights could not be computed" in found.unknowns[0]
    assert found.footprint("planned").inside is None and found.risk is None
    assert rule(found, "club-footprint").standing == "unknown"


def near_limit(caution: float, samples: int = 64):
    def change(document):
        document["policy"].update(outside_caution=caution, outside_stop=0.9, samples=samples)

    return change


def glider(document):
    """Comes down anywhere within six times its height: some of that lies outside a field of 1.1 km each way."""
    document["entries"][0]["recovery"] = [
        {"name": "it", "kind": "glide", "descent_speed_mps": 1.5, "glide_ratio": 6.0, "deploy": {"at": "motor_delay"}}
    ]


def test_more_samples_are_drawn_near_a_threshold_and_no_more_than_needed():
    plain = assessed("n1", glider, near_limit(0.02, samples=256))
    assert plain.samples == 256  # a quarter of the flights lies outside: 2 % is far off
    truth = assessed("n1", glider, near_limit(0.02, samples=8192)).footprint("planned")
    share = 1.0 - truth.inside.estimate
    close = assessed("n1", glider, near_limit(round(share + 0.02, 3)))
    assert close.samples in (256, 1024, 4096)
    assert rule(close, "adv-footprint").standing == "clear"


def test_at_the_cap_a_verdict_too_near_to_call_stands_at_unknown():
    first = assessed("n1", glider, near_limit(0.02, samples=1024))
    share = 1.0 - first.footprint("planned").inside.estimate
    found = assessed("n1", glider, near_limit(share), most_samples=1024)
    near = rule(found, "adv-footprint")
    assert found.samples == 1024 < SAMPLE_CAP
    assert near.standing == "unknown" and found.standing in ("unknown", "stop")
    assert "too near to call" in near.note
    assert any("too near to call" in sentence for sentence in found.unknowns)


def test_samples_drawn_in_parts_are_those_drawn_at_once():
    at_once = assessed("n1", glider, near_limit(0.02, samples=256))
    share = 1.0 - at_once.footprint("planned").inside.estimate
    in_parts = assessed("n1", glider, near_limit(share + 0.045))
    assert in_parts.samples >= 256
    whole = assessed("n1", glider, near_limit(share + 0.045, samples=in_parts.samples))
    assert in_parts.footprint("planned") == whole.footprint("planned") and in_parts.estimate == whole.estimate


def test_more_samples_come_down_ballistic_only_where_that_mode_is_in_doubt():
    share = 1.0 - assessed("n1", glider, near_limit(0.02, samples=256)).footprint("planned").inside.estimate
    grown = assessed("n1", glider, near_limit(share + 0.01, samples=256), most_samples=1024)
    once = assessed("n1", glider, near_limit(share + 0.01, samples=256), most_samples=256)
    assert grown.samples == 1024 and once.samples == 256
    assert grown.footprint("planned").samples == 1024
    assert grown.footprint("no_deployment") == once.footprint("no_deployment")
    assert once.footprint("no_deployment").samples == 256


class OneByOne(ThreadPoolExecutor):
    """Does each job as it is handed in."""

    def submit(self, fn, /, *args, **kwargs):
        done: Future = Future()
        done.set_result(fn(*args, **kwargs))
        return done


def figures(result: dict) -> list[dict]:
    """Everything but the engine's name: another process reads the source again, which somebody may be editing."""
    return [
        {name: value for name, value in each.items() if name not in ("engine", "id")} for each in result["assessments"]
    ]


def test_the_answer_depends_on_no_thread_count_and_no_executor():
    day = quick_day(put("/policy/samples", 256))
    entry = day.entry_by_id("n2")
    one, two = (assess_entry(day, entry, threads=count).model_dump() for count in (1, 2))
    assert one == two
    alone = assess_day(day, DOCUMENT, executor=OneByOne()).model_dump()
    with ThreadPoolExecutor(3) as pool:
        threads = assess_day(day, DOCUMENT, executor=pool).model_dump()
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        processes = assess_day(day, DOCUMENT, executor=pool).model_dump()
    assert alone == threads == assess_day(day, DOCUMENT).model_dump()
    assert figures(processes) == figures(alone)
    assert one in alone["assessments"]


def test_the_order_is_that_of_attention():
    result = assess_day(quick_day(big_slow_canopy), DOCUMENT)
    ranks = [WORST_FIRST.index(each.standing) for each in result.assessments]
    assert ranks == sorted(ranks)
    # n2's upper bound of 723 m passes the 720 m of air, n3 has no airframe, nothing is amiss with n1
    assert [each.entry for each in result.assessments] == ["n2", "n3", "n1"]
    assert result.assessments == tuple(sorted(result.assessments, key=attention))
    assert result.standings == {"stop": 1, "unknown": 1, "caution": 0, "clear": 1}
    for each in result.assessments:
        assert each.standing == worst_standing(each.findings)
        order = [WORST_FIRST.index(finding.standing) for finding in each.findings]
        assert order == sorted(order)


def test_progress_is_told_entry_by_entry():
    told = []
    assess_day(quick_day(), DOCUMENT, progress=lambda *what: told.append(what))
    assert [done for done, _total, _entry in told] == [1, 2, 3]
    assert {total for _done, total, _entry in told} == {3}
    assert {entry for _done, _total, entry in told} == {"n1", "n2", "n3"}


def test_an_entry_named_twice_is_assessed_once():
    result = assess_day(quick_day(), DOCUMENT, entries=["n1", "n1"])
    assert [each.entry for each in result.assessments] == ["n1"]
    assert sum(result.standings.values()) == 1


def test_an_entry_that_is_not_there_is_an_error():
    with pytest.raises(KeyError):
        assess_day(quick_day(), DOCUMENT, entries=["n9"])


def test_a_day_without_entries_has_none():
    result = assess_day(quick_day(put("/entries", [])), DOCUMENT)
    assert result.assessments == () and set(result.standings.values()) == {0}


def cluster(document):
    rocket = document["entries"][0]["rocket"]
    document["entries"][0]["motor_count"] = 3
    rocket["mass_kg"] = 0.2
    rocket["airframe"]["diameter_m"] = 0.05
    rocket["airframe"]["fins"][0]["span_m"] = 0.07
    document["mode_chances"] = {"one_unlit": 0.08}


def test_a_cluster_has_a_mode_in_which_one_motor_stays_unlit():
    found = assessed("n1", big_slow_canopy, cluster)
    assert modes_of(found) == ["planned", "no_deployment", "one_unlit"]
    planned, unlit = found.footprint("planned"), found.footprint("one_unlit")
    assert unlit.chance == 0.08 and unlit.inside is not None and unlit.contours
    assert planned.chance == pytest.approx(1.0 - 0.08 - 0.03)  # 0.03 of flights without deployment is the default
    assert unlit.landing != planned.landing
    assert rule(found, "adv-people-unlit").standing == "clear"
    assert found.motor.startswith("3 × Alfar C6")
    assert found.estimate.impulse_ns == pytest.approx(3.0 * assessed("n1").estimate.impulse_ns)


def test_the_motors_that_light_push_beside_the_axis():
    """Three motors of 18 mm in a ring, touching: axes 9 mm / sin 60° out; the two that pull lie half that off."""
    day = quick_day(cluster)
    entry = day.entry_by_id("n1")
    whole, unlit = (flight_inputs(day, entry, day.conditions, unlit=count).setup for count in (0, 1))
    assert unlit.thrust.thrust_n == pytest.approx(whole.thrust.thrust_n * 2.0 / 3.0)
    assert whole.thrust_offset_m == 0.0
    assert unlit.thrust_offset_m == pytest.approx(0.009 / math.sin(math.radians(60.0)) / 2.0)
    assert float(unlit.mass.mass_kg[-1]) == pytest.approx(float(whole.mass.mass_kg[-1]) + 0.011)  # unburnt propellant


def test_a_single_motor_has_no_such_mode():
    assert modes_of(assessed("n1")) == ["planned", "no_deployment"]
    assert modes_of(assessed("n2")) == ["planned", "no_deployment", "drogue_only", "main_at_apogee"]


SIZES = [
    ("streamer", {"length_m": 0.6, "width_m": 0.06}, (5.0, 20.0)),
    ("helicopter", {"diameter_m": 0.4}, (1.0, 8.0)),
    ("glide", {"descent_speed_mps": 1.5, "glide_ratio": 4.0}, (1.4, 1.6)),
    ("tumble", {}, (8.0, 25.0)),
    ("parachute", {"diameter_m": 0.3}, (2.0, 6.0)),
]


@pytest.mark.parametrize(("kind", "sizes", "bounds_mps"), SIZES, ids=[row[0] for row in SIZES])
def test_every_kind_of_recovery_comes_down_as_such_things_do(kind, sizes, bounds_mps):
    """Bounds from common experience with a 60 g model, not from the program."""
    found = assessed("n1", device(kind=kind, **sizes))
    assert bounds_mps[0] < found.estimate.descent_speed_mps.nominal < bounds_mps[1]
    assert found.standing != "unknown" and found.footprint("planned").inside is not None


def test_a_glider_may_land_anywhere_within_its_reach():
    found = assessed("n1", device(kind="glide", descent_speed_mps=1.5, glide_ratio=4.0))
    upright = assessed("n1", device(kind="parachute", descent_speed_mps=1.5))
    wide, narrow = (each.footprint("planned").contours[-1].area_m2 for each in (found, upright))
    assert wide > 2.0 * narrow
    reach_m = 4.0 * found.estimate.deploy_height_m.nominal
    assert found.footprint("planned").farthest_m < 1.5 * reach_m + upright.footprint("planned").farthest_m


def test_nothing_to_open_is_ballistic_and_known_as_such():
    found = assessed("n1", put("/entries/0/recovery", [{"name": "nothing", "kind": "none"}]))
    assert modes_of(found) == ["planned"]
    with_ribbon = assessed("n1")
    assert found.footprint("planned").landing == with_ribbon.footprint("no_deployment").landing
    assert found.estimate.descent_speed_mps.nominal > 30.0
    assert found.estimate.deploy_s.nominal is None
    assert rule(found, "adv-people-ballistic").measured is not None
    assert found.standing != "clear"


def still_air(document):
    document["conditions"]["wind"] = [{"height_m": 3.0, "speed_mps": 0.0, "from_deg": 0.0}]


def canopy(entry: int, speed_mps: float):
    return put(
        f"/entries/{entry}/recovery",
        [{"name": "it", "kind": "parachute", "descent_speed_mps": speed_mps, "deploy": {"at": "motor_delay"}}],
    )


@pytest.mark.parametrize(("number", "entry_id"), [(0, "n1"), (2, "n3")])
@pytest.mark.parametrize("speed_mps", [3.0, 5.5, 9.0])
def test_a_stated_descent_speed_comes_back(number, entry_id, speed_mps):
    """The speed is stated for the field, and landing is at the field: in still air it has to come out again."""
    found = assessed(entry_id, canopy(number, speed_mps), still_air)
    assert found.estimate.descent_speed_mps.nominal == pytest.approx(speed_mps, rel=0.01)


@pytest.mark.parametrize("speed_mps", [3.0, 5.5, 9.0])
def test_wind_that_dies_at_the_ground_brakes_a_canopy_a_little(speed_mps):
    """It still has the wind of a few metres higher up: air from the side adds drag, a few per cent, never a push."""
    found = assessed("n1", canopy(0, speed_mps)).estimate.descent_speed_mps.nominal
    assert 0.95 * speed_mps < found < 1.001 * speed_mps


def test_a_stated_speed_of_the_second_device_comes_back():
    low = {"at": "altitude", "altitude_m": 150.0}
    main = {"name": "main", "kind": "parachute", "descent_speed_mps": 5.0, "deploy": low}
    found = assessed("n2", put("/entries/1/recovery/1", main), still_air)
    assert found.estimate.descent_speed_mps.nominal == pytest.approx(5.0, rel=0.01)


def test_a_closed_window_leaves_the_ceiling_unknown():
    """The only ceiling opens at 10:00; the conditions are of 09:40."""
    window = {"height_m": 900.0, "datum": "agl", "from": "2028-07-09T10:00:00-03:00", "to": "2028-07-09T12:00:00-03:00"}
    shut = assessed("n1", big_slow_canopy, put("/ceiling", [window]))
    assert shut.standing == "unknown" and rule(shut, "club-ceiling").limit is None
    still_open = assessed(
        "n1", big_slow_canopy, put("/ceiling", [window]), put("/conditions/observed_at", "2028-07-09T10:00:00-03:00")
    )
    assert still_open.standing == "clear" and rule(still_open, "club-ceiling").limit_si == pytest.approx(900.0)


def test_a_ceiling_above_the_sea_is_held_above_the_field():
    found = assessed("n1", big_slow_canopy)
    assert rule(found, "club-ceiling").limit_si == pytest.approx(900.0 - 180.0)


def test_a_window_that_hangs_on_a_call_does_not_count():
    """At 10:30 the higher window is open, but only after a call to the tower."""
    found = assessed("n1", big_slow_canopy, put("/conditions/observed_at", "2028-07-09T10:30:00-03:00"))
    assert rule(found, "club-ceiling").limit_si == pytest.approx(720.0)
    half_past = put("/conditions/observed_at", "2028-07-09T10:30:00-03:00")
    both = assessed("n1", big_slow_canopy, half_past, drop("/ceiling/1/condition"))
    assert rule(both, "club-ceiling").limit_si == pytest.approx(720.0)  # the lower one holds all day
    lower_ends = put("/ceiling/0/to", "2028-07-09T10:00:00-03:00")
    called = assessed("n1", big_slow_canopy, half_past, drop("/ceiling/1/condition"), lower_ends)
    assert rule(called, "club-ceiling").limit_si == pytest.approx(2200.0 - 180.0)


def test_no_zone_of_people_is_not_no_people():
    found = assessed("n1", big_slow_canopy, put("/field/zones", []))
    assert found.standing == "unknown" and rule(found, "adv-people").standing == "unknown"
    assert found.footprint("planned").people is None and found.risk is None


def test_old_conditions_caution():
    day = quick_day(big_slow_canopy)
    entry = day.entry_by_id("n1")
    later = day.conditions.observed_at + timedelta(minutes=31)
    found = assess_entry(day, entry, at=later)
    assert found.standing == "caution" and rule(found, "adv-conditions-age").measured == pytest.approx(31.0)
    assert found.id != assess_entry(day, entry).id


def test_conditions_held_against_no_moment_have_no_age_and_none_is_cleared():
    found = assessed("n1", big_slow_canopy)
    assert not any(finding.rule == "adv-conditions-age" for finding in found.findings)
    asked = next(item for item in found.checklist if item.rule == "adv-conditions-age")
    assert asked.per == "day" and not asked.answered and "30 min" in asked.text


def test_a_reading_timed_ahead_of_the_moment_is_unknown():
    day = quick_day(big_slow_canopy)
    entry, read_at = day.entry_by_id("n1"), day.conditions.observed_at
    ahead = assess_entry(day, entry, at=read_at - timedelta(minutes=20))
    assert ahead.standing == "unknown" and rule(ahead, "adv-conditions-age").standing == "unknown"
    assert any("timed ahead" in sentence for sentence in ahead.unknowns)
    of_no_moment, new = assess_entry(day, entry), assess_entry(day, entry, at=read_at)
    assert new.standing == "clear" and rule(new, "adv-conditions-age").standing == "clear"
    assert len({ahead.id, of_no_moment.id, new.id}) == 3


def test_what_never_leaves_its_guide_stops_and_says_so_first():
    found = assessed("n1", too_heavy)
    assert found.standing == "stop" and found.estimate is None
    assert {f.rule for f in found.findings if f.standing == "stop"} >= {"mot-lifts", "mot-leaves-guide"}
    assert found.decides.startswith("Average thrust is more than the weight at lift-off. Found: 0.")
    assert "The flight could not be computed: the thrust never carries" in found.decides


def test_the_unlit_motor_may_stand_on_any_side():
    """Upright in calm air nothing says which way a cluster with one motor unlit should lean."""
    import numpy as np

    from service.planning.assess import fly_entry
    from tests.planning.quick import quick_day

    calm = put("/conditions/wind", [{"height_m": 2.0, "speed_mps": 0.0, "from_deg": 0.0}])
    day = quick_day(big_slow_canopy, cluster, calm)
    flown = fly_entry(day, day.entry_by_id("n1"), day.conditions, 256, 1, 1)
    figures = flown.unlit[1].figures
    bearing = np.degrees(np.arctan2(figures["apogee_east_m"], figures["apogee_north_m"])) % 360.0
    counts, _ = np.histogram(bearing, bins=4, range=(0.0, 360.0))
    assert counts.min() > 256 / 8, counts


def test_a_delay_longer_than_the_flight_stops():
    late = [put("/motors/0/delays", {"kind": "fixed", "seconds": [3.0, 5.0, 30.0]}), put("/entries/0/delay_s", 30.0)]
    found = assessed("n1", put("/motors/0/designation", "C6"), *late)
    opens = rule(found, "mot-opens")
    assert opens.standing == "stop" and opens.measured == 100.0 and found.standing == "stop"
    assert found.footprint("planned").descent_speed_mps > 20.0  # nothing slows it
    assert rule(assessed("n1"), "mot-opens").standing in ("clear", "unknown")
