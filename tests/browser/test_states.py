"""States that a day's run does not pass through: nothing there yet, at work, failed, stale, lapsed; each looked at.

The service runs in this process on a store in memory, with assessments made by hand and a clock that is set: what is
tried is how pages tell a state, not what flights do.
"""

from __future__ import annotations

import re
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import timedelta
from typing import Any

import pytest
from waitress.server import create_server

from service.models.day import LaunchDay
from service.store import Store, Verdict
from service.web import Config, create_app
from service.web.drafts import Draft, draft_of
from service.web.jobs import CannotBeDone
from service.web.passwords import Passwords
from service.web.signing import CHANGED, signing_of
from tests.browser.conftest import words_of
from tests.browser.looking import LOOKS, look_at, open_looks
from tests.browser.signing_in import sign_in
from tests.builders import small_day
from tests.web.conftest import CHEAP, NOW, PATIENCE_S, PLENTY, quick_assessment

DAY, EMPTY = "winter", "spring"


@dataclass
class Small:
    """A service whose clock and flights are set by the test."""

    base: str
    store: Store
    app: Any
    now: Any = NOW
    hold: threading.Event = field(default_factory=threading.Event)
    failing: set[str] = field(default_factory=set)

    def clock(self) -> Any:
        self.now += timedelta(milliseconds=1)
        return self.now

    def assess(self, day: Any, entry: Any, ground: Any) -> Any:
        assert self.hold.wait(30)
        if entry.id in self.failing:
            raise RuntimeError("no such table")
        return quick_assessment(day, entry, ground)

    def settle(self) -> None:
        """Have everything assessed."""
        self.hold.set()
        self.app.extensions["reassessor"].kick(DAY)
        assert self.app.extensions["reassessor"].wait(30)


@pytest.fixture(scope="module")
def small(chromium: str) -> Iterator[Small]:
    made = Small("", None, None)  # type: ignore[arg-type]
    with Store.in_memory(made.clock) as store:
        document = LaunchDay.model_validate(small_day())
        store.import_day(document, "setup", day_id=DAY)
        bare = document.model_copy(update={"name": "Nothing yet", "entries": (), "motors": ()})
        store.import_day(bare, "setup", day_id=EMPTY)
        store.people.add("rita", "Officer 1", Passwords(*CHEAP).hash("seven plain herons"), "setup", roles={"rso": ""})
        config = Config(rates=PLENTY, background=False, assess=made.assess, clock=made.clock, password_cost=CHEAP)
        made.store, made.app = store, create_app(config, store)
        server = create_server(made.app, host="127.0.0.1", port=0, threads=4)
        made.base = f"http://127.0.0.1:{server.effective_port}"
        running = threading.Thread(target=server.run, daemon=True)
        running.start()
        yield made
        made.hold.set()
        server.close()
        made.app.extensions["jobs"].close()
        made.app.extensions["reassessor"].close()


@pytest.fixture(scope="module")
def shown(machine: Any, small: Small, pictures: Any) -> Iterator[Any]:
    """Looks at a page in every look, signed in as the officer; answers with its words at the laptop."""
    contexts, opened = open_looks(machine, small.base), {}
    for name, context in contexts.items():
        page = opened[name] = context.new_page()
        sign_in(page, "rita")

    def show(path: str, called: str) -> str:
        for name, _, _ in LOOKS:
            opened[name].goto(path)
            look_at(opened[name], pictures / f"state-{called}-{name}.png", name)
            told = words_of(opened[name].locator("main"))
            opened[name].goto("about:blank")  # a page that waits shows itself anew: not in the midst of the next step
        return told

    yield show
    for context in contexts.values():
        context.close()


def test_nothing_is_there_yet(small, shown):
    assert "Nobody has registered yet" in shown(f"/days/{EMPTY}", "empty-day")
    assert "Nobody has registered yet" in shown(f"/days/{EMPTY}/desk", "empty-desk")
    assert "Nobody is in line" in shown(f"/days/{EMPTY}/pads", "empty-pads")
    assert "Nothing has flown yet" in shown(f"/days/{EMPTY}/log", "empty-log")
    assert "No sheet has been signed yet" in shown(f"/days/{EMPTY}/sheets", "empty-sheets")
    assert "No entry asks for anything" in shown(f"/days/{EMPTY}/checklist", "empty-checklist")


def test_assessing_goes_on(small, shown):
    small.hold.clear()
    small.app.extensions["reassessor"].kick(DAY)
    assert "Assessing: 0 of 3 entries are done" in shown(f"/days/{DAY}/desk", "at-work-desk")
    assert "being assessed" in shown(f"/days/{DAY}", "at-work-day")
    assert "Being assessed in the current conditions" in shown(f"/days/{DAY}/entries/n1/ruling", "at-work-ruling")


def test_an_entry_could_not_be_assessed(small, shown):
    small.failing.add("n2")
    small.settle()
    desk = shown(f"/days/{DAY}/desk", "failed-desk")
    assert "failed to assess n2: nothing is known about it" in desk
    assert re.search(r"n2\s+Carancho\n.*\s+UNKNOWN", desk), "unknown, never clear"
    page = shown(f"/days/{DAY}/entries/n2/ruling", "failed-ruling")
    assert "nothing is known about it" in page and "UNKNOWN" in page
    small.failing.clear()


def test_a_ruling_has_lapsed(small, shown):
    small.settle()
    current = small.store.assessments.current(DAY)["n1"].assessment_id
    small.store.rulings.rule(DAY, "n1", Verdict(word="approved"), "rita", assessment_id=current, based_on=0)
    found = small.store.weather.current(DAY)
    wind = tuple(each.model_copy(update={"speed_mps": 7.5, "gust_mps": None}) for each in found.document.wind)
    small.store.weather.enter(
        DAY, found.document.model_copy(update={"wind": wind}), "rita", based_on=found.revision, why="a reading by hand"
    )
    small.settle()
    page = shown(f"/days/{DAY}/entries/n1/ruling", "lapsed-ruling")
    assert "LAPSED" in page and "It may not fly on it." in page and "Officer 1, range safety officer, ruled" in page
    old = shown(f"/assessments/{current}", "replaced-assessment")
    assert "This no longer counts." in old and "the assessment that stands now" in old and "lapsed" in old
    entry = shown(f"/days/{DAY}/entries/n1", "officer-entry")
    assert "Rule on it" in entry and "Its sheet" in entry and "New private link" in entry
    desk = shown(f"/days/{DAY}/desk", "changed-desk")
    assert "1 ruling has lapsed by it: n1" in desk
    assert re.search(r"Why: wind 2 m/s from 180° \(south\).*became 7\.5 m/s", desk), "which wind became which"
    assert re.search(r"n1\s+CLEAR\s*(→|now|\s)*CAUTION", desk), "from which standing to which"
    assert "Put in force again" in shown(f"/days/{DAY}/weather", "weather-before")


def test_a_sheet_is_being_made_and_is_not_signed_in_the_end(small, shown):
    begun, go_on = threading.Event(), threading.Event()

    def work(watch: Any) -> Any:
        watch(3, 8, "laying out n2")
        begun.set()
        assert go_on.wait(PATIENCE_S)
        raise CannotBeDone(CHANGED)

    with small.app.test_request_context(base_url=small.base):
        task = replace(signing_of(DAY, "0f" * 8), work=work)
        laid_out = replace(draft_of(DAY, "si"), work=lambda watch: Draft(pdf=b"%PDF-1.7", at=NOW))
    small.app.extensions["jobs"].start(task, "rita")
    assert begun.wait(PATIENCE_S)
    page = shown(task.place.page, "making-sheet")
    assert "Working: 3 of 8, laying out n2." in page and "Call it off" in page and "Lay out a draft" in page
    go_on.set()
    small.app.extensions["jobs"].start(laid_out, "rita")
    assert small.app.extensions["jobs"].wait(PATIENCE_S)
    page = shown(task.place.page, "not-signed-sheet")
    assert "Not signed. Something changed while the sheet was made" in page
    assert "Laid out from what stood at 09:50" in page and "Open the draft of the whole day" in page


def test_the_conditions_grow_stale_on_an_open_page(small, shown, machine):
    """Without anybody doing anything: the clock alone makes approvals wait, and an open page says so by itself."""
    small.settle()
    small.now = NOW + timedelta(minutes=19, seconds=50)  # ten before the reading is 30 minutes old
    context = machine.new_context(base_url=small.base)
    page = context.new_page()
    page.clock.install()
    page.goto(f"/days/{DAY}")
    assert "too old" not in page.locator("main").inner_text()
    small.now += timedelta(minutes=1)
    page.clock.run_for(60_000)
    page.get_by_text("too old to rule by").wait_for(timeout=20_000)
    context.close()
    desk = shown(f"/days/{DAY}/desk", "stale-desk")
    assert "approvals wait for a new reading" in desk
    ruling = shown(f"/days/{DAY}/entries/n3/ruling", "stale-ruling")
    assert "Enter a reading" in ruling and "Approving waits for a new reading" in ruling
    assert "too old to rule by" in shown(f"/days/{DAY}", "stale-day")
