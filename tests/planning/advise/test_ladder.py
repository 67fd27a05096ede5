"""What stands on a rung, what the aims pick, and how it is called off; brute force has its own file."""

from __future__ import annotations

from decimal import Decimal

import pytest

from service.models.advice import Ladder
from service.planning.advise import ladder as module
from service.planning.advise.aims import pick, picks
from service.planning.advise.errors import NothingToAdvise
from service.planning.advise.ladder import FLOOR_MPS, motor_ladder
from service.planning.advise.text import ladder_lines, pick_lines
from tests.planning.advise.few_flights import FEW, assessed, demo, ground

LADDERS: dict[str, Ladder] = {}


def entry_of(entry_id: str):
    """An entry of the demo; Plover comes with the canopy that it lacks, so that some motors pass."""
    entry = demo().entry_by_id(entry_id)
    if entry_id == "e-11":
        entry = entry.model_copy(update={"recovery": (entry.recovery[0].model_copy(update={"diameter_m": 0.7}),)})
    return entry


def ladder(entry_id: str) -> Ladder:
    if entry_id not in LADDERS:
        LADDERS[entry_id] = motor_ladder(demo(), entry_of(entry_id), ground=ground(), **FEW)
    return LADDERS[entry_id]


@pytest.mark.parametrize("entry_id", ["e-02", "e-07", "e-11", "e-17"])
def test_every_motor_stands_once_on_the_ladder_or_beside_it_with_a_reason(entry_id):
    found = ladder(entry_id)
    ids = [rung.motor for rung in found.rungs] + [each.motor for each in found.excluded]
    assert sorted(ids) == sorted(motor.id for motor in demo().motors)
    assert all(each.why.endswith((".", ").")) and len(each.why) > 10 for each in found.excluded)


def test_a_rung_that_passes_was_flown_in_full_and_stands_as_the_assessment_says():
    entry = demo().entry_by_id("e-07")
    for rung in ladder("e-07").rungs:
        if rung.passes:
            again = assessed(entry.model_copy(update={"motor": rung.motor, "delay_s": rung.delay_s}))
            assert (again.standing, again.samples) == ("clear", rung.samples) == (rung.standing, demo().policy.samples)
            assert rung.apogee_m == again.estimate.apogee_m


def test_the_delay_chosen_can_be_had_and_is_near_the_best():
    for entry_id in ("e-07", "e-11"):
        for rung in ladder(entry_id).rungs:
            offered = demo().motor_by_id(rung.motor).delays.offered_s()
            assert rung.delay_s in offered
            if rung.passes:  # 2 s around apogee is what the check itself asks for
                assert abs(rung.delay_s - rung.best_delay_s.nominal) <= 2.0
                assert rung.best_deploy_speed_mps is not None


def test_floor_is_thirty_miles_an_hour_or_four_times_the_wind():
    """30 mph of 0.44704 m/s (exact by the yard of 1959); 2.8 m/s at the pads, a guide leant 3 degrees: under that."""
    assert FLOOR_MPS == pytest.approx(30 * 0.44704, abs=1e-9)
    assert ladder("e-07").rungs[0].exit_floor_mps == pytest.approx(13.4112)
    windy = demo().conditions.model_copy(
        update={"wind": tuple(level.model_copy(update={"speed_mps": 3.0 * level.speed_mps, "gust_mps": None})
                              for level in demo().conditions.wind)}
    )  # fmt: skip
    only = demo().model_copy(update={"motors": (demo().motor_by_id("lantern-d9"),)})
    rung = motor_ladder(only, only.entry_by_id("e-07"), conditions=windy, ground=ground(), **FEW).rungs[0]
    assert rung.exit_floor_mps == pytest.approx(4.0 * 8.4, rel=0.01)


def test_cost_is_the_pack_over_its_flights_for_every_motor_of_a_cluster():
    """By hand: 21.00 for three is 7.00; two C11 at 17.50 for three each are 11.666..., halves up 11.67."""
    assert Decimal(ladder("e-07").rung("lantern-d9").cost.amount) == Decimal("7.00")
    assert ladder("e-08").rung("lantern-c11").cost.amount == "11.67"
    assert ladder("e-02").rung("lantern-half-a3").cost.amount == "2.85"


def test_aims_pick_what_they_say():
    found, day = ladder("e-11"), demo()
    passing = [rung for rung in found.rungs if rung.passes]
    by_aim = {each.aim: each for each in picks(found, day, altitude_m=100.0)}
    assert by_aim["highest"].motor == max(passing, key=lambda rung: rung.apogee_m.nominal).motor
    assert by_aim["fastest"].motor == max(passing, key=lambda rung: rung.greatest_speed_mps).motor
    assert by_aim["cheapest"].motor == min(passing, key=lambda rung: Decimal(rung.cost.amount)).motor
    assert by_aim["altitude"].motor == min(passing, key=lambda rung: abs(rung.apogee_m.nominal - 100.0)).motor
    place = [rung.motor for rung in passing].index(by_aim["gentle"].motor)
    assert place in (1, 2) or len(passing) == 1
    assert pick(found, day, "effect", effect="green sparks").motor is None
    with pytest.raises(NothingToAdvise, match="height above zero"):
        pick(found, day, "altitude")


def test_a_beginner_is_offered_single_use_first_and_told_why():
    found = ladder("e-02")
    gentle = pick(found, demo(), "gentle")
    assert found.beginner
    assert found.rung(gentle.motor).case == "single_use"
    assert "single use first" in gentle.why and "put together" in gentle.why


def standing_at(entry_id: str, standing: str, **changes) -> Ladder:
    """A ladder whose every rung stands there, as if it did."""
    made = [
        rung.model_copy(update={"passes": standing == "clear", "standing": standing, "not_clear": ("x",), **changes})
        for rung in ladder(entry_id).rungs
    ]
    return ladder(entry_id).model_copy(update={"rungs": tuple(made)})


def test_what_stands_at_stop_is_never_picked():
    each = pick(standing_at("e-08", "stop"), demo(), "highest")
    assert each.motor is None and each.why.startswith("No motor on offer passes every check.")


def test_where_none_passes_one_at_caution_is_picked_and_marked():
    found = standing_at("e-08", "caution", samples=demo().policy.samples, stays=True)
    for each in picks(found, demo(), altitude_m=100.0):
        rung = found.rung(each.motor)
        assert each.standing == "caution" and f"It stands at CAUTION. {rung.decides}" in each.why
    text = "\n".join(pick_lines(found, picks(found, demo())))
    assert text.count("(caution)") == 4 and "none." not in text
    few = standing_at("e-08", "caution", samples=FEW["samples"], stays=True)
    assert pick(few, demo(), "highest").motor is None, "few flights are not enough to pick on"


def test_a_gentle_flight_at_caution_is_on_what_misses_least():
    enough = {"samples": demo().policy.samples, "stays": True}
    found = standing_at("e-08", "caution", **enough, shortfall=0.5, not_clear=("x", "y"))
    *others, last = found.rungs
    for better in ({"not_clear": ("x",)}, {"shortfall": 0.1}):
        mixed = found.model_copy(update={"rungs": (*others, last.model_copy(update=better))})
        assert pick(mixed, demo(), "gentle").motor == last.motor


def test_where_none_passes_those_at_caution_are_flown_in_full():
    """Anvil is too heavy for the motors that fit it: none passes, most stand at caution."""
    found = ladder("e-09")
    assert not any(rung.passes for rung in found.rungs)
    cautioned = [rung for rung in found.rungs if rung.standing == "caution"]
    assert cautioned and all(rung.samples >= demo().policy.samples for rung in cautioned)
    assert all(each.motor and each.standing == "caution" for each in picks(found, demo()) if each.aim != "highest")


def test_the_highest_at_caution_stays_inside_the_field_and_under_the_ceiling():
    found = standing_at("e-08", "caution", samples=demo().policy.samples, stays=True)
    *lower, top = found.rungs
    assert pick(found, demo(), "highest").motor == top.motor
    outside = found.model_copy(update={"rungs": (*lower, top.model_copy(update={"stays": False}))})
    assert pick(outside, demo(), "highest").motor == lower[-1].motor
    passing = lower[0].model_copy(update={"passes": True, "standing": "clear"})
    mixed = found.model_copy(update={"rungs": (passing, *found.rungs[1:])})
    each = pick(mixed, demo(), "highest")
    assert (each.motor, each.standing) == (passing.motor, "clear") and f"{top.name}, to about" in each.why


def test_stays_is_what_the_checks_of_field_and_ceiling_say():
    for rung in ladder("e-11").rungs:
        entry = entry_of("e-11").model_copy(update={"motor": rung.motor, "delay_s": rung.delay_s})
        if rung.samples >= demo().policy.samples:
            bound = [
                each for each in assessed(entry).findings
                if each.quantity in ("outside_chance", "apogee_m", "simultaneous_apogee_m")
            ]  # fmt: skip
            assert bound and rung.stays == all(each.standing == "clear" for each in bound)


def test_of_motors_that_fail_as_few_checks_the_one_that_misses_by_less_is_nearest():
    """Two that miss one limit each: by half of it, and by a tenth."""
    found = standing_at("e-08", "stop", not_clear=("x",))
    weak, near = found.rungs[0], found.rungs[-1]
    both = (weak.model_copy(update={"shortfall": 0.5}), near.model_copy(update={"shortfall": 0.1}))
    assert f"Nearest to it is {near.name}" in pick(found.model_copy(update={"rungs": both}), demo(), "highest").why
    for rung in ladder("e-08").rungs:
        assert (rung.shortfall == 0.0) <= (not rung.not_clear) and rung.shortfall <= len(rung.not_clear)


def test_a_bare_rocket_needs_its_flyer_pad_and_recovery():
    entry = demo().entry_by_id("e-02")
    with pytest.raises(NothingToAdvise, match="flyer"):
        motor_ladder(demo(), entry.rocket, ground=ground(), **FEW)
    found = motor_ladder(demo(), entry.rocket, entry.flyer, entry.pad, recovery=entry.recovery, ground=ground(), **FEW)
    assert [rung.motor for rung in found.rungs] == [rung.motor for rung in ladder("e-02").rungs]
    assert all(rung.changes == () for rung in found.rungs)


def test_rules_of_thumb_stand_beside_the_flown_figures_and_decide_nothing(monkeypatch):
    """With other rules of thumb the ladder is the same but for their own figures, and each is marked as practice."""
    entry, flown = demo().entry_by_id("e-07"), ladder("e-07")
    monkeypatch.setattr(module, "exit_rule_mps", lambda *figures: 1.0)
    monkeypatch.setattr(module, "FLOOR_MPS", 40.0)
    other = motor_ladder(demo(), entry, ground=ground(), **FEW)
    assert [rung.exit_rule_mps for rung in other.rungs] == [1.0] * len(other.rungs)
    as_flown = [
        rung.model_copy(update={"exit_rule_mps": was.exit_rule_mps, "exit_floor_mps": was.exit_floor_mps})
        for rung, was in zip(other.rungs, flown.rungs, strict=True)
    ]
    assert tuple(as_flown) == flown.rungs
    assert pick(other, demo(), "gentle").motor == pick(flown, demo(), "gentle").motor
    text = "\n".join(ladder_lines(flown)).splitlines()
    for thumb in ("even thrust", "30 mph", "5 or more"):
        assert all("common practice" in line for line in text if thumb in line and "Found:" not in line)
        assert any(thumb in line for line in text)


def test_the_rule_of_even_thrust_by_hand():
    """v² = 2 (T/W - 1) g L: at five times the weight along one metre sqrt(8 × 9.80665) = 8.86 m/s."""
    assert module.exit_rule_mps(5.0, 1.0) == pytest.approx(8.857, abs=1e-3)
    assert module.exit_rule_mps(0.9, 1.0) == 0.0
