"""The day as people live it: a flyer on a phone, the officer on a laptop; a stronger wind, two rulings, a sheet."""

from __future__ import annotations

import re
import shutil
import subprocess
import tempfile
from concurrent.futures import ThreadPoolExecutor

from service.planning.signing.verify import verify
from tests.browser.conftest import DAY, PHONE, expect, words_of
from tests.browser.registering import fill
from tests.served import PASSPHRASE

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
    expect(flyer.locator("a.secret")).to_have_count(0)
    number = flyer.url.rpartition("/")[2]
    flyer.locator(".answer").wait_for()
    flyer.wait_for_load_state()
    flyer.screenshot(path=pictures / "story-assessed-390.png", full_page=True)
    # some 70 g under 120 mm fall at about 12 m/s (drag balances weight); common practice is 20 ft/s, 6.1 m/s
    assert flyer.locator(".finding-caution", has_text=re.compile("The rocket lands at .*20.ft/s")).is_visible()
    assert flyer.locator("figure svg:visible").count() >= 2, "the map and the plot"

    # the flyer mends it: a larger canopy
    flyer.get_by_role("link", name="Mend this entry").click()
    flyer.locator('[name="/main/diameter_m"]').fill("300")
    flyer.get_by_role("button", name="Save").click()
    flyer.locator(".answer").wait_for()
    flyer.wait_for_load_state()
    assert flyer.locator(".finding-caution", has_text=re.compile("The rocket lands at .*20.ft/s")).count() == 0
    assert flyer.locator(".finding-clear", has_text=re.compile("The rocket lands at .*20.ft/s")).count() == 1

    # the officer signs in, sees the new entry, and enters a stronger wind in a few keys
    officer = open_page("rita")
    officer.goto(f"{HERE}/desk")
    officer.get_by_text("Chimango").first.wait_for()
    officer.keyboard.press("w")
    officer.keyboard.type("7.5")
    officer.locator('[name="/wind_from_deg"]').fill("200")
    officer.locator('[name="/wind_gust"]').fill("10")
    officer.keyboard.press("Enter")
    changed = officer.locator("#changed")
    changed.wait_for()
    officer.wait_for_load_state()
    officer.locator("[data-live-words]").wait_for(state="detached")
    assert "became 7.5 m/s" in words_of(changed)
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
            expect(officer.locator("main")).to_contain_text("Not recorded")
            officer.wait_for_load_state()
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

    # the officer signs the day; the sheet says what is not settled, and one byte more or less is seen
    officer.goto(f"{HERE}/sheets")
    assert "says so in so many words" in officer.locator("main").inner_text()
    officer.get_by_label("Passphrase").fill(PASSPHRASE)
    officer.get_by_role("button", name="Sign and keep it").click()
    signed = officer.get_by_role("link", name="Open the signed sheet").get_attribute("href")
    assert "untouched" in officer.locator("table.lines").inner_text()
    officer.screenshot(path=pictures / "story-signed-1280.png", full_page=True)
    sheet = officer.request.get(signed).body()
    certificate = officer.request.get("/certificate.pem").text()
    assert _verified(sheet, certificate) == "untouched"
    assert _seen_by_a_reader(sheet) in (None, "Signature is Valid.")
    at = sheet.index(b"stream") + 40  # inside the first drawing
    changed_sheet = sheet[:at] + bytes([sheet[at] ^ 1]) + sheet[at + 1 :]
    assert _verified(changed_sheet, certificate) == "changed"
    assert _seen_by_a_reader(changed_sheet) in (None, "Digest Mismatch.")

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


def _verified(pdf: bytes, certificate: str) -> str:
    """The service's own word; on a thread, as the browser's event loop has this one."""
    with ThreadPoolExecutor(1) as thread:
        return thread.submit(verify, pdf, [certificate]).result().word


def _seen_by_a_reader(pdf: bytes) -> str | None:
    """What a PDF reader's own tool (poppler's pdfsig) says of the signature; None where it is not installed."""
    tool = shutil.which("pdfsig")
    if tool is None:
        return None
    with tempfile.NamedTemporaryFile(suffix=".pdf") as file:
        file.write(pdf)
        file.flush()
        told = subprocess.run([tool, "-nocert", file.name], capture_output=True, text=True, timeout=60).stdout
    found = re.search(r"Signature Validation: (.*)", told)
    return found[1] if found else told
