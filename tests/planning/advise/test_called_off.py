"""The four jobs that take long: all tell how far they are in one way, stop when told to, and leave nothing running."""

from __future__ import annotations

import threading
import time

import pytest

from service.planning.advise import trials
from service.planning.advise.errors import AdviceStopped
from service.planning.advise.fixes import fixes_for
from service.planning.advise.ladder import motor_ladder
from service.planning.aim.aim import aim_entry
from service.planning.day_plan import looks
from service.planning.day_plan.plan import plan_day
from tests.planning.advise.few_flights import FEW, assessed, demo, ground

AIMED = {**FEW, "samples": 16}
PLANNED = {"entries": ("e-03", "e-07", "e-12"), "most_samples": 128}


class Enough(Exception):
    """Not one of ours: what a caller's own code may raise."""


def ladder(**how):
    return motor_ladder(demo(), demo().entry_by_id("e-07"), ground=ground(), **FEW, **how)


def fixes(**how):
    entry = demo().entry_by_id("e-11")
    return fixes_for(demo(), entry, assessed(entry), ground=ground(), **FEW, **how)


def aim(**how):
    return aim_entry(demo(), demo().entry_by_id("e-03"), ground=ground(), **AIMED, **how)


def plan(threads=3, **how):
    day = demo().model_copy(update={"forecast": demo().forecast[:3]})
    return plan_day(day, ground=ground(), threads=threads, **PLANNED, **how)


JOBS = [ladder, fixes, aim, plan]


@pytest.fixture
def counted(monkeypatch):
    """How many assessments were begun, in whatever thread."""
    begun: list[float] = []
    for module in (trials, looks):
        real = module.assess_entry

        def counting(*args, real=real, **how):
            begun.append(time.monotonic())
            return real(*args, **how)

        monkeypatch.setattr(module, "assess_entry", counting)
    return begun


@pytest.mark.parametrize("job", JOBS)
def test_told_in_one_way_up_to_the_end_and_the_same_answer_untold(job):
    told: list[tuple[int, int, str]] = []
    assert job(progress=lambda *each: told.append(each)) == job()
    assert len(told) > 3 and told[-1][0] == told[-1][1] > 0
    assert [each[0] for each in told] == sorted(each[0] for each in told)
    assert len({each[1] for each in told}) == 1
    assert all(isinstance(each[2], str) and each[2] for each in told)
    assert all(0 <= done <= total for done, total, _ in told)


@pytest.mark.parametrize("job", JOBS)
def test_what_the_progress_raises_ends_it_at_once_and_leaves_nothing_running(job, counted):
    before, calls = set(threading.enumerate()), []

    def enough(*each):
        calls.append(each)
        if len(calls) == 3:
            raise Enough

    with pytest.raises(Enough):
        job(progress=enough)
    assert len(calls) == 3
    begun = len(counted)
    assert set(threading.enumerate()) <= before
    time.sleep(0.1)
    assert len(counted) == begun
    # three looks told of, and with three threads at most three more under way
    assert begun <= {plan: 9, ladder: 6, fixes: 6, aim: 3}[job]


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("as_event", [True, False])
def test_called_off_from_another_thread(job, as_event, counted):
    stop = threading.Event()

    def soon(*each):
        stop.set()

    with pytest.raises(AdviceStopped):
        job(progress=soon, should_stop=stop if as_event else stop.is_set)
    assert len(counted) <= 9


def test_the_same_plan_whatever_the_threads():
    assert plan(threads=1) == plan(threads=3)
