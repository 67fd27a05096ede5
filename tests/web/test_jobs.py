"""Long work in the background: asked once, watched, called off, refused, limited, forgotten."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any

import pytest
from pydantic import BaseModel

from service.web.errors import TooOften
from service.web.jobs import CannotBeDone, Job, Jobs, Place, Task, Watch
from tests.web.conftest import PATIENCE_S

HERE = Place("winter", "/days/winter/plan", "/api/v1/days/winter/plan")


class Answer(BaseModel):
    number: int


def place(page: str) -> Place:
    return Place("winter", page, page)


@pytest.fixture
def made():
    found = Jobs(kept=3, each=2, waiting=3)
    yield found
    found.close()


class Slow:
    """Work that goes on step by step until it is let go."""

    def __init__(self) -> None:
        self.begun, self.go_on, self.ended, self.runs = threading.Event(), threading.Event(), threading.Event(), 0

    def __call__(self, watch: Watch) -> Answer:
        self.runs += 1
        try:
            watch(1, 5, "first")
            self.begun.set()
            while not self.go_on.wait(0.005):
                watch(2, 5, "second")
            return Answer(number=self.runs)
        finally:
            self.ended.set()


def task(work: Callable[[Watch], Any], key: Any = 1, kind: str = "count", where: Place = HERE) -> Task:
    return Task(kind, key, where, work)


def done(jobs: Jobs, asked: Task) -> Job:
    jobs.start(asked, "rita")
    assert jobs.wait(PATIENCE_S)
    found = jobs.find(asked)
    assert found is not None
    return found


def test_the_same_question_is_worked_out_once_and_has_one_answer(made):
    slow = Slow()
    first = made.start(task(slow), "rita")
    assert made.start(task(slow), "otto") is first
    slow.go_on.set()
    assert made.wait(PATIENCE_S)
    again = made.start(task(slow), "rita")
    assert again is first and again.state == "done" and again.result == Answer(number=1) and slow.runs == 1


@pytest.mark.parametrize("other", [
    task(Slow(), key=2), task(Slow(), kind="sum"), task(Slow(), where=place("/days/winter/plan?rest=10")),
])  # fmt: skip
def test_whatever_bears_on_the_answer_makes_another_job(other):
    assert task(Slow()).id == task(Slow()).id != other.id


def test_another_engine_makes_another_job(monkeypatch):
    before = task(Slow()).id
    monkeypatch.setattr("service.web.jobs.job.engine", lambda: "another")
    assert task(Slow()).id != before


def test_progress_is_told_while_it_runs(made):
    slow = Slow()
    job = made.start(task(slow), "rita")
    assert slow.begun.wait(PATIENCE_S)
    assert job.state == "running" and job.open
    assert (job.watch.done, job.watch.total) in [(1, 5), (2, 5)] and job.watch.words in ("first", "second")
    slow.go_on.set()


def test_called_off_it_ends_and_is_forgotten(made):
    slow = Slow()
    job = made.start(task(slow), "rita")
    assert slow.begun.wait(PATIENCE_S)
    assert made.cancel(job.id) and made.get(job.id) is None and not made.cancel(job.id)
    assert slow.ended.wait(PATIENCE_S) and not slow.go_on.is_set()
    assert made.wait(PATIENCE_S) and made.get(job.id) is None and job.result is None


def test_called_off_before_its_turn_it_never_runs(made):
    slow, never = Slow(), Slow()
    made.start(task(slow), "rita")
    waiting = made.start(task(never, key=2, where=place("/elsewhere")), "rita")
    assert made.get(waiting.id).state == "waiting" and made.get(waiting.id).ahead == 1
    made.cancel(waiting.id)
    slow.go_on.set()
    assert made.wait(PATIENCE_S) and never.runs == 0


def test_asked_again_after_a_change_the_older_one_is_called_off(made):
    old, new = Slow(), Slow()
    made.start(task(old, key="before"), "rita")
    assert old.begun.wait(PATIENCE_S)
    new.go_on.set()
    job = done(made, task(new, key="after"))
    assert job.state == "done" and made.find(task(old, key="before")) is None and not old.go_on.is_set()


def test_asked_again_after_a_change_one_that_is_done_is_forgotten_where_only_the_latest_counts(made):
    def once(watch: Watch) -> Answer:
        return Answer(number=1)

    for key in ("before", "after"):
        done(made, Task("count", key, HERE, once, latest_only=True))
    assert made.find(task(once, key="before")) is None and made.find(task(once, key="after")) is not None
    done(made, task(once, key="another"))
    assert made.find(task(once, key="after")) is not None


def test_no_answer_is_an_answer(made):
    def none(watch: Watch) -> Answer:
        raise CannotBeDone("there is no forecast")

    job = done(made, task(none))
    assert job.state == "refused" and job.why == "there is no forecast" and not job.open


def test_a_mistake_is_logged_and_tried_again(made, caplog):
    results = iter([1, Answer(number=7)])
    flaky = task(lambda watch: next(results))  # first a number, which is no model
    job = done(made, flaky)
    assert job.state == "failed" and job.why in caplog.text and job.result is None
    assert done(made, flaky).result == Answer(number=7)


def test_nobody_has_too_much_waiting(made):
    slow = Slow()
    for number in range(2):
        made.start(task(slow, key=number, where=place(f"/{number}")), "rita")
    with pytest.raises(TooOften):
        made.start(task(slow, key=3, where=place("/3")), "rita")
    made.start(task(slow, key=4, where=place("/4")), "otto")
    with pytest.raises(TooOften):  # three in all
        made.start(task(slow, key=5, where=place("/5")), "nora")
    assert made.start(task(slow, key=0, where=place("/0")), "nora").asker == "rita"  # what is there is free
    slow.go_on.set()
    assert made.wait(PATIENCE_S)
    assert made.start(task(slow, key=5, where=place("/5")), "nora")


def test_what_is_prompt_does_not_wait_behind_what_is_long(made):
    """Nor is it counted among it: an officer who asked for much may sign all the same."""
    long, quick = Slow(), Slow()
    for number in range(2):
        made.start(task(long, key=number, where=place(f"/{number}")), "rita")
    quick.go_on.set()
    prompt = made.start(Task("count", 9, place("/9"), quick, prompt=True), "rita")
    assert quick.ended.wait(PATIENCE_S) and prompt.ahead == 0 and not long.go_on.is_set()
    long.go_on.set()
    assert made.wait(PATIENCE_S) and prompt.state == "done"


def test_the_result_not_looked_at_longest_goes_first(made):
    tasks = [task(lambda watch: Answer(number=1), key=number, where=place(f"/{number}")) for number in range(4)]
    for each in tasks[:3]:
        done(made, each)
    assert made.find(tasks[0]) is not None  # looked at: now the second is the oldest
    done(made, tasks[3])
    assert [made.find(each) is not None for each in tasks] == [True, False, True, True]


def test_closing_ends_what_runs_and_leaves_no_thread():
    before = set(threading.enumerate())
    found, slow = Jobs(), Slow()
    found.start(task(slow), "rita")
    assert slow.begun.wait(PATIENCE_S) and set(threading.enumerate()) > before
    found.close()
    assert slow.ended.is_set()
    assert set(threading.enumerate()) <= before


def test_a_stand_in_takes_the_place_of_the_work():
    found = Jobs(stand_ins={"count": lambda watch: Answer(number=9)})
    assert done(found, task(Slow())).result == Answer(number=9)
    found.close()


@pytest.fixture
def of_day(app, day) -> tuple[Slow, Job]:
    """A job of the small day."""
    slow = Slow()
    job = app.extensions["jobs"].start(task(slow), "rita")
    assert slow.begun.wait(PATIENCE_S)
    yield slow, job
    slow.go_on.set()
    app.extensions["jobs"].close()


def test_the_page_follows_it(of_day, people, day, new_browser, app):
    slow, job = of_day
    rita = new_browser("rita")
    told = rita.get(f"/days/{day}/jobs/{job.id}", headers={"Accept": "application/json"})
    assert told.json["state"] == "running" and told.json["total"] == 5
    assert rita.get(f"/days/{day}/jobs/{job.id}").headers["Location"] == HERE.page
    slow.go_on.set()
    assert app.extensions["jobs"].wait(PATIENCE_S)
    told = rita.get(f"/days/{day}/jobs/{job.id}", headers={"Accept": "application/json"})
    assert told.json["state"] == "done"


def test_it_belongs_to_its_day_and_to_no_entry(of_day, people, day, new_browser):
    _, job = of_day
    root = new_browser("root")
    assert root.get(f"/days/summer/jobs/{job.id}").status_code == 404
    assert root.get(f"/days/{day}/entries/n1/jobs/{job.id}").status_code == 404
    assert root.get(f"/days/{day}/jobs/{'0' * 32}").status_code == 404
    assert root.post(f"/days/{day}/entries/n1/jobs/{job.id}/cancel", page="/about").status_code == 404


def test_the_page_calls_it_off(of_day, people, day, new_browser):
    slow, job = of_day
    rita = new_browser("rita")
    assert rita.client.post(f"/days/{day}/jobs/{job.id}/cancel").status_code == 400  # without the form's secret
    answer = rita.post(f"/days/{day}/jobs/{job.id}/cancel", page="/about")
    assert answer.status_code == 303 and answer.headers["Location"] == HERE.page
    assert slow.ended.wait(PATIENCE_S) and not slow.go_on.is_set()


def test_the_api_tells_it_and_calls_it_off(of_day, people, day, store, browser):
    _, job = of_day
    token = store.people.new_token(store.people.by_login("rita").id, "test", "setup")
    bearer = {"Authorization": f"Bearer {token}"}
    path = f"/api/v1/days/{day}/jobs/{job.id}"
    told = browser.client.get(path, headers=bearer)
    assert told.status_code == 200 and told.json["state"] == "running" and told.json["address"] == path
    assert told.json["result"] == HERE.result
    assert browser.client.delete(path, headers=bearer).status_code == 204
    assert browser.client.get(path, headers=bearer).status_code == 404
