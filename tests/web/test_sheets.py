"""Signing from the pages: who may, what is refused, and that what comes out verifies against the club's certificate."""

from __future__ import annotations

import io
import re
from dataclasses import replace

import pytest
from pypdf import PdfReader

from service.planning.signing.verify import verify
from service.store.rulings import Verdict
from service.web.club import make_club_key
from tests.web.conftest import DAY, NOW

PASSPHRASE = "four plain plovers"
SHEETS = f"/days/{DAY}/sheets"


@pytest.fixture
def club(store, day) -> str:
    return make_club_key(store, "Caldén Rocket Club", PASSPHRASE, NOW, "setup").certificate_pem


def pages(pdf: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages]


def signed_by(browser, **fields) -> bytes:
    """Sign through the page, and follow the link that it shows."""
    answer = browser.post(SHEETS, {"/passphrase": PASSPHRASE, "/entry": "", **fields})
    assert answer.status_code == 303, answer.text
    shown = browser.get(answer.headers["Location"]).text
    link = re.search(r'href="([^"]+\.pdf)">Open the signed sheet', shown)[1]
    assert "untouched" in shown
    return browser.get(link).data


def test_the_officer_signs_the_day(store, club, people, assess, new_browser):
    assess()
    current = store.assessments.current(DAY)
    verdict = Verdict(word="held", reason="wind")
    store.rulings.rule(DAY, "n1", verdict, "rita", assessment_id=current["n1"].assessment_id, based_on=0)
    pdf = signed_by(new_browser("rita"))
    told = verify(pdf, [club])
    assert told.good and told.signatures[0].named == "RSO here, range safety officer"
    text = pages(pdf)
    assert "had not ruled on entries n2 and n3." in text[0] and "UNSIGNED" not in " ".join(text)
    assert sum("NOT RULED ON" in page for page in text) == 2
    assert store.verify_chain().whole
    spoilt = bytearray(pdf)
    spoilt[len(pdf) // 3] ^= 1
    assert not verify(bytes(spoilt), [club]).good


def test_one_entry_alone_and_a_ruling_that_has_lapsed(store, club, people, assess, new_browser):
    assess()
    current = store.assessments.current(DAY)["n2"].assessment_id
    store.rulings.rule(DAY, "n2", Verdict(word="held", reason="wind"), "rita", assessment_id=current, based_on=0)
    weather = store.weather.current(DAY)
    windier = weather.document.model_copy(update={"source": "another mast"})
    store.weather.enter(DAY, windier, "rita", based_on=weather.revision)
    assess()
    pdf = signed_by(new_browser("rita"), **{"/entry": "n2"})
    text = pages(pdf)
    assert "The ruling on entry n2 has lapsed" in text[0] and "n1" not in text[0]
    assert verify(pdf, [club]).good
    assert store.sheets.all(DAY)[0].entry_id == "n2"


def test_a_wrong_passphrase_signs_nothing_and_is_not_shown_again(store, club, people, assess, new_browser):
    assess()
    answer = new_browser("rita").post(SHEETS, {"/passphrase": "not this one at all", "/entry": "n1"})
    assert answer.status_code == 422 and "does not open" in answer.text and "not this one at all" not in answer.text
    assert re.search(r'value="n1" selected', answer.text)
    assert store.sheets.all(DAY) == ()


def test_nothing_is_signed_while_entries_are_being_assessed(store, club, people, new_browser):
    answer = new_browser("rita").post(SHEETS, {"/passphrase": PASSPHRASE, "/entry": ""})
    assert answer.status_code == 422 and "still being assessed" in answer.text
    assert store.sheets.all(DAY) == ()


def test_without_a_key_the_page_says_so(people, assess, new_browser):
    rita = new_browser("rita")
    assess()
    assert "no key yet" in rita.get(SHEETS).text
    assert rita.post(SHEETS, {"/passphrase": PASSPHRASE, "/entry": ""}).status_code == 422
    assert rita.get("/certificate.pem").status_code == 404


def test_a_passphrase_that_the_service_was_given_need_not_be_typed(app, store, club, people, assess, new_browser):
    app.config["RANGEHAND"] = replace(app.config["RANGEHAND"], key_passphrase=PASSPHRASE)
    assess()
    rita = new_browser("rita")
    assert "/passphrase" not in rita.get(SHEETS).text
    assert rita.post(SHEETS, {"/entry": ""}).status_code == 303


def test_the_draft_is_unsigned_and_an_organiser_does_not_sign(club, people, assess, new_browser):
    assess()
    olga = new_browser("olga")
    draft = olga.get(f"{SHEETS}/draft.pdf")
    assert draft.mimetype == "application/pdf" and all("UNSIGNED" in page for page in pages(draft.data))
    assert verify(draft.data, [club]).word == "unsigned"
    assert olga.post(SHEETS, {"/passphrase": PASSPHRASE, "/entry": ""}).status_code == 403


def test_the_certificate_is_there_for_everybody(club, browser):
    assert browser.get("/certificate.pem").text == club
