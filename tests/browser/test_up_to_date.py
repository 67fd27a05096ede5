"""Open pages keep up by themselves, keep what is open and typed, and say when they are out of touch.

The line is cut inside the browser: it is told to be offline, as the browser of a phone out of range is.
"""

from __future__ import annotations

import re
import threading
from dataclasses import replace
from typing import Any

import pytest

from service.store import Verdict
from service.web.jobs import CannotBeDone
from service.web.signing import CHANGED, signing_of
from tests.browser.conftest import PHONE, words_of
from tests.browser.signing_in import sign_in
from tests.browser.test_states import DAY, Small, small  # noqa: F401 - a fixture
from tests.web.conftest import NOW, PATIENCE_S

SIGHT_MS = 30_000


@pytest.fixture
def page(machine: Any, small: Small) -> Any:  # noqa: F811
    small.now = NOW
    small.settle()
    context = machine.new_context(base_url=small.base, viewport=PHONE)
    yield context.new_page()
    context.close()


def rule(small: Small, word: str) -> None:  # noqa: F811
    store = small.store
    based_on = store.rulings.latest(DAY)["n1"].number if "n1" in store.rulings.latest(DAY) else 0
    current = store.assessments.current(DAY)["n1"].assessment_id
    store.rulings.rule(DAY, "n1", Verdict(word=word, reason="x"), "rita", assessment_id=current, based_on=based_on)


def test_everybody_s_page_of_the_day_shows_a_ruling_and_a_standing_by_itself(page, small):  # noqa: F811
    page.goto(f"/days/{DAY}")
    page.evaluate("window.kept = true")
    page.locator("#wind-by-height summary").click()
    row = page.locator('tr[data-entry="n1"]')
    assert "not ruled on" in row.inner_text()
    rule(small, "held")
    row.get_by_text("held").wait_for(timeout=SIGHT_MS)
    found = small.store.weather.current(DAY)
    wind = tuple(each.model_copy(update={"speed_mps": 9.0, "gust_mps": None}) for each in found.document.wind)
    small.store.weather.enter(
        DAY, found.document.model_copy(update={"wind": wind}), "rita", based_on=found.revision, why="a reading by hand"
    )
    small.settle()
    row.get_by_text("CAUTION").wait_for(timeout=SIGHT_MS)
    assert "9 m/s" in words_of(page.locator("#live-conditions"))
    assert page.evaluate("window.kept") and page.locator("#wind-by-height").get_attribute("open") is not None


def off_the_line(page: Any) -> str:
    """Cut the line; answers with what the page says once it notices, 80 s later at the most by its own clock."""
    page.context.set_offline(True)
    told = page.locator("#out-of-touch")
    for _ in range(40):
        page.clock.run_for(2_000)
        if told.count():
            break
        page.wait_for_timeout(50)
    return told.inner_text()


def back_on_the_line(page: Any) -> bool:
    """Mend the line; whether the page has taken back that it is out of touch, within 80 s by its own clock."""
    page.context.set_offline(False)
    for _ in range(40):
        page.clock.run_for(2_000)
        if not page.locator("#out-of-touch").count():
            return True
        page.wait_for_timeout(50)
    return False


# The small day's own clocks: 12:50 UTC is 09:50 at UTC-3.
SINCE = r"No answer since 09:5\d UTC-0300; what stands here may be out of date\."


@pytest.mark.parametrize("path", [f"/days/{DAY}", f"/days/{DAY}/desk", f"/days/{DAY}/entries/n1"])
def test_a_page_says_that_it_is_out_of_touch_and_stays(page, small, path):  # noqa: F811
    sign_in(page, "rita")
    page.clock.install()
    page.goto(path)
    with page.expect_response(re.compile("/(progress|state)$")):
        page.clock.run_for(6_000)
    before = page.locator("h1").inner_text()
    told = off_the_line(page)
    assert re.fullmatch(SINCE, told), told
    for _ in range(25):  # until the reading is older than 30 minutes
        page.clock.run_for(60_000)
    assert page.locator("h1").inner_text() == before, "the page is not thrown away for a page of the browser's own"
    assert "too old to rule by" in page.locator("main").inner_text(), "the age is known without the service"
    assert back_on_the_line(page)


def test_a_page_that_waits_for_long_work_says_that_it_is_out_of_touch_and_recovers(page, small):  # noqa: F811
    go_on = threading.Event()

    def work(watch: Any) -> Any:
        watch(3, 8, "laying out n2")
        assert go_on.wait(PATIENCE_S)
        raise CannotBeDone(CHANGED)

    with small.app.test_request_context():
        task = replace(signing_of(DAY, "0e" * 8), work=work)
    small.app.extensions["jobs"].start(task, "rita")
    try:
        sign_in(page, "rita")
        page.clock.install()
        page.goto(task.place.page)
        with page.expect_response(re.compile("/jobs/[0-9a-f]+$")):
            page.clock.run_for(2_000)
        told = off_the_line(page)
        assert re.fullmatch(SINCE, told), told
        assert "Working: 3 of 8, laying out n2." in page.locator("main").inner_text(), "what was known last stays"
        assert back_on_the_line(page)
    finally:
        go_on.set()
    assert small.app.extensions["jobs"].wait(PATIENCE_S)
    page.clock.resume()
    page.get_by_text("Not signed. Something changed while the sheet was made").wait_for(timeout=SIGHT_MS)
