"""The fixes made together, in the service: shown on both pages, told by the API, made with one press or not at all."""

from __future__ import annotations

import re

import pytest

from service.store import Unavailable, days
from tests.web.advice_day import (
    DAY,
    DELAY_S,
    AdviceClock,
    few_entries,
    hidden,
    pad_fixes,
    real,
    served,
    together_of_two,
    words,
    worked_out,
)
from tests.web.conftest import PATIENCE_S, Browser

HERE = f"/days/{DAY}/entries/e-11"
MAKE = f"{HERE}/fixes/together/apply"


def told():
    return together_of_two(real("fixes", "e-11"), delay_s=DELAY_S)


@pytest.fixture
def running():
    with served(AdviceClock(), fixes=told()) as made:
        yield made


def sent(page) -> dict[str, str]:
    """The hidden fields of the form that makes all of it."""
    text = page.text.split(f'action="{MAKE}"', 1)[1].split("</form>", 1)[0]
    return {name: hidden(text, name) for name in ("job", "based_on")}


def test_it_says_what_to_do_what_stays_and_how_it_was_verified(app, flyer):
    said = words(worked_out(app, flyer, f"{HERE}/advice").text)
    whole = told().together
    stays = "Nothing tried clears it without making another finding worse."
    for each in (whole.says, *(step.words for step in whole.steps), *whole.notes, "This stays:", stays):
        assert each in said
    left = next(each for each in whole.findings if each.after != "clear")
    now, then = (re.search(r"[\d.]+ m/s", each)[0] for each in (left.measured_before, left.measured_after))
    assert now != then and re.search(rf"Found now {now} \([^)]*\), with them {then} \(", said)
    assert "With them the entry stands at CAUTION , by a full assessment of 4,321 flights." in said


def test_one_press_makes_all_of_it_and_is_recorded(app, store, flyer):
    page = worked_out(app, flyer, f"{HERE}/advice")
    answer = flyer.post(MAKE, sent(page), page="/about")
    assert answer.status_code == 303 and answer.headers["Location"] == HERE
    kept, whole = store.entries.get(DAY, "e-11"), told().together
    assert kept.entry == whole.entry.model_copy(update={"attestations": {}}) and kept.entry.delay_s == DELAY_S
    assert kept.revision == 2 and kept.why == f"advice: {whole.words}"[:480] and kept.by == "flyer e-11"
    assert whole.words in words(flyer.get(HERE).text) and store.verify_chain().whole
    assert flyer.post(MAKE, sent(page), page="/about").status_code == 409, "it was for the entry as it stood"


def test_the_entry_s_own_page_offers_it_too(app, store, flyer):
    app.extensions["reassessor"].kick(DAY)
    assert app.extensions["reassessor"].wait(PATIENCE_S)
    worked_out(app, flyer, f"{HERE}/advice")
    page = flyer.get(HERE)
    assert told().together.says in words(page.text) and "Needs an adapter from 18 mm to 24 mm" in words(page.text)
    assert flyer.post(MAKE, sent(page), page="/about").status_code == 303
    assert store.entries.get(DAY, "e-11").entry.delay_s == DELAY_S


def test_a_program_reads_it_and_makes_it_by_the_revision(app, store):
    bearer = {"Authorization": f"Bearer {store.links.new(DAY, 'e-11', 'setup')}"}
    client, path = app.test_client(), f"/api/v1{HERE}/fixes"
    make = f"{path}/together/apply?assessment={told().together.assessment}"
    assert client.post(make, headers=bearer | {"If-Match": '"1"'}).status_code == 404
    client.post(path, headers=bearer)
    assert app.extensions["jobs"].wait(PATIENCE_S)
    whole = client.get(path, headers=bearer).json["together"]
    assert [each["after"] for each in whole["findings"]] == ["clear", whole["standing_after"]] == ["clear", "caution"]
    assert make.endswith(whole["assessment"]) and whole["notes"] == list(told().together.notes) != []
    assert client.post(make, headers=bearer).status_code == 428
    assert client.post(make, headers=bearer | {"If-Match": '"7"'}).status_code == 412
    unnamed = client.post(f"{path}/together/apply", headers=bearer | {"If-Match": '"1"'})
    assert unnamed.status_code == 422 and unnamed.json["errors"][0]["pointer"] == "/assessment"
    made = client.post(make, headers=bearer | {"If-Match": '"1"'})
    assert made.status_code == 200 and made.json["revision"] == 2 and made.json["entry"]["delay_s"] == DELAY_S


def test_where_nothing_was_flown_together_there_is_nothing_to_make():
    with served(AdviceClock()) as (app, store):
        flyer = Browser(app)
        token = store.links.new(DAY, "e-11", "setup")
        flyer.get(f"/private/{token}")
        page = worked_out(app, flyer, f"{HERE}/advice")
        assert "All together" not in words(page.text)
        fields = {"job": hidden(page.text, "job"), "based_on": "1"}
        assert flyer.post(MAKE, fields, page="/about").status_code == 409
        headers = {"Authorization": f"Bearer {token}", "If-Match": '"1"'}
        assert app.test_client().post(f"/api/v1{MAKE}?assessment={'a' * 32}", headers=headers).status_code == 409
        assert store.entries.get(DAY, "e-11").entry == few_entries().entry_by_id("e-11")


def test_a_pad_among_it_is_the_officers_and_all_is_made_or_nothing(monkeypatch):
    with served(AdviceClock(), fixes=together_of_two(pad_fixes(), delay_s=DELAY_S)) as (app, store):
        here = f"/days/{DAY}/entries/e-09"
        flyer, rita = Browser(app), Browser(app)
        flyer.get(f"/private/{store.links.new(DAY, 'e-09', 'setup')}")
        assert rita.sign_in("rita").status_code == 303
        page = worked_out(app, flyer, f"{here}/advice")
        assert not re.search("Make all these changes", page.text) and "Pad A1 also serves e-01" in words(page.text)
        fields = {"job": hidden(rita.get(f"{here}/advice").text, "job"), "based_on": "1"}
        make = f"{here}/fixes/together/apply"
        assert flyer.post(make, fields, page="/about").status_code == 403
        with monkeypatch.context() as broken:
            broken.setattr(days, "save", lambda *_, **__: (_ for _ in ()).throw(Unavailable("the disk is full")))
            assert rita.post(make, fields, page="/about").status_code >= 500
        assert store.days.header(DAY).revision == 1 and store.entries.get(DAY, "e-09").revision == 1
        assert rita.post(make, fields, page="/about").status_code == 303
        assert store.days.header(DAY).document.field.pads[0].guide_length_m == 4.0
        assert store.entries.get(DAY, "e-09").entry.delay_s == DELAY_S
