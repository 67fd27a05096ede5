"""One piece of long work: what it rests on, how far it is, what came of it."""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Literal

from pydantic import BaseModel

from service.planning.identity import canonical
from service.version import engine

State = Literal["waiting", "running", "done", "refused", "failed"]
OPEN: tuple[State, ...] = ("waiting", "running")


class CannotBeDone(Exception):
    """The question has no answer; the text says why, to people."""


class Cancelled(Exception):
    """Called off by whoever asked."""


@dataclass(frozen=True)
class Place:
    """Where a job belongs. `page` is its page with all options, `result` where the API has what comes of it."""

    day_id: str
    page: str
    result: str
    entry_id: str = ""


@dataclass
class Watch:
    """What the work is handed: called with (done, in all, words) it tells how far it is."""

    stop: threading.Event = field(default_factory=threading.Event)
    done: int = 0
    total: int = 0
    words: str = ""

    def __call__(self, done: int, total: int, words: str = "") -> None:
        """Take note of the progress.

        Raises
        ------
        Cancelled
            If the work has been called off.
        """
        self.done, self.total, self.words = done, total, words
        if self.stop.is_set():
            raise Cancelled


Work = Callable[[Watch], BaseModel]


@dataclass(frozen=True)
class Task:
    """What is to be done. `key` is all that bears on the answer, as a JSON value.

    One that is `prompt` takes seconds and somebody stands waiting: it does not queue behind those that take minutes.
    """

    kind: str
    key: Any
    place: Place
    work: Work
    prompt: bool = False
    latest_only: bool = False
    """Whether what came of an earlier one for the same page is forgotten once it is asked for again: for results that
    are large and of no use once something has changed."""

    @cached_property
    def id(self) -> str:
        """The same for the same question, asked of the same engine. 32 hex digits"""
        depends_on = {"kind": self.kind, "engine": engine(), "place": self.place.page, "key": self.key}
        return hashlib.sha256(canonical(depends_on)).hexdigest()[:32]


@dataclass
class Job:
    """A task that was asked for. Changed by the runner only, under its lock."""

    id: str
    kind: str
    place: Place
    asker: str
    number: int
    """Place in the order of asking."""
    prompt: bool = False
    watch: Watch = field(default_factory=Watch)
    state: State = "waiting"
    result: Any = None
    why: str = ""
    """Why it is refused, or which number the log has for a failure."""
    ahead: int = 0
    """Jobs that come before it, while it waits. [count]"""

    @property
    def open(self) -> bool:
        """Whether something is still to come."""
        return self.state in OPEN
