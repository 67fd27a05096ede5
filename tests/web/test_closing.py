"""A launch day takes entries to the end of its date where it is held; a private link that has ended says whom to ask.

The small day is 9 July 2028 at Córdoba, three hours behind UTC without summer time (IANA time zone database): it ends
on 10 July at 03:00 UTC.
"""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from tests.web.conftest import DAY
from tests.web.test_api import Program
from tests.web.test_registering import SHORT

ENDS = datetime(2028, 7, 10, 3, 0, tzinfo=UTC)
API = f"/api/v1/days/{DAY}"


def entry_of(store) -> dict:
    return store.entries.get(DAY, "n1").entry.model_dump(mode="json", by_alias=True)


def test_on_its_last_minute_it_takes_entries(app, browser, day, store, clock):
    clock.now = ENDS.replace(day=9, hour=23)
    assert "Register a flight" in browser.get(f"/days/{DAY}").text
    clock.now = datetime(2028, 7, 10, 2, 59, tzinfo=UTC)
    assert "Register a flight" in browser.get(f"/days/{DAY}").text, "10 July in UTC, 9 July on the field"
    page = f"/days/{DAY}/entries/new"
    assert browser.post(f"/days/{DAY}/entries", SHORT, page).status_code == 303
    assert Program(app.test_client())("POST", f"{API}/entries?reserve=false", entry_of(store)).status_code == 201
    assert len(store.entries.all(DAY)) == 5


@pytest.mark.parametrize("when", [ENDS, ENDS.replace(year=2029)])
def test_afterwards_it_takes_none_and_says_so(app, browser, day, store, clock, when):
    csrf = browser.csrf(f"/days/{DAY}/entries/new")
    clock.now = when
    page = browser.get(f"/days/{DAY}").text
    assert "This launch day is over" in page and "Register a flight" not in page and "How to register" not in page
    for answer in (
        browser.get(f"/days/{DAY}/entries/new"),
        browser.client.post(f"/days/{DAY}/entries", data={"csrf": csrf, **SHORT}),
        Program(app.test_client())("POST", f"{API}/entries", entry_of(store)),
    ):
        assert answer.status_code == 422 and "This launch day was on 9 July 2028" in answer.text
    motor = next(iter(store.day_document(DAY).motors)).model_dump(mode="json")
    brought = {"entry": entry_of(store), "motor": motor}
    motors = len(store.day_document(DAY).motors)
    assert Program(app.test_client())("POST", f"{API}/brought-entries", brought).status_code == 422
    assert len(store.entries.all(DAY)) == 3 and len(store.day_document(DAY).motors) == motors


def test_a_link_that_has_ended_says_whom_to_ask(browser, day, store):
    token = store.links.new(DAY, "n1", "setup")
    (link,) = store.links.all(DAY, "n1")
    store.links.revoke(DAY, "n1", link.id, "olga")
    answer = browser.get(f"/private/{token}")
    assert answer.status_code == 404 and "ask the organiser of the launch day" in answer.text
