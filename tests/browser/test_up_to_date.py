"""Open pages keep up by themselves, keep what is open and typed, and say when they are out of touch.

The line is cut inside the browser: it is told to be offline, as the browser of a phone out of range is.
"""

from __future__ import annotations

import re
from typing import Any

import pytest

from service.store import Verdict
from tests.browser.conftest import PHONE
from tests.browser.signing_in import sign_in
from tests.browser.test_states import DAY, Small, small  # noqa: F401 - a fixture
from tests.web.conftest import NOW

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
    assert "9 m/s" in page.locator("#live-conditions").inner_text()
    assert page.evaluate("window.kept") and page.locator("#wind-by-height").get_attribute("open") is not None


@pytest.mark.parametrize("path", [f"/days/{DAY}", f"/days/{DAY}/desk", f"/days/{DAY}/entries/n1"])
def test_a_page_says_that_it_is_out_of_touch_and_stays(page, small, path):  # noqa: F811
    sign_in(page, "rita")
    page.clock.install()
    page.goto(path)
    with page.expect_response(re.compile("/(progress|state)$")):
        page.clock.run_for(6_000)
    before = page.locator("h1").inner_text()
    page.context.set_offline(True)
    told = page.locator("#out-of-touch")
    for _ in range(40):  # 80 s at the most, by the page's clock
        page.clock.run_for(2_000)
        if told.count():
            break
        page.wait_for_timeout(50)
    # the small day's own clocks: 12:50 UTC is 09:50 at UTC-3
    assert re.fullmatch(r"No answer since 09:5\d UTC-0300; what stands here may be out of date\.", told.inner_text()), (
        told.inner_text()
    )
    for _ in range(25):  # until the reading is older than 30 minutes
        page.clock.run_for(60_000)
    assert page.locator("h1").inner_text() == before, "the page is not thrown away for a page of the browser's own"
    assert "too old to rule by" in page.locator("main").inner_text(), "the age is known without the service"
    page.context.set_offline(False)
    for _ in range(40):
        page.clock.run_for(2_000)
        if not page.locator("#out-of-touch").count():
            break
        page.wait_for_timeout(50)
    assert page.locator("#out-of-touch").count() == 0
