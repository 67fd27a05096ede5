"""Runs jobs one after the other at low priority, and keeps what came of them. Prompt ones have a line of their own."""

from __future__ import annotations

import logging
import secrets
import threading
from collections import OrderedDict
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor

from flask import current_app
from pydantic import BaseModel

from service.web.callers import caller
from service.web.crew import step_back
from service.web.errors import TooOften
from service.web.jobs.job import CannotBeDone, Job, Task, Work

NICENESS = 15  # behind the assessor's 10: where entries stand comes before advice
TRY_AGAIN_S = 20.0

log = logging.getLogger("rangehand.jobs")


class Jobs:
    """The jobs of one running service.

    Parameters
    ----------
    workers : int
        How many run at once, besides one that is prompt; each may use all processors.
    kept : int
        Finished ones that are kept; the one not asked for longest goes first. [count]
    each : int
        Unfinished ones that one person may have. [count]
    waiting : int
        Unfinished ones in all. [count]
    stand_ins : mapping, optional
        By kind, work to do in place of the task's own: for tests.
    """

    def __init__(
        self, *, workers: int = 1, kept: int = 60, each: int = 4, waiting: int = 24,
        stand_ins: Mapping[str, Work] | None = None,
    ) -> None:  # fmt: skip
        self._kept, self._each, self._waiting = kept, each, waiting
        self._stand_ins = dict(stand_ins or {})
        self._pool = ThreadPoolExecutor(workers, "job", initializer=step_back, initargs=(NICENESS,))
        self._prompt = ThreadPoolExecutor(1, "prompt")
        self._jobs: OrderedDict[str, Job] = OrderedDict()
        self._lock = threading.Lock()
        self._idle = threading.Condition(self._lock)
        self._running, self._asked = 0, 0
        self._closed = False

    def find(self, task: Task) -> Job | None:
        """The job of a task, if it was asked for."""
        return self.get(task.id)

    def get(self, job_id: str) -> Job | None:
        """The job with that id, if it is kept."""
        with self._lock:
            job = self._jobs.get(job_id)
            if job is not None:
                self._jobs.move_to_end(job_id)
                job.ahead = self._ahead(job)
            return job

    def start(self, task: Task, asker: str) -> Job:
        """The job of a task: the one there is, or a new one. One that failed is tried again.

        A job for the same page that rests on what has changed since is called off; with `latest_only` one that is done
        is forgotten too.

        Raises
        ------
        TooOften
            If the asker, or all together, have asked for too much at once.
        """
        with self._lock:
            there = self._jobs.get(task.id)
            if there is not None and there.state != "failed":
                self._jobs.move_to_end(task.id)
                return there
            for each in [job for job in self._jobs.values() if job.open or task.latest_only]:
                if each.kind == task.kind and each.place.page == task.place.page:
                    self._drop(each)
            unfinished = [job for job in self._jobs.values() if job.open and job.prompt == task.prompt]
            if sum(job.asker == asker for job in unfinished) >= self._each or len(unfinished) >= self._waiting:
                raise TooOften(TRY_AGAIN_S, "pieces of long work are waiting")
            self._asked += 1
            job = Job(task.id, task.kind, task.place, asker, self._asked, task.prompt)
            self._jobs[task.id] = job
            self._jobs.move_to_end(task.id)
            job.ahead = self._ahead(job)
            self._running += 1
            pool = self._prompt if task.prompt else self._pool
            pool.submit(self._run, job, self._stand_ins.get(task.kind, task.work))
            return job

    def cancel(self, job_id: str) -> bool:
        """Call a job off and forget it; False where there is none."""
        with self._lock:
            job = self._jobs.get(job_id)
            if job is not None:
                self._drop(job)
            return job is not None

    def wait(self, timeout_s: float = 60.0) -> bool:
        """Wait until nothing runs or waits; False when it takes longer."""
        with self._idle:
            return self._idle.wait_for(lambda: self._running == 0, timeout_s)

    def close(self) -> None:
        """Call everything off."""
        with self._lock:
            self._closed = True
            for job in self._jobs.values():
                job.watch.stop.set()
        self._pool.shutdown(wait=True)
        self._prompt.shutdown(wait=True)

    def _drop(self, job: Job) -> None:
        job.watch.stop.set()
        self._jobs.pop(job.id, None)

    def _ahead(self, job: Job) -> int:
        if job.state != "waiting":
            return 0  # and `_jobs` is in the order of last being looked at: numbers tell who comes before
        before = (each for each in self._jobs.values() if each.number < job.number)
        return sum(1 for each in before if each.open and each.prompt == job.prompt)

    def _run(self, job: Job, work: Work) -> None:
        with self._lock:
            gone = job.watch.stop.is_set() or self._closed
            if not gone:
                job.state = "running"
        state, result, why = "failed", None, ""
        try:
            if not gone:
                result, state = _model(work(job.watch), job.kind), "done"
        except CannotBeDone as refusal:
            state, why = "refused", str(refusal)
        except Exception:
            if not job.watch.stop.is_set():
                why = secrets.token_hex(4)
                log.exception("a job of kind %s for %s failed (%s)", job.kind, job.place.page, why)
        finally:
            with self._idle:
                job.state, job.result, job.why = state, result, why  # type: ignore[assignment]
                self._forget_old()
                self._running -= 1
                self._idle.notify_all()

    def _forget_old(self) -> None:
        finished = [job.id for job in self._jobs.values() if not job.open]
        for job_id in finished[: max(len(finished) - self._kept, 0)]:
            del self._jobs[job_id]


def _model(found: object, kind: str) -> BaseModel:
    if not isinstance(found, BaseModel):
        raise TypeError(f"a job of kind {kind} returned {type(found).__name__}, not a model")
    return found


def jobs() -> Jobs:
    """Those of the running app."""
    return current_app.extensions["jobs"]


def asker(day_id: str, entry_id: str = "") -> str:
    """Who asks, for the limit on what one person may have waiting."""
    asking = caller()
    return asking.name() if asking.person else f"{day_id} {asking.name(entry_id)}"
