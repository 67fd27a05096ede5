"""Signing from the pages: who may, what is refused, that what comes out verifies against the club's certificate.

It goes on in the background: the page tells how far it is, and what moved on meanwhile is not signed.
"""

from __future__ import annotations

import io
import re
import threading
from dataclasses import replace
from datetime import timedelta

import pytest
from pypdf import PdfReader

from service.planning.signing.verify import verify
from service.store.rulings import Verdict
from service.web import drafts, signing
from service.web.club import make_club_key
from tests.web.conftest import CHEAP, DAY, NOW, PATIENCE_S, PLENTY, Browser, Config, quick_assessment, tried
from tests.web.test_desk import CAUTION, finding

PASSPHRASE = "four plain plovers"
SHEETS = f"/days/{DAY}/sheets"


@pytest.fixture
def club(store, day) -> str:
    return make_club_key(store, "Caldén Rocket Club", PASSPHRASE, NOW, "setup").certificate_pem


def pages(pdf: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages]


def waited(browser) -> None:
    """Until nothing is being signed."""
    assert browser.client.application.extensions["jobs"].wait(PATIENCE_S)


def signed_by(browser, **fields) -> bytes:
    """Sign through the page, and follow the link that it shows."""
    answer = browser.post(SHEETS, {"/passphrase": PASSPHRASE, "/entry": "", **fields})
    assert answer.status_code == 303, answer.text
    waited(browser)
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
    assert olga.get(f"{SHEETS}/draft.pdf").headers["Location"] == f"{SHEETS}?draft=si", "it is asked for there"
    laid_out = olga.post(f"{SHEETS}/draft")
    assert laid_out.status_code == 303
    waited(olga)
    assert "Open the draft of the whole day" in olga.get(laid_out.headers["Location"]).text
    draft = olga.get(f"{SHEETS}/draft.pdf")
    assert draft.mimetype == "application/pdf" and all("UNSIGNED" in page for page in pages(draft.data))
    assert verify(draft.data, [club]).word == "unsigned" and "n1" in pages(draft.data)[0]
    alone = olga.get(f"{SHEETS}/draft.pdf?entry=n2")
    assert "UNSIGNED" in pages(alone.data)[0] and "n1" not in pages(alone.data)[0], "that of one entry is there at once"
    assert olga.post(SHEETS, {"/passphrase": PASSPHRASE, "/entry": ""}).status_code == 403


def test_the_page_tells_how_far_the_draft_is(people, assess, new_browser, held_up):
    begun, go_on = held_up
    assess()
    olga = new_browser("olga")
    where = olga.post(f"{SHEETS}/draft").headers["Location"]
    assert begun.wait(PATIENCE_S)
    shown = olga.get(where).text
    assert "Working: 3 of 8, laying out n2." in shown and "Lay out a draft" not in shown
    assert olga.get(f"{SHEETS}/draft.pdf").status_code == 303
    go_on.set()
    waited(olga)
    assert olga.get(f"{SHEETS}/draft.pdf").mimetype == "application/pdf"


def test_the_draft_is_of_what_stands(app, store, people, assess, new_browser, clock):
    """What moved on, or grew too old to rule by, is laid out anew, and what came before it is forgotten."""
    assess()
    rita, current = new_browser("rita"), store.assessments.current(DAY)
    first = rita.post(f"{SHEETS}/draft")
    waited(rita)
    assert rita.get(f"{SHEETS}/draft.pdf").status_code == 200
    verdict = Verdict(word="held", reason="wind")
    store.rulings.rule(DAY, "n1", verdict, "rita", assessment_id=current["n1"].assessment_id, based_on=0)
    assert rita.get(f"{SHEETS}/draft.pdf").status_code == 303
    assert "Lay out a draft of the whole day" in rita.get(first.headers["Location"]).text
    rita.post(f"{SHEETS}/draft")
    waited(rita)
    assert "wind" in " ".join(pages(rita.get(f"{SHEETS}/draft.pdf").data))
    assert [each.kind for each in app.extensions["jobs"]._jobs.values()] == ["draft"]
    clock.now += timedelta(minutes=25)  # the reading was ten minutes old; 35 are more than the policy's 30
    assert rita.get(f"{SHEETS}/draft.pdf").status_code == 303


def test_what_moves_while_a_draft_is_asked_for_is_not_called_unchanged(store, people, assess, new_browser, monkeypatch):
    """A ruling that comes just after the day was read is not in the draft: nothing may say that it is."""
    assess()
    rita, current, reading = new_browser("rita"), store.assessments.current(DAY), drafts.printable

    def overtaken(*asked):
        what = reading(*asked)
        verdict = Verdict(word="held", reason="wind")
        store.rulings.rule(DAY, "n1", verdict, "rita", assessment_id=current["n1"].assessment_id, based_on=0)
        return what

    with monkeypatch.context() as meanwhile:
        meanwhile.setattr(drafts, "printable", overtaken)
        shown = rita.post(f"{SHEETS}/draft").headers["Location"]
    waited(rita)
    assert rita.get(f"{SHEETS}/draft.pdf").status_code == 303
    assert "Lay out a draft of the whole day" in rita.get(shown).text


def test_nothing_is_laid_out_while_entries_are_being_assessed(people, day, new_browser):
    answer = new_browser("rita").post(f"{SHEETS}/draft")
    assert answer.status_code == 422 and "still being assessed" in answer.text


def test_the_certificate_is_there_for_everybody(club, browser):
    assert browser.get("/certificate.pem").text == club


@pytest.fixture
def held_up(monkeypatch):
    """Printing that stands still until it is let go; `begun` is set once it is under way."""
    begun, go_on, printing = threading.Event(), threading.Event(), signing.printed

    def slowly(what, chosen, signature=None, progress=None):
        progress(3, 8, "laying out n2")
        begun.set()
        while not go_on.wait(0.005):
            progress(3, 8, "laying out n2")
        return printing(what, chosen, signature, progress)

    monkeypatch.setattr(signing, "printed", slowly)
    monkeypatch.setattr(drafts, "printed", slowly)
    yield begun, go_on
    go_on.set()


def test_the_page_tells_how_far_a_signature_is(store, club, people, assess, new_browser, held_up):
    """What it answers while the sheet is still being made shows that it does not wait for it."""
    begun, go_on = held_up
    assess()
    rita = new_browser("rita")
    answer = rita.post(SHEETS, {"/passphrase": PASSPHRASE, "/entry": ""})
    assert answer.status_code == 303 and begun.wait(PATIENCE_S)
    shown = rita.get(answer.headers["Location"]).text
    assert "Working: 3 of 8, laying out n2." in shown and "Sign and keep it" not in shown
    assert PASSPHRASE not in shown and store.sheets.all(DAY) == ()
    look = re.search(r'data-job="([^"]+)"', shown)[1]
    assert rita.get(look, headers={"Accept": "application/json"}).json["words"] == "laying out n2"
    go_on.set()
    waited(rita)
    (line,) = store.sheets.all(DAY)
    assert f"{SHEETS}/{line.id}.pdf" in rita.get(answer.headers["Location"]).text
    assert verify(store.sheets.pdf(DAY, line.id), [club]).good


def test_what_moved_on_while_it_was_made_is_not_signed(store, club, people, assess, new_browser, held_up):
    begun, go_on = held_up
    assess()
    rita, current = new_browser("rita"), store.assessments.current(DAY)
    answer = rita.post(SHEETS, {"/passphrase": PASSPHRASE, "/entry": ""})
    assert begun.wait(PATIENCE_S)
    verdict = Verdict(word="held", reason="wind")
    store.rulings.rule(DAY, "n1", verdict, "rita", assessment_id=current["n1"].assessment_id, based_on=0)
    go_on.set()
    waited(rita)
    shown = rita.get(answer.headers["Location"]).text
    assert "Something changed while the sheet was made; nothing was signed." in shown and "Sign and keep it" in shown
    assert store.sheets.all(DAY) == ()


def test_a_signature_is_called_off(store, club, people, assess, new_browser, held_up):
    begun, _go_on = held_up
    assess()
    rita = new_browser("rita")
    answer = rita.post(SHEETS, {"/passphrase": PASSPHRASE, "/entry": ""})
    assert begun.wait(PATIENCE_S)
    off = re.search(r'action="([^"]+/cancel)"', rita.get(answer.headers["Location"]).text)[1]
    back = rita.post(off)
    waited(rita)
    shown = rita.get(back.headers["Location"]).text
    assert "Nothing was signed" in shown and "Sign and keep it" in shown
    assert store.sheets.all(DAY) == ()


def test_who_clicks_twice_gets_one_sheet(store, club, people, assess, new_browser):
    """And a second one from the page as it stands after, or once something else stands."""
    assess()
    rita = new_browser("rita")
    given = {"/passphrase": PASSPHRASE, "/entry": "n1", "click": "the same page"}
    places = []
    for _ in range(2):
        places.append(rita.post(SHEETS, given).headers["Location"])
        waited(rita)
    assert places[0] == places[1] and len(store.sheets.all(DAY)) == 1
    current = store.assessments.current(DAY)["n1"].assessment_id
    store.rulings.rule(DAY, "n1", Verdict(word="held", reason="wind"), "rita", assessment_id=current, based_on=0)
    assert rita.post(SHEETS, given).headers["Location"] != places[0]
    signed_by(rita)
    assert len(store.sheets.all(DAY)) == 3


def test_initials_given_at_the_desk_are_on_the_sheet(store, clock, day, people):
    """On the page of the entry that they were given on."""

    def one_caution(day, entry, ground):
        found = {"findings": (finding(CAUTION, "caution"),), "standing": "caution"}
        return quick_assessment(day, entry, ground).model_copy(update=found)

    config = Config(
        rates=PLENTY, background=False, assess=one_caution, clock=clock, password_cost=CHEAP, workers=1,
        key_passphrase=PASSPHRASE,
    )  # fmt: skip
    make_club_key(store, "Caldén Rocket Club", PASSPHRASE, NOW, "setup")
    with tried(config, store) as app:
        app.extensions["reassessor"].kick(day)
        assert app.extensions["reassessor"].wait(PATIENCE_S)
        current = store.assessments.current(DAY)["n1"].assessment_id
        verdict = Verdict(word="held", reason="wind", initials={CAUTION: "QX"})
        store.rulings.rule(DAY, "n1", verdict, "rita", assessment_id=current, based_on=0)
        rita = Browser(app)
        rita.sign_in("rita")
        own = [page for page in pages(signed_by(rita)) if f"assessment {current}" in page]
    assert sum(page.count("QX") for page in own) == 1
