"""Every page, at both widths, light and dark, with and without scripts, and stepped through by keyboard.

The pages are all GET routes that answer with HTML; looking.py tells what each is held to. A picture of each is kept.
"""

from __future__ import annotations

import re
from typing import Any

import pytest

from service.store import Store
from service.web import Config, create_app
from tests.browser.conftest import DAY
from tests.browser.looking import LOOKS, SCRIPTLESS, look_at, open_looks
from tests.browser.registering import fill
from tests.browser.signing_in import sign_in

WHO = ("", "flyer", "rita", "olga")
MOST_STOPS = 40
STOP = """() => {
  const here = document.activeElement, style = getComputedStyle(here), box = here.getBoundingClientRect();
  return {tag: here.tagName, html: here.outerHTML.slice(0, 100), href: here.getAttribute("href") || "",
          marked: style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2,
          seen: box.width > 0 && box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth,
          after: window.before && window.before !== here ? !!(window.before.compareDocumentPosition(here) & 4) : true,
          last: (window.before = here, here === document.body)};
}"""
LOOKED_AT = ("zones", "policy", "codes")  # of the organiser's parts: one with a map beside it, two without
FILES = (
    "sheet",
    "export",
    ".pdf",
    ".pem",
    ".csv",
    ".json",
    "openapi",
    "/api/",
    "/static/",
    "theme",
    "/private/",
    "progress",
)


def routes() -> list[str]:
    """The addresses of all GET routes, with the demo day's names put in."""
    with Store.in_memory() as store:
        app = create_app(Config(background=False), store)
        found = [rule.rule for rule in app.url_map.iter_rules() if "GET" in (rule.methods or ())]
    pages = [each for each in found if not any(part in each for part in FILES)]
    parts = [each.replace("<part>", part) for each in pages if "<part>" in each for part in LOOKED_AT]
    return sorted([*parts, *(each for each in pages if "<part>" not in each)])


@pytest.fixture(scope="module")
def looks(machine, service):
    """A page for everybody at each width, made once."""
    made: dict[tuple[str, str], Any] = {}
    contexts = []
    for who in WHO:
        for name, context in open_looks(machine, service.base).items():
            contexts.append(context)
            page = made[who, name] = context.new_page()
            if who == "flyer":
                page.goto(f"/private/{service.link}")
            elif who:
                sign_in(page, who)
    page = made["rita", "1280"]
    page.goto(f"/days/{DAY}/desk")
    page.locator("[data-live-words]").wait_for(state="detached", timeout=90_000)
    yield made
    for each in contexts:
        each.close()


@pytest.mark.parametrize("route", routes())
def test_each_page(looks, service, pictures, route):
    path = route.replace("<day_id>", DAY).replace("<entry_id>", "e-01").replace("<motor_id>", "lantern-c7")
    if "<assessment_id>" in path:
        page = looks["flyer", "390"]
        page.goto(f"/days/{DAY}/entries/e-01")
        found = page.locator("code").filter(has_text=re.compile("^[0-9a-f]{32}$")).first.inner_text()
        path = path.replace("<assessment_id>", found)
    if "<" in path:
        path = re.sub("<(?:[a-z]+:)?[a-z_]+>", "1", path)
    for who in WHO:
        answer = looks[who, "390"].request.get(path)
        if answer.status == 200 and answer.url == service.base + path:
            break
    else:
        pytest.skip(f"{path} shows no page to anybody on this day")
    if not answer.headers["content-type"].startswith("text/html"):
        pytest.skip(f"{path} is no page")
    shown = re.sub("[<>]", "", route.strip("/").replace("/", "_")) or "index"
    for name, _, _ in LOOKS:
        page = looks[who, name]
        page.goto(path)
        if name == "1280":
            step_through(page)
        look_at(page, pictures / f"{shown}-{name}.png", name)


def step_through(page: Any) -> None:
    """Tab through the page: first to skip to the content, then in the page's order, each stop marked and in view."""
    stops: list[dict[str, Any]] = []
    begun = page.evaluate("() => document.activeElement !== document.body")  # in the one field that the page is for
    for _ in range(MOST_STOPS):
        page.keyboard.press("Tab")
        here = page.evaluate(STOP)
        if here["last"] or (stops and here["href"] == "#main"):
            break
        stops.append(here)
    assert stops and (begun or stops[0]["href"] == "#main"), "the first stop skips to the content"
    assert [each["html"] for each in stops if not each["marked"]] == [], "has the focus and does not show it"
    assert [each["html"] for each in stops if not each["seen"]] == [], "has the focus out of sight"
    assert [each["html"] for each in stops if not each["after"]] == [], "is reached out of the page's order"


def test_the_form_with_faults(looks, pictures):
    for name, _, _ in LOOKS:
        page = looks["", name]
        page.goto(f"/days/{DAY}/entries/new")
        fill(page, {"/main/diameter_m": "", "/rocket/mass_kg": "heavy", "/own/thrust_curve": "0,1"})
        page.get_by_role("button", name="Register").click()
        page.locator("#faults").wait_for()
        page.wait_for_load_state()
        assert page.locator('[name="/rocket/mass_kg"]').input_value() == "heavy", "what was typed is kept"
        assert page.locator(".field.faulty").count() == 3 and page.locator("#f-main-diameter_m-fault").is_visible()
        if name != SCRIPTLESS:
            assert page.evaluate("() => document.activeElement.id") == "faults"
        look_at(page, pictures / f"faults-{name}.png", name)


def test_what_is_not_there(looks, pictures):
    for name, _, _ in LOOKS:
        page = looks["", name]
        assert page.goto("/days/nowhere").status == 404
        look_at(page, pictures / f"not-there-{name}.png", name)
