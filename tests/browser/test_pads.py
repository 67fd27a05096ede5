"""The pads page in a browser: a misfire, a hang-up, a stale reading and the log beside them.

What is asked of it: nobody approaches for 60 s after the last try (NAR Model Rocket Safety Code item 4, High Power item
5, 2012-08), and an open page says so, and when it is over, by itself.
"""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any

import pytest

from service.store import Verdict
from tests.browser.conftest import LAPTOP, PHONE
from tests.browser.looking import look_at
from tests.browser.signing_in import sign_in
from tests.browser.test_states import DAY, Small, shown, small  # noqa: F401 - fixtures
from tests.web.conftest import NOW

PADS, LOG = f"/days/{DAY}/pads", f"/days/{DAY}/log"
SIGHT_MS = 30_000


@pytest.fixture(scope="module")
def officer(machine: Any, small: Small) -> Any:  # noqa: F811
    """The officer's page of the pads: n1 and n2 are approved, on their pads, and next."""
    small.now = NOW
    small.settle()
    store = small.store
    for entry_id, seen in store.assessments.current(DAY).items():
        verdict = Verdict(word="approved")
        store.rulings.rule(DAY, entry_id, verdict, "rita", assessment_id=seen.assessment_id, based_on=0)
    context = machine.new_context(base_url=small.base, viewport=LAPTOP)
    page = context.new_page()
    sign_in(page, "rita")
    page.goto(PADS)
    for entry_id in ("n1", "n2"):
        page.get_by_label(f"In line: {entry_id}").click()
        page.get_by_label(f"On the pad: {entry_id}").click()
    yield page
    context.close()


def test_a_misfire_and_a_hang_up_from_the_try_to_the_pad_that_is_free(officer, small, shown):  # noqa: F811
    assert officer.get_by_role("button", name="Flown").first.get_attribute("class") == "main"
    officer.get_by_label("With the turn before: n2").click()
    assert "2 at once" in shown(PADS, "two-at-once-pads")
    officer.get_by_label("Misfire: n1").click()
    officer.get_by_text("nobody approaches before").wait_for(timeout=SIGHT_MS)
    told = shown(PADS, "misfire-pads")
    assert re.search(r"n1 Hornero misfired at \d\d:\d\d:\d\d.*nobody approaches before \d\d:\d\d:\d\d", told)
    assert officer.get_by_label("Off the pad: n1").count() == 0
    officer.get_by_label("Lit, and hung up: n2").click()
    officer.get_by_text("may still fire").wait_for(timeout=SIGHT_MS)
    assert "hung up" in shown(PADS, "hung-up-pads")
    small.now += timedelta(seconds=61)  # nobody touches the page: it learns by itself that the wait is over
    officer.get_by_label("Off the pad: n1").wait_for(timeout=SIGHT_MS)
    assert "the wait of 60 s is over" in shown(PADS, "waited-pads")
    officer.get_by_label("Off the pad: n2").click()
    officer.get_by_label("Ready again: n1").click()
    officer.get_by_role("button", name="Flown").first.click()
    officer.wait_for_url(re.compile("/log"))
    assert shown(PADS, "free-pads").count("free") == 2
    assert "it lit, and hung up on its pad" in shown(LOG, "log")


def test_the_log_with_a_mistake_and_the_same_flight_twice(officer, small, shown, pictures):  # noqa: F811
    """The last flight of the log is n1, flown just now."""
    last = small.store.flights.all(DAY)[-1]
    assert last.flight.happened == "planned"
    officer.goto(f"{LOG}/new?entry=n1")
    officer.get_by_label("What happened").select_option("planned")
    officer.get_by_role("button", name="Write it down").click()
    officer.get_by_text("This may be in the log already").wait_for(timeout=SIGHT_MS)
    look_at(officer, pictures / "state-asked-log-1280.png")
    officer.set_viewport_size(PHONE)
    look_at(officer, pictures / "state-asked-log-390.png")
    officer.goto(f"{LOG}/{last.number}")
    officer.get_by_role("button", name="Written by mistake").click()
    officer.wait_for_url(re.compile("/pads"))
    assert "n1 Hornero" in officer.locator("tr", has_text="P1").first.inner_text(), "it is on its pad again"
    assert "it counts for nothing" in shown(LOG, "mistake-log")
    assert "Say what happened to have it count again" in shown(f"{LOG}/{last.number}", "mistake-log-row")


def test_on_hold_for_a_stale_reading(officer, small, shown):  # noqa: F811
    officer.goto(PADS)
    small.now = NOW + timedelta(minutes=25)  # the reading was ten minutes old; the policy takes 30
    officer.get_by_text("Hold: no flight goes before a new reading").wait_for(timeout=SIGHT_MS)
    told = shown(PADS, "hold-pads")
    assert "The conditions are 35 min old" in told and "Next, on hold" in told
    assert "no flight goes on them" in shown(f"/days/{DAY}/desk", "hold-desk")
