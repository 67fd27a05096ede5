"""By keyboard alone: sign in, reach the desk, rule; whatever has the focus can be seen to have it."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

from tests.browser.conftest import DAY, words_of
from tests.served import PASSWORD

MOST_TABS = 150
FOCUSED = """() => {
  const here = document.activeElement, style = getComputedStyle(here);
  return {tag: here.tagName, name: here.name || "", id: here.id, href: here.getAttribute("href") || "",
          text: (here.innerText || here.value || "").trim(), type: here.type || "",
          marked: style.outlineStyle !== "none" && parseFloat(style.outlineWidth) > 0};
}"""


def tab_to(page: Any, wanted: Callable[[dict[str, Any]], bool]) -> dict[str, Any]:
    """Press Tab until what is wanted has the focus."""
    seen = []
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        here = page.evaluate(FOCUSED)
        seen.append(here)
        if here["tag"] != "BODY":
            assert here["marked"], f"nothing shows that this has the focus: {here}"
        if wanted(here):
            return here
    raise AssertionError(f"not reached by Tab: {[(each['tag'], each['text'][:30]) for each in seen]}")


def test_sign_in_reach_the_desk_and_rule(open_page):
    page = open_page()
    page.goto("/")
    first = tab_to(page, lambda here: True)
    assert first["href"] == "#main", "the first stop skips to the content"
    tab_to(page, lambda here: here["text"] == "Sign in")
    page.keyboard.press("Enter")
    page.wait_for_url("**/sign-in*")
    tab_to(page, lambda here: here["name"] == "/login")
    page.keyboard.type("rita")
    tab_to(page, lambda here: here["name"] == "/password")
    page.keyboard.type(PASSWORD)
    page.keyboard.press("Enter")
    page.get_by_text("Officer 1").wait_for()
    tab_to(page, lambda here: here["href"] == f"/days/{DAY}")
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/days/{DAY}")
    tab_to(page, lambda here: here["href"] == f"/days/{DAY}/desk")
    page.keyboard.press("Enter")
    page.wait_for_url("**/desk")
    page.locator("[data-live-words]").wait_for(state="detached")
    row = tab_to(page, lambda here: "/entries/" in here["href"] and here["href"].endswith("/ruling"))
    page.keyboard.press("Enter")
    page.wait_for_url("**/ruling")
    tab_to(page, lambda here: here["name"] == "/reason")
    page.keyboard.type("Wait: the rod is bent.")
    tab_to(page, lambda here: here["text"] == "Hold")
    page.keyboard.press("Enter")
    told = page.locator("#told")
    told.wait_for()
    assert "held" in told.inner_text() and row["href"].split("/")[-2] in told.inner_text()


def test_single_keys(open_page):
    """The quicker way: a key each, and none of them while somebody types."""
    page = open_page("rolf")
    page.goto(f"/days/{DAY}/desk")
    page.locator("[data-live-words]").wait_for(state="detached")
    page.keyboard.press("/")
    page.keyboard.type("jkwh")
    assert page.locator("#text").input_value() == "jkwh" and page.url.endswith("/desk")
    page.locator("#text").fill("")
    page.keyboard.press("Escape")
    page.keyboard.press("j")
    first = page.evaluate(FOCUSED)
    page.keyboard.press("j")
    second = page.evaluate(FOCUSED)
    page.keyboard.press("k")
    assert first["href"] != second["href"] and page.evaluate(FOCUSED)["href"] == first["href"]
    page.keyboard.press("Enter")
    page.wait_for_url("**/ruling")
    page.locator(".verdict").wait_for()
    page.keyboard.press("h")
    assert page.evaluate(FOCUSED)["text"] == "Hold"
    page.keyboard.press("d")
    page.wait_for_url("**/desk*")


def test_a_reading_is_entered_in_ten_seconds(open_page):
    """Wind, direction and gust from the desk, by keys alone. A fifth of a second a key is a slow typist's (40 words a
    minute, common for hunting and pecking), so ten seconds are fifty keys; what the service takes comes on top.
    """
    page = open_page("rita")
    page.goto(f"/days/{DAY}/desk")
    page.locator("[data-live-words]").wait_for(state="detached")
    presses = ["w", *"3.4", "Tab", *"205", "Tab", *"5.1", "Enter"]
    began = time.monotonic()
    for key in presses:
        page.keyboard.press(key)
    page.get_by_text("New conditions are in force").wait_for()
    took_s = time.monotonic() - began
    line = words_of(page.locator("#weather-line"))
    assert "3.4 m/s from 205° (south-west), gusts 5.1 m/s" in line
    assert "Entered by Officer 1 from a reading by hand" in line
    assert len(presses) <= 13 and len(presses) * 0.2 + took_s < 10.0, (len(presses), took_s)
