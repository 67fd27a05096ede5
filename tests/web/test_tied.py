"""Pages keep figures beside their units; what comes back from a form and what machines read has plain spaces."""

from __future__ import annotations

import re

from tests.web.conftest import DAY
from tests.web.test_registering import FULL, SEND

NO_BREAK = "\N{NO-BREAK SPACE}"
TYPED = "0 s, 5 N"


def test_a_page_is_tied_and_the_api_is_not(day, browser):
    raw = re.sub("<svg.*?</svg>", "", browser.get(f"/days/{DAY}").get_data(as_text=True), flags=re.DOTALL)
    assert f"2{NO_BREAK}m/s" in raw and "2 m/s" not in raw, "the wind of the small day"
    assert NO_BREAK not in browser.get(f"/api/v1/days/{DAY}").get_data(as_text=True)


def test_what_was_typed_comes_back_as_it_was_typed(day, browser):
    shown = browser.post(SEND, FULL | {"/rocket/mass_kg": "0.1", "/own/thrust_curve": TYPED}).get_data(as_text=True)
    (area,) = re.findall('<textarea[^>]*name="/own/thrust_curve"[^>]*>(.*?)</textarea>', shown, re.DOTALL)
    assert TYPED in area and NO_BREAK in shown
