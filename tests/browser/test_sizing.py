"""The field sized, in a browser: winds and fleet in, progress, the answer with its pictures, the report; called off."""

from __future__ import annotations

import io
import time
from collections.abc import Iterator
from typing import Any

import pytest
from pypdf import PdfReader

from tests.browser.conftest import DAY, LAPTOP, PATIENCE_MS, PHONE, expect
from tests.browser.looking import SCRIPTLESS, look_at
from tests.planning.sizing.seasons import winds_text
from tests.served import Served, served

WORK_MS = 480_000  # it runs behind everything else: slow where other tests take the processors
HERE = f"/days/{DAY}/sizing"
WINDS = {"name": "mast.csv", "mimeType": "text/csv", "buffer": winds_text(hours=96).encode()}
FLEET = {"name": "club.csv", "mimeType": "text/csv", "buffer": b"class,count\nC,6\nI,1\n"}
MANY = {**FLEET, "buffer": b"class,count\n" + b"".join(b"%c,9\n" % letter for letter in b"ABCDEFGHIJ")}  # takes a while
PICTURES = 5  # the map, classes and winds, hours, the affected ground, the rose


@pytest.fixture(scope="module")
def service(tmp_path_factory: pytest.TempPathFactory, chromium: str) -> Iterator[Served]:
    """A day with one entry: the fleet is sent."""
    with served(tmp_path_factory.mktemp("sizing"), only=("e-01",), hours=2) as running:
        yield running


def ask(page: Any, fleet: dict[str, Any] = FLEET, altitudes: bool = False) -> None:
    """Choose the files and press the button."""
    page.goto(HERE)
    page.get_by_label("The season's winds").set_input_files([WINDS])
    page.get_by_label("The fleet, if not").set_input_files([fleet])
    page.get_by_label("Search for the greatest altitude").set_checked(altitudes)
    page.get_by_role("button", name="Size the field").click()


def report_of(page: Any, link: str) -> str:
    """The words of the report that a link of the page leads to."""
    answer = page.request.get(page.get_by_role("link", name=link).get_attribute("href"))
    assert answer.headers["content-type"] == "application/pdf"
    assert "field-report-heron-meadow.pdf" in answer.headers["content-disposition"]
    return " ".join(" ".join(each.extract_text() for each in PdfReader(io.BytesIO(answer.body())).pages).split())


def test_asked_followed_read_and_printed(open_page, service, pictures):
    page = open_page("olga", viewport=LAPTOP)
    ask(page)
    page.get_by_role("button", name="Call it off").wait_for()
    assert page.locator("[data-job-words]").inner_text()
    look_at(page, pictures / "sizing-running-1280.png")
    page.get_by_role("link", name="Report, A4").wait_for(timeout=WORK_MS)  # comes by itself
    look_at(page, pictures / "sizing-1280.png")
    assert page.locator("figure svg:visible").count() == PICTURES
    answer = page.locator(".answer").inner_text()
    assert "every class up to" in answer and "m/s" in answer
    told = report_of(page, "Report, A4")
    assert " ".join(answer.split()) in told, "page and paper say the same"
    assert report_of(page, "Report, letter")

    phone = open_page("olga", viewport=PHONE, color_scheme="dark")
    phone.goto(page.url)  # done once, there for whoever asks the same
    phone.get_by_role("link", name="Report, A4").wait_for()
    look_at(phone, pictures / "sizing-390-dark.png", "390-dark")
    assert phone.locator("figure svg:visible").count() == PICTURES


def test_with_scripts_off(open_page, service, pictures):
    page = open_page("olga", viewport=PHONE, java_script_enabled=False)
    ask(page, {**FLEET, "buffer": b"class,count\nD,4\nF,2\n"})
    expect(page.get_by_role("button", name="Call it off")).to_be_visible()
    page.wait_for_load_state()
    deadline = time.monotonic() + WORK_MS / 1000
    while page.get_by_role("link", name="Look again").count() and time.monotonic() < deadline:
        time.sleep(1.0)
        page.get_by_role("link", name="Look again").click()
        page.wait_for_load_state()  # a busy machine is still sending the rest of the page
    assert page.locator("figure svg:visible").count() == PICTURES, page.locator("main").inner_text()
    look_at(page, pictures / "sizing-390.png", SCRIPTLESS)
    assert "Size the field" not in report_of(page, "Report, A4")


def test_a_file_with_faults_begins_nothing(open_page, service, pictures):
    page = open_page("olga", viewport=PHONE)
    page.goto(HERE)
    faulty = {**WINDS, "buffer": b"time,wind_speed_mps,wind_from_deg\nmonday,3,200\n"}
    page.get_by_label("The season's winds").set_input_files([faulty])
    page.get_by_role("button", name="Size the field").click()
    page.locator("#faults").wait_for()
    assert "mast.csv, line 2, time" in page.locator("#faults").inner_text()
    assert page.get_by_role("button", name="Call it off").count() == 0
    look_at(page, pictures / "sizing-faults-390.png")


def test_called_off(open_page, service):
    page = open_page("olga")
    ask(page, MANY, altitudes=True)
    page.get_by_role("button", name="Call it off").click()
    page.get_by_role("button", name="Size the field").wait_for(timeout=PATIENCE_MS)
    assert page.get_by_role("link", name="Report, A4").count() == 0
