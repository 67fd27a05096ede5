"""The day as people live it: a flyer on a phone, the officer on a laptop, a stronger wind, two rulings."""

from __future__ import annotations

import re

from tests.browser.conftest import DAY, PHONE
from tests.browser.registering import fill

HERE = f"/days/{DAY}"


def test_the_story(open_page, service, pictures):
    flyer = open_page(viewport=PHONE)
    flyer.goto("/")
    flyer.get_by_role("link", name=re.compile("Heron Meadow")).first.click()
    flyer.get_by_role("link", name=re.compile("Register")).first.click()

    # a fault stays beside its field, and what was typed stays with it
    fill(flyer, {"/main/diameter_m": "120", "/rocket/mass_kg": "heavy"})
    flyer.locator("[data-outline-narrow] svg .rh-fin").first.wait_for(state="attached")  # drawn while typing
    flyer.get_by_role("button", name="Register").click()
    fault = flyer.locator("#f-rocket-mass_kg-fault")
    assert "a number" in fault.inner_text()
    assert flyer.locator('[name="/rocket/mass_kg"]').input_value() == "heavy"
    assert flyer.locator('[name="/own/thrust_curve"]').input_value().startswith("time_s,thrust_n")
    flyer.locator('[name="/rocket/mass_kg"]').fill("60")
    flyer.get_by_role("button", name="Register").click()

    # the assessment comes by itself; the private link is told once
    link = flyer.locator("a.secret").get_attribute("href")
    assert "/private/" in link
    flyer.get_by_role("link", name="It is assessed").click()
    assert flyer.locator("a.secret").count() == 0
    number = flyer.url.rpartition("/")[2]
    flyer.locator(".answer").wait_for()
    flyer.screenshot(path=pictures / "story-assessed-390.png", full_page=True)
    # some 70 g under 120 mm fall at about 12 m/s (drag balances weight); common practice is 20 ft/s, 6.1 m/s
    assert flyer.locator(".finding-caution", has_text="The rocket lands at 20 ft/s").is_visible()
    assert flyer.locator("figure svg:visible").count() >= 2, "the map and the plot"

    # the flyer mends it: a larger canopy
    flyer.get_by_role("link", name="Mend this entry").click()
    flyer.locator('[name="/main/diameter_m"]').fill("300")
    flyer.get_by_role("button", name="Save").click()
    flyer.locator(".answer").wait_for()
    assert flyer.locator(".finding-caution", has_text="The rocket lands at 20 ft/s").count() == 0
    assert flyer.locator(".finding-clear", has_text="The rocket lands at 20 ft/s").count() == 1

    # the officer signs in, sees the new entry, and enters a stronger wind in a few keys
    officer = open_page("rita")
    officer.goto(f"{HERE}/desk")
    officer.get_by_text("Chimango").first.wait_for()
    officer.keyboard.press("w")
    officer.keyboard.type("7.5")
    officer.locator('[name="/wind_gust"]').fill("10")
    officer.keyboard.press("Enter")
    changed = officer.locator("#changed")
    changed.wait_for()
    officer.locator("[data-live-words]").wait_for(state="detached")
    assert "became 7.5 m/s" in changed.inner_text()
    assert officer.locator("#changed ul.changed > li").count() >= 1
    officer.screenshot(path=pictures / "story-changed-1280.png", full_page=True)

    # what needs attention, one by one: the first that may be approved is, the next is held
    words: list[str] = []
    for entry_id in (number, "e-01", "e-02", "e-03", "e-04"):
        officer.goto(f"{HERE}/entries/{entry_id}/ruling")
        officer.locator(".verdict").wait_for()
        approve = officer.get_by_role("button", name="Approve")
        if "approved" not in words and approve.is_enabled():
            approve.click()  # nothing weighed yet: refused, in words
            if "Not recorded" not in officer.locator("main").inner_text():
                raise AssertionError("approved without a tick")
            _weigh(officer)
            officer.screenshot(path=pictures / "story-ruling-1280.png", full_page=True)
            officer.get_by_role("button", name="Approve").click()
            words.append("approved")
        elif "held" not in words:
            officer.locator('[name="/reason"]').fill("Wait for less wind.")
            officer.get_by_role("button", name="Hold").click()
            words.append("held")
        else:
            break
        officer.locator("#told").wait_for()
        assert words[-1] in officer.locator("#told").inner_text() and entry_id in officer.locator("#told").inner_text()
    assert sorted(words) == ["approved", "held"]

    # the flyer sees the word without being told
    flyer.goto(f"{HERE}/entries/{number}")
    assert re.search("approved|held", flyer.locator(".ruling-line").inner_text())


def _weigh(page) -> None:
    """Initials on every caution, a tick on every item, and a reason."""
    for each in page.locator(".initial input").all():
        each.fill("RT")
    for each in page.locator('#check-in input[type="checkbox"]').all():
        each.check()
    page.locator('[name="/reason"]').fill("Weighed at the pads.")
