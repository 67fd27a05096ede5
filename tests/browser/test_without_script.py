"""The register page with scripts off: the same form, drawn on asking, faults beside fields, then the assessment."""

from __future__ import annotations

import time

from tests.browser.conftest import DAY, PATIENCE_MS, PHONE, expect
from tests.browser.registering import fill


def test_registering_without_scripts(open_page):
    page = open_page(viewport=PHONE, java_script_enabled=False)
    page.goto(f"/days/{DAY}/entries/new")
    fill(page, {"/main/diameter_m": ""})
    assert page.locator("[data-outline-narrow] svg .rh-fin").count() == 0
    page.get_by_role("button", name="Draw the outline").click()
    expect(page.locator("[data-outline-narrow] svg .rh-fin").first).to_be_visible()
    page.get_by_role("button", name="Register").click()
    expect(page.locator("#f-main-diameter_m-fault")).to_be_visible()
    page.locator('[name="/main/diameter_m"]').fill("300")
    page.get_by_role("button", name="Register").click()
    link = page.locator("a.secret").get_attribute("href")
    _until_assessed(page)
    assert "Chimango" in page.locator("h1").inner_text() and page.locator("figure svg:visible").count() >= 2

    other = open_page(viewport=PHONE, java_script_enabled=False)
    other.goto(link)
    assert other.url == page.url, "the private link opens the entry on another phone"


def test_ruling_without_scripts(open_page):
    page = open_page("rita", java_script_enabled=False)
    page.goto(f"/days/{DAY}/desk")
    page.locator("details.reading > summary").click()
    page.locator('[name="/wind_speed"]').fill("3.5")
    page.locator('[name="/wind_from_deg"]').fill("205")
    page.get_by_role("button", name="Put in force").click()
    expect(page.get_by_text("New conditions are in force")).to_be_visible()
    page.goto(f"/days/{DAY}/entries/e-01/ruling")
    _until_assessed(page)
    page.locator('[name="/reason"]').fill("Wait for less wind.")
    page.get_by_role("button", name="Hold").click()
    assert "held" in page.locator("#told").inner_text()


def _until_assessed(page) -> None:
    deadline = time.monotonic() + PATIENCE_MS / 1000
    while not page.locator(".answer").count() and time.monotonic() < deadline:
        time.sleep(0.5)
        page.reload()  # as the page says
    assert page.locator(".answer").count()
