"""Ladders against brute force: every motor on offer with every delay that can be had, assessed one by one.

What passes is decided here from the document alone: sizes, stock and experience, and the standing of a whole
assessment. `RANGEHAND_WHOLE_SHOW=1` takes ten entries of the demo and five rockets more with the policy's flights.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import groupby

import pytest

from service.models.advice import Ladder
from service.models.assessment import Assessment
from service.models.entry import Entry
from service.models.motor import Motor
from service.planning.advise.aims import pick
from service.planning.advise.ladder import motor_ladder
from service.planning.assess import assess_entry
from service.planning.check import read_day_file
from tests.planning.advise.few_flights import DEMO, FEW, assessed, demo, ground
from tests.planning.advise.own_rockets import OWN
from tests.planning.show import WHOLE

OF_DEMO = ("e-01", "e-02", "e-03", "e-04", "e-07", "e-08", "e-11", "e-12", "e-16", "e-17")
FEW_OF_THEM = ("e-02", "e-07", "e-08", "e-11", "e-17", "own-1", "own-3", "own-5")
CASES = (*OF_DEMO, *(entry.id for entry in OWN)) if WHOLE else FEW_OF_THEM


@cache
def the_day():
    return read_day_file(DEMO) if WHOLE else demo()


@cache
def entry_of(entry_id: str) -> Entry:
    """An entry of the demo or one of ours; Plover comes with the canopy that it lacks, so that some motors pass."""
    entry = next((each for each in OWN if each.id == entry_id), None) or the_day().entry_by_id(entry_id)
    if entry_id == "e-11":
        entry = entry.model_copy(update={"recovery": (entry.recovery[0].model_copy(update={"diameter_m": 0.7}),)})
    return entry


@cache
def ladder(entry_id: str) -> Ladder:
    options = {} if WHOLE else FEW
    return motor_ladder(the_day(), entry_of(entry_id), ground=ground(), **options)


def whole(entry: Entry):
    return assess_entry(the_day(), entry, ground=ground()) if WHOLE else assessed(entry)


def goes_in(entry: Entry, motor: Motor) -> bool:
    """By the sizes in the document alone: half a millimetre of play, a pair side by side needs twice the width."""
    mount = entry.rocket.mount
    longest = entry.rocket.overall_length_m if mount.open_ended else mount.length_m
    across = motor.diameter_m * (2.0 if entry.motor_count == 2 else 1.0)
    return (
        motor.diameter_m <= mount.diameter_m + 0.0005
        and motor.length_m <= longest + 0.0005
        and across <= entry.rocket.overall_diameter_m + 0.0005
    )


def may_use(entry: Entry, motor: Motor) -> bool:
    """Stock, a charge where the charge is needed, and single use for a beginner."""
    waits = any(device.deploy and device.deploy.at == "motor_delay" for device in entry.recovery)
    beginner = entry.flyer.first_flight or (not entry.flyer.adult and entry.flyer.certification == 0)
    enough = motor.stock is None or motor.stock >= entry.motor_count
    return enough and not (waits and not motor.delays.offered_s()) and not (beginner and motor.case == "reload")


@dataclass(frozen=True)
class Passing:
    apogee_m: float
    best_delay_s: float
    delays_s: tuple[float | None, ...]
    speed_over_floor: float
    case: str


@cache
def flown(entry_id: str) -> tuple[tuple[Motor, float | None, Assessment], ...]:
    """Every motor that goes in and may be used, with every delay that can be had, assessed whole."""
    entry = entry_of(entry_id)
    return tuple(
        (motor, delay_s, whole(entry.model_copy(update={"motor": motor.id, "delay_s": delay_s})))
        for motor in the_day().motors
        if goes_in(entry, motor) and may_use(entry, motor)
        for delay_s in motor.delays.offered_s() or (None,)
    )


@cache
def brute_force(entry_id: str, lax: bool = False) -> dict[str, Passing]:
    """Motor -> what a whole assessment says of it, for all that pass everything with any delay that can be had.

    `lax`: without what is common practice only, so that more of them pass; what holds a flight up at all stays.
    """
    found: dict[str, Passing] = {}
    for motor, delay_s, result in flown(entry_id):
        counted = [
            each for each in result.findings if not (lax and each.code == "practice") or each.rule.startswith("mot-")
        ]
        if result.estimate is not None and all(each.standing == "clear" for each in counted):
            estimate, before = result.estimate, found.get(motor.id)
            delays = (*(before.delays_s if before else ()), delay_s)
            found[motor.id] = Passing(
                estimate.apogee_m.nominal, estimate.best_delay_s.nominal, delays, estimate.exit_speed_mps.nominal,
                motor.case,
            )  # fmt: skip
    return found


CAUTION = 1


def standing(result: Assessment) -> int:
    """0 clear, 1 caution, 2 anything worse."""
    words = {each.standing for each in result.findings}
    return 2 if result.estimate is None or words - {"clear", "caution"} else int("caution" in words)


def by_motor(entry_id: str) -> Iterator[tuple[Motor, list[Assessment]]]:
    """Each motor with its assessments, a delay each."""
    for motor, given in groupby(flown(entry_id), key=lambda each: each[0]):
        yield motor, [result for _, _, result in given]


@pytest.mark.parametrize("entry_id", CASES)
def test_no_motor_that_passes_is_left_out_and_the_order_is_right(entry_id):
    expected = brute_force(entry_id)
    found = [rung.motor for rung in ladder(entry_id).rungs if rung.passes]
    assert found == sorted(expected, key=lambda each: expected[each].apogee_m)
    heights = [rung.apogee_m.nominal for rung in ladder(entry_id).rungs]
    assert heights == sorted(heights)
    on_it = [rung.motor for rung in ladder(entry_id).rungs] + [each.motor for each in ladder(entry_id).excluded]
    assert sorted(on_it) == sorted(motor.id for motor in the_day().motors)


@pytest.mark.parametrize("entry_id", CASES)
def test_the_delay_is_the_nearest_that_passes(entry_id):
    waits = any(device.deploy and device.deploy.at == "motor_delay" for device in entry_of(entry_id).recovery)
    for rung in ladder(entry_id).rungs:
        if rung.passes:
            passing = brute_force(entry_id)[rung.motor]
            assert rung.delay_s in passing.delays_s
            if waits:
                off = [abs(each - passing.best_delay_s) for each in passing.delays_s]
                assert abs(rung.delay_s - passing.best_delay_s) == pytest.approx(min(off), abs=0.02)


@pytest.mark.parametrize("entry_id", CASES if WHOLE else ("e-11", "own-1", "own-5"))
def test_the_same_on_a_day_without_common_practice_where_more_passes(entry_id):
    day = the_day()
    lax = day.model_copy(update={"codes": tuple(code for code in day.codes if code != "practice")})
    expected = brute_force(entry_id, lax=True)
    found = motor_ladder(lax, entry_of(entry_id), ground=ground(), **({} if WHOLE else FEW))
    assert [rung.motor for rung in found.rungs if rung.passes] == sorted(
        expected, key=lambda each: expected[each].apogee_m
    )
    assert set(brute_force(entry_id)) <= set(expected) and len(expected) >= 2


def test_enough_passes_to_prove_something():
    counts = {each: len(brute_force(each)) for each in CASES}
    more = {each: len(brute_force(each, lax=True)) for each in CASES}
    print("assessed:", sum(len(flown(each)) for each in CASES), "passing:", counts, "without practice:", more)
    assert sum(count >= 2 for count in counts.values()) >= 3
    assert sum(counts.values()) >= len(CASES) and sum(more.values()) >= 3 * len(CASES)


@pytest.mark.parametrize("entry_id", CASES)
def test_gentle_is_the_second_or_third_lowest_of_those_that_pass(entry_id):
    """Read from the brute force: for a beginner among single use where there is any; of the two the faster start."""
    entry, expected = entry_of(entry_id), brute_force(entry_id)
    rising = sorted(expected, key=lambda each: expected[each].apogee_m)
    beginner = entry.flyer.first_flight or (not entry.flyer.adult and entry.flyer.certification == 0)
    single = [each for each in rising if expected[each].case == "single_use"]
    offered = single if beginner and single else rising
    found = pick(ladder(entry_id), the_day(), "gentle")
    if not offered:
        best = {motor.id: min(map(standing, given)) for motor, given in by_motor(entry_id)}
        assert found.why and (found.motor is None) == (CAUTION not in best.values())
        assert found.motor is None or (found.standing, best[found.motor]) == ("caution", CAUTION)
        return
    two = offered[1:3] or offered
    assert found.motor == max(two, key=lambda each: expected[each].speed_over_floor)
    assert ("single use first" in found.why) == beginner
