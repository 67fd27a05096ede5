"""Every kind of long work, as the service runs it: called off in the midst it ends soon, and leaves no thread."""

from __future__ import annotations

import threading
import time
from datetime import timedelta

import pytest

from service.store import Store
from service.web.advice.options import Pace, Target
from service.web.advice.state import advised
from service.web.advice.tasks import aim_task, fixes_task, ladder_task, plan_task, to_come
from service.web.jobs import Jobs
from tests.web.advice_day import DAY, few_entries
from tests.web.conftest import PATIENCE_S


@pytest.fixture
def tasks(app, clock):
    with Store.in_memory(clock) as store, app.test_request_context():
        store.import_day(few_entries(), by="setup", day_id=DAY)
        asked = advised(store, DAY, "e-09")
        before = few_entries().conditions.observed_at
        yield {
            "ladder": ladder_task(asked),
            "fixes": fixes_task(asked),
            "aim": aim_task(asked, Target()),
            "plan": plan_task(DAY, store.day_document(DAY), frozenset(), Pace(), before),
        }


@pytest.mark.parametrize("kind", ["ladder", "fixes", "aim", "plan"])
def test_it_stops(tasks, kind):
    jobs = Jobs()
    before = {each.ident for each in threading.enumerate()}
    job = jobs.start(tasks[kind], "rita")
    begun = time.monotonic()
    while not (job.watch.done or job.watch.words) and job.open and time.monotonic() - begun < PATIENCE_S:
        time.sleep(0.01)
    assert job.state == "running", "nothing is left to call off"
    assert jobs.cancel(job.id)
    assert jobs.wait(PATIENCE_S) and not 0 < job.watch.total <= job.watch.done, "it went on to the end"
    assert job.result is None and jobs.get(job.id) is None
    jobs.close()
    left = [each.name for each in threading.enumerate() if each.ident not in before]
    assert left == []


def test_hours_that_are_over_are_not_planned():
    lines = few_entries().forecast
    first, second = (each.observed_at for each in lines)
    assert to_come(lines, first) == lines
    assert to_come(lines, second - timedelta(seconds=1)) == lines
    assert to_come(lines, second) == lines[1:]
    assert to_come(lines, second + timedelta(hours=1)) == ()
