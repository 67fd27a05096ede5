"""Aiming against brute force, symmetry and the published limits of the lean."""

from __future__ import annotations

import functools
import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

from service.flight import dispersion
from service.flight.nominal import simulate
from service.models.rule import Rule
from service.planning.advise.errors import AdviceStopped
from service.planning.advise.trials import RANK, standings
from service.planning.aim.aim import aim_entry
from service.planning.aim.errors import NothingToAim
from service.planning.aim.landings import Landings
from service.planning.aim.limit import tilt_limit
from service.planning.aim.settings import coarse_grid, setting
from service.planning.aim.solver import confirmed, solve
from service.planning.aim.text import aim_lines
from service.planning.aim.wording import costs
from service.planning.flight_inputs import flight_inputs, with_guide
from service.planning.ground import GroundZone
from service.planning.words import of_100
from tests.planning.advise.few_flights import assessed, demo, ground

TOLERANCE_M = 5.0  # a step of the lattice moves these landings by less
FEW = {"samples": 16, "most_samples": 128, "threads": 1}


@pytest.fixture(autouse=True)
def draws_kept(monkeypatch):
    """The same draws, made once: making them takes most of the time of sixteen flights."""
    monkeypatch.setattr(dispersion, "_normals", kept_draws)


kept_draws = functools.cache(dispersion._normals)


def wind(conditions, times=1.0, turn_deg=0.0):
    """The same winds, stronger and from elsewhere."""
    layers = tuple(
        each.model_copy(
            update={
                "speed_mps": each.speed_mps * times,
                "gust_mps": None if each.gust_mps is None else each.gust_mps * times,
                "from_deg": (each.from_deg + turn_deg) % 360.0,
            }
        )
        for each in conditions.wind
    )
    return conditions.model_copy(update={"wind": layers})


def landings(entry_id, conditions, target=None, samples=16, on=None):
    entry = demo().entry_by_id(entry_id)
    pad, there = demo().pad_by_name(entry.pad), on or ground()
    inputs = flight_inputs(demo(), entry, conditions)
    return Landings(inputs, pad, there, target or there.pad_at(pad), samples, threads=1)


@pytest.mark.parametrize("seed", [3, 8])
def test_no_worse_than_a_fine_grid(seed):
    rng = np.random.default_rng(seed)
    entry_id = str(rng.choice(["e-03", "e-07", "e-10", "e-12", "e-15"]))
    conditions = wind(demo().conditions, rng.uniform(0.3, 1.6), rng.uniform(0.0, 360.0))
    pad_at = ground().pad_at(demo().pad_by_name(demo().entry_by_id(entry_id).pad))
    target = tuple(value + rng.uniform(-60.0, 60.0) for value in pad_at)
    tried, most = landings(entry_id, conditions, target), 40
    found_setting, found = solve(tried, most)[0]
    assert found_setting.half_deg <= most
    fine = [tried.at(setting(half, bearing)) for half in range(0, most + 1, 5) for bearing in range(0, 360, 15)]
    best = min((each for each in fine if each), key=lambda each: each.key)
    assert found.key[:3] <= best.key[:3]
    assert found.distance_m <= best.distance_m + TOLERANCE_M
    assert found.distance_m < tried.at(setting(0, 0)).distance_m  # there was something to gain


def test_calm_air_leaves_it_upright_and_wind_is_leant_into():
    # by symmetry: in calm air every lean carries it away from the pad; in a wind, leaning up the wind brings it back
    calm = wind(demo().conditions, 0.0)
    upright, _ = solve(landings("e-07", calm), 40)[0]
    assert upright.tilt_deg <= 1.5  # 16 draws of a misset guide do not quite cancel
    uniform = wind(demo().conditions)
    uniform = uniform.model_copy(
        update={"wind": tuple(each.model_copy(update={"from_deg": 270.0}) for each in uniform.wind)}
    )
    into, _ = solve(landings("e-07", uniform), 60)[0]
    assert abs(into.azimuth_deg - 270) <= 15


def test_ballistic_flights_are_kept_off_people_where_another_setting_would():
    conditions = demo().conditions
    free = landings("e-07", conditions, on=replace(ground(), zones=()))
    best, there = solve(free, 40)[0]
    guide = replace(free.inputs.setup.guide, tilt_rad=best.tilt_rad, azimuth_rad=best.azimuth_rad)
    shut = simulate(with_guide(free.inputs, guide).setup, history=False).landings["no_deployment"]
    east, north = (a + b for a, b in zip(ground().pad_at(free.pad), (shut.east_m, shut.north_m), strict=True))
    picnic = shapely.box(east - 30.0, north - 30.0, east + 30.0, north + 30.0)
    crowd = GroundZone(ground().of_kind("people")[0].zone, picnic, picnic)
    guarded = landings("e-07", conditions, on=replace(ground(), zones=(crowd,)))
    assert guarded.at(best).ballistic_people > 0.05  # the nearest setting would drop it among them
    found_setting, found = solve(guarded, 40)[0]
    assert found.ballistic_people == min(guarded.at(each).ballistic_people for each in coarse_grid(40)) == 0.0
    assert found.distance_m >= there.distance_m and found_setting != best


LOCAL = Rule.model_validate(
    {
        "id": "local-lean", "protects": "the neighbours", "quantity": "tilt_deg", "at_most": 5.2, "weight": "club",
        "says": "No guide leans more than {limit} here.",
    }
)  # fmt: skip


@pytest.mark.parametrize(
    ("entry_id", "local", "half_deg"), [("e-07", (), 60), ("e-15", (), 40), ("e-15", (LOCAL,), 10)]
)
def test_the_strictest_limit_in_force_counts(entry_id, local, half_deg):
    # NAR Model Rocket Safety Code, item 6: 30 degrees; NAR High Power Rocket Safety Code, item 7: 20 (from memory)
    day = demo().model_copy(update={"local_rules": local})
    entry = day.entry_by_id(entry_id)
    pad = day.pad_by_name(entry.pad)
    found = tilt_limit(day, entry, pad, day.conditions, ground(), assessed(entry, day))
    assert found.half_deg == half_deg
    assert all(each.half_deg <= half_deg for each in coarse_grid(half_deg))


def test_where_people_are_within_reach_all_flights_decide_and_not_the_few_of_the_search():
    """Sixteen flights call many settings free of people that 128 do not."""
    conditions = wind(demo().conditions, 1.3)
    few = landings("e-05", conditions)
    every = few.with_samples(128)
    best_first = solve(few, 60)
    _, found = confirmed(best_first, few, every, 60)
    assert any(each.near_people for each in few.known.values())
    grid = [each for setting_ in coarse_grid(60) if (each := every.at(setting_)) is not None]
    assert all(each.samples == 128 for each in grid)
    assert found.key <= min(each.key for each in grid)
    seemed_free = [each for each, landed in best_first if landed.key[:3] == (0.0, False, 0.0)]
    assert any(every.at(each).key[:3] > (0.0, False, 0.0) for each in seemed_free[:40])


def test_where_a_flight_that_opens_nothing_goes_is_told_when_it_leaves_the_field():
    """Leant by 30 degrees with the wind behind, flights that open nothing leave the field."""
    tried = landings("e-14", demo().conditions, samples=64)
    upright, leant = tried.at(setting(0, 0)), tried.at(setting(60, 255))
    assert leant.ballistic_outside > upright.ballistic_outside + 0.2
    told = costs(upright, leant, None, None)
    assert len(told) == 1 and "nothing open" in told[0] and of_100(leant.ballistic_outside) in told[0]
    assert costs(leant, upright, None, None) == ()
    was, will = (
        assessed(entry, demo().model_copy(update={"field": demo().field.model_copy(update={"pads": (pad,)})})).estimate
        for entry in [demo().entry_by_id("e-14")]
        for tilt_deg in (0.0, 20.0)
        for pad in [
            demo().pad_by_name(entry.pad).model_copy(update={"tilt_deg": tilt_deg, "azimuth_deg": 255.0})
        ]
    )
    more = costs(upright, upright, was, will)
    assert any("apogee" in each for each in more)
    assert all("from" in each or "instead of" in each for each in more)


def test_verified_the_same_twice_and_told_in_words():
    entry, done = demo().entry_by_id("e-03"), []
    one = aim_entry(demo(), entry, ground=ground(), progress=lambda *told: done.append(told), **FEW)
    assert one == aim_entry(demo(), entry, ground=ground(), **FEW)
    assert done[-1][0] == done[-1][1] and [each[0] for each in done] == sorted(each[0] for each in done)
    assert one.after.distance_m < one.before.distance_m and one.after.tilt_deg <= one.limit_deg
    assert one.worst.distance_m > one.after.distance_m and one.limit_deg == 30.0
    day = demo().model_copy(
        update={"field": demo().field.model_copy(update={"pads": (one.pad_after,)})}
    )
    again = assessed(entry, day)
    assert again.standing == one.standing_after and again.footprint("planned").inside == one.inside_after
    text = "\n".join(aim_lines(one))
    assert one.words in " ".join(text.split()) and "not to be used" in text
    assert "safe " not in text.replace("safety", "")


def test_where_it_costs_something_a_milder_setting_does_not():
    entry = demo().entry_by_id("e-02")
    found = aim_entry(demo(), entry, ground=ground(), **FEW)
    assert found.worsens and found.milder is not None
    pad = found.milder.pad_after
    assert pad.tilt_deg < found.after.tilt_deg and found.milder.setting.distance_m < found.before.distance_m
    there = demo().model_copy(update={"field": demo().field.model_copy(update={"pads": (pad,)})})
    was, will = standings(assessed(entry)), standings(assessed(entry, there))
    assert not [rule for rule in will if RANK[will[rule]] > RANK[was.get(rule, "clear")]]
    costs = demo().model_copy(update={"field": demo().field.model_copy(update={"pads": (found.pad_after,)})})
    at_the_found = standings(assessed(entry, costs))
    assert [rule for rule in at_the_found if RANK[at_the_found[rule]] > RANK[was.get(rule, "clear")]]


def test_called_off_and_refused():
    entry = demo().entry_by_id("e-03")
    asked = iter(range(1000))
    with pytest.raises(AdviceStopped):
        aim_entry(demo(), entry, ground=ground(), should_stop=lambda: next(asked) > 5, **FEW)
    with pytest.raises(NothingToAim, match="outside the boundary"):
        aim_entry(demo(), entry, ground=ground(), target=(0.0, 0.0), **FEW)
    with pytest.raises(NothingToAim, match="on the field is needed"):
        aim_entry(demo(), entry, ground=ground(), target=(math.nan, 46.9), **FEW)
    crowd = ground().of_kind("people")[0].area.representative_point()
    with pytest.raises(NothingToAim, match="lies in"):
        aim_entry(demo(), entry, ground=ground(), target=ground().lonlat(crowd.x, crowd.y), **FEW)
