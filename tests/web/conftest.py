"""A running app on an empty store, with a small day, its people, and assessments made by hand."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.models.assessment import Assessment
from service.models.day import LaunchDay
from service.models.entry import Entry
from service.planning.identity import assessment_id
from service.store import Store
from service.web import Config, Rates, create_app, put_on
from service.web.config import Rate
from service.web.passwords import Passwords
from tests.builders import small_day
from tests.conftest import NEEDED, empty_store
from tests.store.server import why_not
from tests.web.filled import filled

DAY = "winter"
OTHER_DAY = "summer"
PATIENCE_S = 180.0  # what ends by itself is waited for, however busy the machine is
PASSWORD = "seven plain herons"
CHEAP = (1, 16)  # an Argon2 that does not take its time
RESTING: list[Flask] = []  # services whose test is over: to make all routes anew takes longer than most tests
PLENTY = Rates(read=Rate(1e6, 1e6), write=Rate(1e6, 1e6))
NOW = datetime(2028, 7, 9, 12, 50, tzinfo=UTC)  # ten minutes after the small day's reading


class Clock:
    """A clock that tests set."""

    def __init__(self) -> None:
        self.now = NOW

    def __call__(self) -> datetime:
        self.now += timedelta(milliseconds=1)
        return self.now


def quick_assessment(day: LaunchDay, entry: Entry, ground: Any) -> Assessment:
    """What assessing might say, without flying: the pages are tested here, not the physics."""
    return Assessment(
        id=assessment_id(day, entry, day.conditions, 1, stale=False), engine="test", entry=entry.id,
        rocket=entry.rocket.name, flyer=entry.flyer.name, motor=entry.motor, pad=entry.pad,
        conditions_at=day.conditions.observed_at.isoformat(),
        standing="caution" if day.conditions.wind[0].speed_mps > 5.0 else "clear", decides="The wind decides.",
        answer="Comes down inside the field in 97 of 100 flights; nearest edge 140 m, to the north.", estimate=None,
        footprints=(), findings=(), checklist=(), unknowns=("The flight was not flown.",), cautions=(), risk=None,
        track=None, samples=64, seed=1, spreads={},
    )  # fmt: skip


@pytest.fixture
def clock() -> Clock:
    return Clock()


DATABASES = ("sqlite",) if why_not() and not os.environ.get(NEEDED) else ("sqlite", "postgresql")


@pytest.fixture(params=DATABASES)
def store(request: pytest.FixtureRequest, clock: Clock) -> Iterator[Store]:
    """An empty store; each test that asks for it runs on every database that can be had here."""
    with empty_store(request.param, clock, request) as made:
        yield made


@pytest.fixture
def day(store: Store, clock: Clock) -> str:
    """The small day, and another one of which nobody here is an organiser."""

    def fill() -> None:
        document = LaunchDay.model_validate(small_day())
        store.import_day(document.model_copy(update={"name": "Other"}), by="setup", day_id=OTHER_DAY)
        store.import_day(document, by="setup", day_id=DAY)

    filled(store, "day", clock, fill)
    return DAY


class Reading(FlaskClient):
    """A client to which no-break spaces in the text of an answer are spaces, as to whoever reads a page."""

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        text = property(lambda answer: answer.get_data(as_text=True).replace("\N{NO-BREAK SPACE}", " "))
        self.response_wrapper = type("Read", (self.response_wrapper,), {"text": text})


@contextmanager
def tried(config: Config, store: Store) -> Iterator[Flask]:
    """The service as tests try it; its background work ends with the block."""
    if RESTING:
        put_on(made := RESTING.pop(), config, store)
    else:
        made = create_app(config, store)
    made.testing, made.test_client_class = True, Reading
    made.config["PROPAGATE_EXCEPTIONS"] = False
    try:
        yield made
    finally:
        made.extensions["jobs"].close()
        made.extensions["reassessor"].close()
        RESTING.append(made)


@pytest.fixture
def judge() -> Callable[[LaunchDay, Entry, Any], Assessment]:
    """What assesses; modules that want other findings have their own."""
    return quick_assessment


@pytest.fixture
def app(store: Store, clock: Clock, judge: Callable[[LaunchDay, Entry, Any], Assessment]) -> Iterator[Flask]:
    config = Config(rates=PLENTY, background=False, assess=judge, clock=clock, password_cost=CHEAP, workers=1)
    with tried(config, store) as made:
        yield made


@pytest.fixture
def assess(app: Flask, day: str) -> Callable[[], None]:
    """Bring every assessment of the small day up to date."""

    def run() -> None:
        app.extensions["reassessor"].kick(day)
        assert app.extensions["reassessor"].wait(PATIENCE_S)

    return run


class Browser:
    """A browser with scripts off: follows forms as they stand on the page."""

    def __init__(self, app: Flask) -> None:
        self.client: FlaskClient = app.test_client()

    def get(self, path: str, **more: Any) -> Any:
        return self.client.get(path, **more)

    def post(self, path: str, data: dict[str, Any] | None = None, page: str = "/sign-in", **more: Any) -> Any:
        """Send a form with the secret that the page carries."""
        return self.client.post(path, data={"csrf": self.csrf(page), **(data or {})}, **more)

    def csrf(self, page: str = "/sign-in") -> str:
        found = re.search(r'name="csrf" value="([^"]+)"', self.get(page).text)
        assert found, f"{page} carries no form"
        return found[1]

    def sign_in(self, login: str, password: str = PASSWORD) -> Any:
        return self.sign_in_with({}, login, password)

    def sign_in_with(self, carried: dict[str, Any], login: str, password: str = PASSWORD) -> Any:
        """Sign in by a form that carries more along."""
        return self.post("/sign-in", {"/login": login, "/password": password, **carried})


@pytest.fixture
def browser(app: Flask) -> Browser:
    return Browser(app)


@pytest.fixture
def new_browser(app: Flask) -> Callable[..., Browser]:
    """Browsers, signed in if a login is given."""

    def make(login: str = "") -> Browser:
        made = Browser(app)
        if login:
            assert made.sign_in(login).status_code == 303
        return made

    return make


@pytest.fixture
def people(store: Store, clock: Clock, day: str) -> dict[str, str]:
    """Accounts: who holds which role where."""

    def fill() -> None:
        made = Passwords(*CHEAP).hash(PASSWORD)
        store.people.add("root", "Everywhere", made, "setup", roles={"organiser": ""})
        store.people.add("olga", "Organiser here", made, "setup", roles={"organiser": DAY})
        store.people.add("rita", "RSO here", made, "setup", roles={"rso": DAY})
        store.people.add("otto", "Organiser elsewhere", made, "setup", roles={"organiser": OTHER_DAY})
        store.people.add("nora", "No role", made, "setup")

    filled(store, "people", clock, fill)
    return {"root": "organiser of all", "olga": "organiser", "rita": "rso", "otto": "organiser elsewhere", "nora": ""}


@pytest.fixture
def rita(new_browser: Callable[..., Browser], people: dict[str, str], assess: Callable[[], None]) -> Browser:
    """The officer, signed in, with every entry assessed."""
    assess()
    return new_browser("rita")
