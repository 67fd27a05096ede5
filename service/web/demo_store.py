"""The ready-made demonstration: the demo day in a throw-away database, with an account for each role."""

from __future__ import annotations

import secrets
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

from service.planning.check import read_day
from service.planning.demo import demo_document, demo_log
from service.store import Store, open_store
from service.store.people import Role
from service.web.club import make_club_key
from service.web.config import Config
from service.web.learning.state import log_name
from service.web.passwords import Passwords

DEMO_DAY = "heron-meadow"
DEMO_PEOPLE: tuple[tuple[str, str, Role, str], ...] = (  # login, name, role, day
    ("organiser", "Organiser 1", "organiser", ""),
    ("rso", "Safety officer 1", "rso", DEMO_DAY),
)
DEMO_PASSWORD_WORDS = ("heron", "meadow", "lantern", "willow", "kestrel", "barley", "thistle", "ember", "plover")


@contextmanager
def demo_store() -> Iterator[tuple[Store, Config, str, str]]:
    """The demo day in a throw-away database: store, configuration, password of the accounts, token of a flyer's link.

    The clock starts ten minutes after the demo day's reading, whatever the time is: light, wind and ages then fit.
    """
    day = read_day(demo_document(), "the demo day")
    offset = day.conditions.observed_at + timedelta(minutes=10) - datetime.now(UTC)

    def clock() -> datetime:
        return datetime.now(UTC) + offset

    password = "-".join(secrets.choice(DEMO_PASSWORD_WORDS) for _ in range(3)) + f"-{secrets.randbelow(90) + 10}"
    config = Config(clock=clock, demo=True, key_passphrase=password)
    with tempfile.TemporaryDirectory(prefix="rangehand-demo-") as folder:
        with open_store(Path(folder) / "demo.db", clock) as store:
            day_id = store.import_day(day, "demo", day_id=DEMO_DAY)
            store.settings.set(log_name(day_id), demo_log().decode(), "demo", based_on=0)  # the season before
            make_club_key(store, "Heron Meadow Rocket Club", password, clock(), "demo")
            hashed = Passwords(*config.password_cost).hash(password)
            for login, name, role, where in DEMO_PEOPLE:
                store.people.add(login, name, hashed, "demo", roles={role: where})
            yield store, config, password, store.links.new(day_id, "e-01", "demo")
