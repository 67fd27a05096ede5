"""Motors that only a ceiling keeps down, where a higher one waits for a call: on the ladder, marked, never picked."""

from __future__ import annotations

from functools import cache

import pytest

from service.models.advice import Excluded
from service.planning.advise.aims import picks
from service.planning.advise.called import with_call
from service.planning.advise.candidates import fly_motor
from service.planning.advise.ladder import motor_ladder
from service.planning.advise.text import ladder_lines
from service.planning.advise.trials import Trials
from service.planning.call_first import CEILING, MARK, waiting
from service.planning.check import read_day_file
from tests.planning.advise.few_flights import DEMO, FEW, assessed, demo, ground
from tests.planning.day_plan.test_call_first import CALL, LOW, NEEDS, ceilings

ENTRY = "e-12"  # on a Quillon G52 it rises to some 550 m, read at 09:00; the window opens at 11:30
MOTORS = ("quillon-g52", "quillon-f35", "quillon-e24", "lantern-d9")


def day_under(*told):
    motors = tuple(demo().motor_by_id(each) for each in MOTORS)
    return demo().model_copy(update={"ceiling": ceilings(*told), "motors": motors})


@cache
def ladder(*names):
    day = day_under(*({"low": LOW, "call": CALL}[each] for each in names))
    return motor_ladder(day, day.entry_by_id(ENTRY), ground=ground(), **FEW)


def test_a_motor_over_the_ceiling_in_force_is_flown_under_the_one_that_waits_and_marked():
    marked = {rung.motor: rung for rung in ladder("low", "call").rungs if rung.call_first}
    assert {each.motor for each in ladder("low").excluded if each.screened_for == "ceiling"} == {"quillon-g52"}
    assert "quillon-g52" in marked and not ladder("low", "call").excluded
    open_now = {"height_m": CALL["height_m"], "to": CALL["to"]}
    for rung in marked.values():
        assert rung.call_first == NEEDS and not rung.passes and rung.standing == "stop"
        for told, stands in (((LOW, CALL), rung.standing), ((open_now,), rung.called)):
            entry = demo().entry_by_id(ENTRY).model_copy(update={"motor": rung.motor, "delay_s": rung.delay_s})
            found = assessed(entry, day_under(*told))
            assert found.standing == stands in ("stop", "clear", "caution")
        assert rung.samples >= day_under().policy.samples, "told by no few flights"
    unmarked = [rung for rung in ladder("low", "call").rungs if not rung.call_first]
    assert unmarked and all(rung.called is None for rung in unmarked)


def test_few_flights_that_leave_chances_open_hide_no_call():
    """A policy of as few flights as a look has: then its looks leave chances too near to call."""
    policy = read_day_file(DEMO).policy.model_copy(update={"samples": 64})
    motors = (demo().motor_by_id("quillon-g52"),)
    day = day_under(LOW, CALL).model_copy(update={"policy": policy, "motors": motors})
    found = motor_ladder(day, day.entry_by_id(ENTRY), ground=ground(), threads=1)
    marked = {rung.motor: rung.called for rung in found.rungs if rung.call_first}
    assert marked.get("quillon-g52") == "caution"


def test_what_needs_a_call_is_not_picked_and_without_one_to_make_nothing_changes():
    day = day_under(LOW, CALL)
    marked = {rung.motor for rung in ladder("low", "call").rungs if rung.call_first}
    chosen = {pick.motor for pick in picks(ladder("low", "call"), day, altitude_m=550.0)}
    assert chosen - {None} and not chosen & marked
    assert not any(rung.call_first for rung in ladder("low").rungs)
    kept = [rung for rung in ladder("low", "call").rungs if rung.motor not in marked]
    assert kept == [rung for rung in ladder("low").rungs if rung.motor not in marked]


def test_the_lines_mark_it_and_say_what_is_needed():
    text = "\n".join(ladder_lines(ladder("low", "call")))
    rung = next(each for each in ladder("low", "call").rungs if each.motor == "quillon-g52")
    line = next(each for each in text.splitlines() if each.strip().startswith(rung.name))
    assert line.endswith(f"stop {MARK}") and f"{MARK}: {NEEDS} It then stands at {rung.called}." in text
    assert MARK not in "\n".join(ladder_lines(ladder("low")))


CEILING_ONLY, OTHER_TOO, NEITHER = {"ceiling"}, {"ceiling", "other"}, set()


def told(assessment, over):
    """The assessment with a stop by the ceilings, by another rule, by both or by neither, and the rest clear."""

    def stands(number, finding):
        ceiling = (finding.quantity or "").startswith(CEILING)
        return "stop" if (ceiling and "ceiling" in over) or (number == other and "other" in over) else "clear"

    other = next(n for n, each in enumerate(assessment.findings) if not (each.quantity or "").startswith(CEILING))
    findings = tuple(
        each.model_copy(update={"standing": stands(number, each)}) for number, each in enumerate(assessment.findings)
    )
    return assessment.model_copy(update={"findings": findings, "standing": "stop" if over else "clear"})


@pytest.mark.parametrize(
    ("all_flights", "marked", "standing"),
    [(CEILING_ONLY, True, "stop"), (NEITHER, False, "clear"), (OTHER_TOO, False, "found")],
)
def test_all_flights_decide_whether_only_a_ceiling_keeps_it_down(monkeypatch, all_flights, marked, standing):
    """Few flights have a motor over the ceiling; all of them may keep it, or find more than that against it."""
    day = day_under(LOW, CALL)
    entry, motor = day.entry_by_id(ENTRY), day.motor_by_id("quillon-g52")
    flown = assessed(entry, day)

    def assess(under, each, conditions, **options):
        made = any(one.condition is None and one.height_m == CALL["height_m"] for one in under.ceilings)
        few = under.policy.samples < day.policy.samples
        return told(flown, NEITHER if made else CEILING_ONLY if few else all_flights)

    monkeypatch.setattr("service.planning.advise.trials.assess_entry", assess)
    trials = Trials(day, ground(), day.conditions, **FEW)
    found = fly_motor(trials, entry, motor, None)
    assert not isinstance(found, Excluded) and found.result.standing == "stop"
    after = with_call(trials, entry, motor, found, waiting(day, day.conditions.observed_at, later=True))
    assert (after.call_first, after.called) == ((NEEDS, "clear") if marked else ("", None))
    assert after is found if standing == "found" else after.result.standing == standing
