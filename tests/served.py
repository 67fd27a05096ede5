"""A running service for tests: its own process, its own database file, the demo day made small, on the loopback."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from service.models.day import LaunchDay
from service.planning.check import read_day
from service.planning.demo import demo_document
from service.store import open_store
from service.web.club import make_club_key
from service.web.passwords import Passwords

ROOT = Path(__file__).resolve().parents[1]
DAY = "heron-meadow"
PASSWORD = "seven plain herons"
PASSPHRASE = "three quiet reed beds"  # of the club's key
CHEAP = (1, 16)  # an Argon2 that does not take its time
SAMPLES = 64  # the fewest flights that a day's policy takes
PEOPLE = (  # login, name, role, launch day; none means every day
    ("olga", "Organiser 1", "organiser", ""),
    ("rita", "Officer 1", "rso", DAY),
    ("rolf", "Officer 2", "rso", DAY),
)


@dataclass(frozen=True)
class Served:
    """Where a service answers, and on which database file."""

    base: str
    database: Path
    day: LaunchDay
    link: str
    """Token of the private link of entry e-01."""


def small_demo_day(entries: int, only: tuple[str, ...] = (), hours: int | None = None) -> LaunchDay:
    """The demo day with its first entries, or only some, few flights for each, and the first hours of its forecast."""
    day = read_day(demo_document(), "the demo day")
    policy = day.policy.model_copy(update={"samples": SAMPLES})
    chosen = tuple(day.entry_by_id(each) for each in only) or day.entries[:entries]
    return day.model_copy(update={"entries": chosen, "policy": policy, "forecast": day.forecast[:hours]})


@contextmanager
def served(
    folder: Path, entries: int = 4, only: tuple[str, ...] = (), hours: int | None = None
) -> Iterator[Served]:
    """Start a service on a new database; it ends afterwards. Its clock begins ten minutes after the day's reading."""
    day, where = small_demo_day(entries, only, hours), folder / "day.db"
    offset_s = (day.conditions.observed_at + timedelta(minutes=10) - datetime.now(UTC)).total_seconds()
    with open_store(where, lambda: datetime.now(UTC) + timedelta(seconds=offset_s)) as store:
        store.import_day(day, "setup", day_id=DAY)
        hashed = Passwords(*CHEAP).hash(PASSWORD)
        for login, name, role, held_on in PEOPLE:
            store.people.add(login, name, hashed, "setup", roles={role: held_on})
        make_club_key(store, "Heron Meadow club", PASSPHRASE, day.conditions.observed_at, "setup")
        link = store.links.new(DAY, "e-01", "setup")
    with open(folder / "service.log", "w+") as log:
        command = [sys.executable, "-m", "tests.served", str(where), str(offset_s)]
        process = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=log, text=True)
        try:
            yield Served(_address(process, folder / "service.log"), where, day, link)
        finally:
            process.terminate()
            try:
                process.wait(120)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()
            assert process.stdout is not None
            process.stdout.close()


def _address(process: subprocess.Popen[str], log: Path) -> str:
    assert process.stdout is not None
    for line in process.stdout:  # ends with the process
        found = re.search(r"http://127\.0\.0\.1:\d+", line)
        if found:
            return found[0]
    raise AssertionError(f"the service did not start: {log.read_text()[-2000:]}")


def _serve(where: str, offset_s: float) -> None:
    from service.web.config import Config
    from service.web.serve import run

    def clock() -> datetime:
        return datetime.now(UTC) + timedelta(seconds=offset_s)

    config = Config(clock=clock, password_cost=CHEAP)
    with open_store(where, clock) as store:
        run(config, store, host="127.0.0.1", port=0, say=lambda words: print(words, flush=True))


if __name__ == "__main__":
    _serve(sys.argv[1], float(sys.argv[2]))
