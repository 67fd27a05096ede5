"""The service with real advice on it, and two who look at it: the flyer of e-11 and the officer."""

from __future__ import annotations

import pytest

from tests.web.advice_day import DAY, AdviceClock, served
from tests.web.conftest import Browser


@pytest.fixture
def running():
    with served(AdviceClock()) as made:
        yield made


@pytest.fixture
def app(running):
    return running[0]


@pytest.fixture
def store(running):
    return running[1]


@pytest.fixture
def flyer(app, store) -> Browser:
    made = Browser(app)
    made.get(f"/private/{store.links.new(DAY, 'e-11', 'setup')}")
    return made


@pytest.fixture
def rita(app) -> Browser:
    made = Browser(app)
    assert made.sign_in("rita").status_code == 303
    return made
