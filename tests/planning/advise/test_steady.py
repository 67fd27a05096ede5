"""What rests on another change: both are moved no further than they have to be beside each other.

Moth, the demo's e-15, wants weight in its nose to fly straight, and another motor to open in time. It is given more
weight than it wants here, so that something has to be taken back.
"""

from __future__ import annotations

from functools import cache

from service.planning.advise.fix_words import fix_of
from service.planning.advise.single import Answer, Seeker
from service.planning.advise.steady import Steady, rests_on_flight, tumbles
from service.planning.advise.trials import Trials, standings
from service.planning.words import found_words
from tests.planning.advise.few_flights import SAMPLES, SCREENING, assessed, demo, ground

MARGIN, UPON = "adv-margin-low", "adv-ejection-time"
MARGINS = ("us-hpr-stability", "mot-stable", MARGIN, "adv-margin-least")
STEP_KG = 0.02


@cache
def steady(root: str = MARGIN) -> Steady:
    entry = demo().entry_by_id("e-15")
    trials = Trials(demo(), ground(), demo().conditions, None, SCREENING, SAMPLES, 1, lambda: False)
    seeker = Seeker(trials, entry, assessed(entry))
    margin = finding(seeker, root)
    levers = [lever for row in seeker.rows(margin.quantity) for lever in row if lever.name == "nose_weight"]
    heavy = levers[0].trials[-1]
    roots = tuple(finding(seeker, each) for each in MARGINS)
    return Steady(seeker, margin, Answer((heavy,), trials.full(heavy.entry), (), lambda other: None), roots)


def finding(seeker: Seeker, rule: str):
    return next(each for each in seeker.now.findings if each.rule == rule)


def added_kg(entry) -> float:
    return entry.rocket.mass_kg - demo().entry_by_id("e-15").rocket.mass_kg


@cache
def found(root: str = MARGIN) -> Answer:
    answer = steady(root).answer(finding(steady(root).seeker, UPON))
    assert answer is not None and [each.step.lever for each in answer.trials] == ["nose_weight", "motor"]
    return answer


def test_no_more_of_the_first_change_than_both_need():
    weight, motor = found().trials
    too_much_kg = added_kg(steady().first.trials[0].entry)
    assert 0.0 < added_kg(weight.entry) < too_much_kg - STEP_KG / 2
    assert weight.entry.rocket == motor.entry.rocket
    assert demo().motor_by_id(motor.entry.motor) != demo().motor_by_id(weight.entry.motor)
    after = standings(found().result)
    assert {after[each] for each in (*MARGINS, UPON)} == {"clear"} and not steady().seeker.harms(found().result)
    (_, less), *_ = found().smaller
    assert standings(less)[MARGIN] != "clear" or standings(less)[UPON] != "clear"


def test_no_margin_is_given_up_for_another():
    """What mends the least of them alone would leave the others short: it was to mend them all."""
    after = standings(found("mot-stable").result)
    assert {after[each] for each in (*MARGINS, UPON)} == {"clear"}


def test_what_a_step_less_of_it_leaves_is_told():
    seeker, upon = steady().seeker, finding(steady().seeker, UPON)
    told = fix_of(seeker, upon, found(), (steady().root, steady().first))
    less_g = 1e3 * (added_kg(told.entry) - STEP_KG)
    assert f"A step less (Add {less_g:.0f} g" in told.smaller
    assert "leaves the stability that it rests on at caution" in told.smaller


def test_what_a_tumbling_rocket_flies_counts_as_mended_in_nothing():
    seeker = steady().seeker
    told = seeker.now.findings
    mended = tuple(each if tumbles(each) else each.model_copy(update={"standing": "clear"}) for each in told)
    result = seeker.now.model_copy(update={"findings": mended})
    little = Answer((steady().first.trials[0],), result, (), lambda other: None)
    flown = {each.rule for each in told if each.standing != "clear" and rests_on_flight(each) and not tumbles(each)}
    assert len(flown) >= 3 and not flown & set(fix_of(seeker, finding(seeker, MARGIN), little).also_clears)


def test_a_change_that_is_too_little_and_harms_says_what_becomes_of_what():
    seeker = steady().seeker
    upon = finding(seeker, UPON)
    ke = finding(seeker, "adv-landing-ke")
    further = ke.model_copy(update={"measured": 2.0 * ke.measured})
    clear = upon.model_copy(update={"standing": "clear"})
    swap = {ke.rule: further, upon.rule: clear}
    worse = seeker.now.model_copy(update={"findings": tuple(swap.get(each.rule, each) for each in seeker.now.findings)})
    less = Answer((steady().first.trials[0],), seeker.now, (("A step less", worse),), lambda other: None)
    told = fix_of(seeker, upon, less).smaller
    assert f"(now {found_words(ke)}, then {found_words(further)})" in told
