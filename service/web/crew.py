"""Threads that fly. One whose flight does not come back is given up, and another takes its place."""

from __future__ import annotations

import os
import queue
import sys
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, wait
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Generic, TypeVar

T = TypeVar("T")
LONGEST_S = 600.0  # the first flight after a change of the model may have to compile it; a slow laptop takes a minute
CLOSING_S = 20.0  # that a stop waits for what is in the air
TICK_S = 0.5
NICENESS = 10


class TookTooLong(RuntimeError):
    """The work was given up; what it would have told is not known."""


@dataclass
class Task(Generic[T]):
    """One piece of work and its outcome."""

    key: str
    work: Callable[[], T]
    outcome: Future[T] = field(default_factory=Future)
    began_s: float | None = None
    given_up: bool = False


class Crew:
    """So many threads at a lower priority."""

    def __init__(self, count: int, longest_s: float = LONGEST_S) -> None:
        self._tasks: queue.SimpleQueue[Task | None] = queue.SimpleQueue()
        self._lock = threading.Lock()
        self._longest_s = longest_s
        self._count = count
        self._threads: list[threading.Thread] = []

    def submit(self, key: str, work: Callable[[], T]) -> Task[T]:
        """Have something done as soon as a thread is free."""
        task = Task(key, work)
        with self._lock:
            if len(self._threads) < self._count:
                self._threads.append(self._thread())
        self._tasks.put(task)
        return task

    def finished(self, tasks: Iterable[Task[T]]) -> Iterator[Task[T]]:
        """Each task as soon as its outcome is there; one that takes too long has TookTooLong for an outcome."""
        waiting = {task.outcome: task for task in tasks}
        while waiting:
            for outcome in wait(waiting, TICK_S, FIRST_COMPLETED).done:
                yield waiting.pop(outcome)
            for task in waiting.values():
                self._give_up(task)

    def hurry(self) -> None:
        """Before a stop: wait no longer than that for what is in the air."""
        self._longest_s = min(self._longest_s, CLOSING_S)

    def close(self) -> None:
        """Let every thread go that comes back. What was given up holds nothing up."""
        for _ in self._threads:
            self._tasks.put(None)
        for each in self._threads:
            each.join(TICK_S)

    def _thread(self) -> threading.Thread:
        made = threading.Thread(target=self._serve, name="assess", daemon=True)
        made.start()
        return made

    def _serve(self) -> None:
        step_back()
        while (task := self._tasks.get()) is not None:
            task.began_s = time.monotonic()
            result, mistake = None, None
            try:
                result = task.work()
            except Exception as error:
                mistake = error
            with self._lock:
                if task.given_up:  # another thread has taken this one's place
                    return
                if mistake is None:
                    task.outcome.set_result(result)
                else:
                    task.outcome.set_exception(mistake)

    def _give_up(self, task: Task) -> None:
        with self._lock:
            began_s, longest_s = task.began_s, self._longest_s
            if began_s is None or task.outcome.done() or time.monotonic() - began_s <= longest_s:
                return
            task.given_up = True
            told = f"it was given up after {longest_s:g} s"
            task.outcome.set_exception(TookTooLong(told))
            self._threads.append(self._thread())


def step_back(niceness: int = NICENESS) -> None:
    """Let requests go first. On Linux the priority is the thread's own, and that of the threads it starts."""
    if sys.platform == "linux":
        with suppress(OSError):
            os.setpriority(os.PRIO_PROCESS, threading.get_native_id(), niceness)
