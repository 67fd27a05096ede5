"""What flights taught, in a browser: last season's log added, compared, a correction accepted, seen on the sheet."""

from __future__ import annotations

import io
import re
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from tests.browser.conftest import DAY, LAPTOP, PATIENCE_MS, PHONE, expect
from tests.browser.looking import SCRIPTLESS, look_at
from tests.served import Served, served

WORK_MS = 480_000  # it runs behind everything else: slow where other tests take the processors
ENTRY, ROCKET = "e-10", "Long Heron"
HERE = f"/days/{DAY}/learning"
LOG = Path(__file__).resolve().parents[2] / "fixtures" / "heron_meadow_log.csv"
FLIGHTS = [line for line in LOG.read_text().splitlines() if line.startswith((f"{ENTRY},", "entry,"))]
NOTE = re.compile(r"Drag taken times (\d\.\d\d) after (\d) flights, accepted by Organiser 1 on \d{4}-\d\d-\d\d")


@pytest.fixture
def service(tmp_path_factory: pytest.TempPathFactory, chromium: str) -> Iterator[Served]:
    """The rocket that flew lower all last season than was estimated; a service for each test, since each changes it."""
    with served(tmp_path_factory.mktemp("learning"), only=("e-01", ENTRY), hours=2) as running:
        yield running


def add_log(page: Any, times: int = 1) -> None:
    """Bring last season's flights; `times` over, to have the work go on for a while."""
    lines = [FLIGHTS[0], *FLIGHTS[1:] * times]
    file = {"name": "season.csv", "mimeType": "text/csv", "buffer": "\n".join(lines).encode()}
    page.goto(HERE)
    assert "No flight has been written down yet" in page.locator(".answer").inner_text()
    page.get_by_text("Flights of before, from a file").click()
    page.get_by_label("Log, as CSV or JSON").set_input_files([file])
    page.get_by_role("button", name="Add it").click()
    page.get_by_text(f"{len(lines) - 1} flights are written down").wait_for()


def sheet_words(page: Any) -> str:
    """The draft of the entry's sheet, in words; none while it is not assessed yet."""
    answer = page.request.get(f"/days/{DAY}/sheets/draft.pdf?entry={ENTRY}")
    if not answer.ok:
        return ""
    pages = PdfReader(io.BytesIO(answer.body())).pages
    return " ".join(" ".join(each.extract_text() for each in pages).split())


def seen_on_the_sheet(page: Any) -> re.Match[str] | None:
    """What it says of the correction, once the entry has been assessed with it."""
    deadline = time.monotonic() + PATIENCE_MS / 1000
    while (found := NOTE.search(sheet_words(page))) is None and time.monotonic() < deadline:
        time.sleep(1.0)
    return found


def test_compared_accepted_printed_and_taken_back(open_page, service, pictures):
    page = open_page("olga", viewport=LAPTOP)
    add_log(page)
    look_at(page, pictures / "learning-before-1280.png")
    page.get_by_role("button", name="Compare them").click()
    page.get_by_role("button", name="Call it off").wait_for()
    assert page.locator("[data-job-words]").inner_text()
    page.locator("#proposals-heading").wait_for(timeout=WORK_MS)  # comes by itself
    assert page.get_by_role("heading", name="In force").count() == 0, "nothing changes until it is accepted"
    look_at(page, pictures / "learning-1280.png")
    assert page.locator("figure svg:visible").count() == 3
    change = page.locator(".fix", has_text=f"drag of {ROCKET}")
    words = change.locator("h3").inner_text()
    factor = re.search(r"times (\d\.\d\d) instead of 1\.00", words)
    assert factor and 1.0 < float(factor[1]) < 1.5, "it flew lower: more drag"
    change.get_by_role("button", name="Accept it").click()
    page.get_by_text("Accepted and recorded").wait_for()
    force = page.locator("section", has=page.locator("#force-heading"))
    assert f"times {factor[1]}" in force.inner_text() and "accepted by Organiser 1" in force.inner_text()
    printed = seen_on_the_sheet(page)
    assert printed and printed[1] == factor[1] and int(printed[2]) == len(FLIGHTS) - 1
    look_at(page, pictures / "learning-accepted-1280.png")
    page.goto(f"/days/{DAY}/entries/{ENTRY}")
    assert printed[0] in page.locator("main").inner_text(), "whoever rules on the entry sees it too"

    phone = open_page("olga", viewport=PHONE, color_scheme="dark")
    phone.goto(HERE)
    phone.locator("#force-heading").wait_for()
    look_at(phone, pictures / "learning-390-dark.png", "390-dark")
    phone.get_by_role("button", name="Take it back").click()
    phone.get_by_text("Taken back and recorded").wait_for()
    phone.wait_for_load_state()
    assert phone.locator("#force-heading").count() == 0


def test_with_scripts_off(open_page, service, pictures):
    page = open_page("olga", viewport=PHONE, java_script_enabled=False)
    add_log(page)
    page.get_by_role("button", name="Compare them").click()
    page.wait_for_load_state()
    deadline = time.monotonic() + WORK_MS / 1000
    while not page.locator("#proposals-heading").count() and time.monotonic() < deadline:
        time.sleep(1.0)
        page.get_by_role("link", name="Look again").click()
        page.wait_for_load_state()
    assert page.locator("figure svg:visible").count() == 3, page.locator("main").inner_text()
    look_at(page, pictures / "learning-390.png", SCRIPTLESS)
    page.locator(".fix", has_text=f"drag of {ROCKET}").get_by_role("button", name="Accept it").click()
    expect(page.get_by_text("Accepted and recorded")).to_be_visible()
    expect(page.locator("#force-heading")).to_be_visible()
    assert seen_on_the_sheet(page)


def test_called_off(open_page, service):
    page = open_page("olga")
    add_log(page, times=30)
    page.get_by_role("button", name="Compare them").click()
    page.get_by_role("button", name="Call it off").click()
    page.get_by_role("button", name="Compare them").wait_for(timeout=PATIENCE_MS)
