"""An organiser compares a code with the text in force and says so: who and when stand, for that edition alone."""

from __future__ import annotations

import io

from pypdf import PdfReader

from service.codes.load import editions
from service.web import confirmed
from tests.web.conftest import DAY

CODE = "practice"
AT, PAGE = f"/days/{DAY}/codes/confirm", f"/days/{DAY}/organise/codes"


def say(browser, code: str = CODE, so: str = "true"):
    return browser.client.post(AT, data={"csrf": browser.csrf("/about"), "code": code, "confirmed": so})


def test_who_compared_a_code_and_when_stands_for_everybody(store, people, new_browser, browser):
    olga = new_browser("olga")
    assert "not yet compared with the text in force" in browser.get(f"/days/{DAY}").text
    assert say(olga).headers["Location"] == f"{PAGE}#confirmed"
    page = " ".join(olga.get(PAGE).text.split())
    assert "by Organiser here," in page and "not after all" in page
    public = browser.get(f"/days/{DAY}").text
    assert "compared with the text in force by the organiser on 9 July 2028" in public
    assert "Organiser here" not in public, "what everybody sees names no one"
    recorded = store.audit.newest(1)[0]
    assert recorded.who == "olga" and recorded.subject.startswith("setting/codes-confirmed")
    assert say(new_browser("rita")).status_code == 403
    assert say(olga, "canada").status_code == 404, "not one of the day's"
    assert say(olga, so="perhaps").status_code == 422
    assert say(olga, so="false").status_code == 303
    assert "compared with the text in force by the organiser on" not in browser.get(f"/days/{DAY}").text
    assert store.verify_chain().whole


def test_it_counts_for_the_edition_that_was_compared(store, people, new_browser, monkeypatch):
    say(new_browser("olga"))
    assert set(confirmed.confirmations(store, DAY)) == {CODE}
    newer = [each.model_copy(update={"edition": "another"}) for each in editions([CODE])]
    monkeypatch.setattr(confirmed, "editions", lambda codes: newer)
    assert confirmed.confirmations(store, DAY) == {}


def test_it_stands_on_the_sheet(store, people, assess, new_browser):
    assess()
    olga = new_browser("olga")
    say(olga)
    draft = PdfReader(io.BytesIO(olga.get(f"/days/{DAY}/sheets/draft.pdf?entry=n1").data))
    text = " ".join(" ".join(page.extract_text() for page in draft.pages).split())
    assert "checked 2028-07-09" in text


def test_a_program_says_so_too(store, people, app):
    key = store.people.new_token(store.people.by_login("olga").id, "x", "setup")
    head, here = {"Authorization": f"Bearer {key}"}, f"/api/v1/days/{DAY}/codes"
    client = app.test_client()
    assert client.put(f"{here}/{CODE}/comparison", headers=head).status_code == 204
    told = {each["id"]: each for each in client.get(here, headers=head).json["items"]}
    assert told[CODE]["compared_by"] == "Organiser here" and told[CODE]["compared_at"].startswith("2028-07-09")
    assert client.put(f"{here}/canada/comparison", headers=head).status_code == 404
    assert client.delete(f"{here}/{CODE}/comparison", headers=head).status_code == 204
    assert client.get(here, headers=head).json["items"][0]["compared_by"] is None
