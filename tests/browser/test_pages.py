"""Every page, at both widths, light and dark: no serious finding of the accessibility checker, nothing that scrolls
sideways on a phone, and a picture of each to look at.

The checker is axe-core (WCAG 2.2 A and AA among its rules). The pages are all GET routes that answer with HTML.
"""

from __future__ import annotations

import re
from typing import Any

import pytest

from service.store import Store
from service.web import Config, create_app
from tests.browser.conftest import DAY, LAPTOP, PHONE
from tests.browser.registering import fill

GRAVE = ("serious", "critical")
LOOKS = (("390", PHONE, "light"), ("390-dark", PHONE, "dark"), ("1280", LAPTOP, "light"))
WHO = ("", "flyer", "rita", "olga")
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
    return sorted(each for each in found if not any(part in each for part in FILES))


@pytest.fixture(scope="module")
def looks(machine, service):
    """A page for everybody at each width, made once."""
    made: dict[tuple[str, str], Any] = {}
    contexts = []
    for who in WHO:
        for name, size, scheme in LOOKS:
            context = machine.new_context(base_url=service.base, viewport=size, color_scheme=scheme)
            contexts.append(context)
            page = made[who, name] = context.new_page()
            if who == "flyer":
                page.goto(f"/private/{service.link}")
            elif who:
                page.goto("/sign-in")
                page.get_by_label("Login").fill(who)
                page.get_by_label("Password").fill("seven plain herons")
                page.get_by_role("main").get_by_role("button").click()
                page.wait_for_url(service.base + "/")
    page = made["rita", "1280"]
    page.goto(f"/days/{DAY}/desk")
    page.locator("[data-live-words]").wait_for(state="detached", timeout=90_000)
    yield made
    for each in contexts:
        each.close()


@pytest.mark.parametrize("route", routes())
def test_each_page(looks, service, pictures, route):
    path = (
        route.replace("<day_id>", DAY)
        .replace("<entry_id>", "e-01")
        .replace("<motor_id>", "lantern-c7")
        .replace("<part>", "policy")
    )
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
    for name, _, _ in LOOKS:
        page = looks[who, name]
        page.goto(path)
        look_at(
            page,
            pictures / f"{route.strip('/').replace('/', '_') or 'index'}-{name}.png".replace("<", "").replace(">", ""),
        )


def test_the_form_with_faults(looks, pictures):
    for name, _, _ in LOOKS:
        page = looks["", name]
        page.goto(f"/days/{DAY}/entries/new")
        fill(page, {"/main/diameter_m": "", "/rocket/mass_kg": "heavy", "/own/thrust_curve": "0,1"})
        page.get_by_role("button", name="Register").click()
        page.locator("#faults").wait_for()
        look_at(page, pictures / f"faults-{name}.png")


def test_what_is_not_there(looks, pictures):
    for name, _, _ in LOOKS:
        page = looks["", name]
        assert page.goto("/days/nowhere").status == 404
        look_at(page, pictures / f"not-there-{name}.png")


def look_at(page: Any, picture: Any) -> None:
    """Open what is folded, take the picture, and hold the page against the checker."""
    from axe_playwright_python.sync_playwright import Axe

    page.screenshot(path=picture, full_page=True)
    page.evaluate("() => document.querySelectorAll('details').forEach((each) => { each.open = true; })")
    wide = page.evaluate("() => [document.documentElement.scrollWidth, document.documentElement.clientWidth]")
    assert wide[0] <= wide[1], f"scrolls sideways: {wide[0]} px in {wide[1]} px: {page.evaluate(TOO_WIDE)}"
    if "-390.png" in picture.name:
        return  # the checker looks at the phone in the dark and at the laptop in the light
    found = Axe().run(page, options=GRAVE_ONLY).response["violations"]
    grave = [
        f"{each['id']} ({each['impact']}): {node['html'][:150]} {node.get('failureSummary', '')[:300]}"
        for each in found
        if each["impact"] in GRAVE
        for node in each["nodes"][:3]
    ]
    assert grave == [], "\n".join(grave)


GRAVE_ONLY = {"resultTypes": ["violations"]}
TOO_WIDE = """() => [...document.querySelectorAll("main *")].filter((each) =>
  each.getBoundingClientRect().right > document.documentElement.clientWidth + 1).slice(0, 4).map((each) =>
  each.outerHTML.slice(0, 120))"""
