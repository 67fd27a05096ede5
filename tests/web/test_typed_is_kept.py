"""What somebody typed is never lost: to another who was faster, to a form that has run out, to a sign-in that ended."""

from __future__ import annotations

import html
import io
import json
import re

import pytest

from tests.builders import LON_DEG, square
from tests.web.conftest import DAY
from tests.web.page_forms import typed
from tests.web.test_registering import FULL, NEW, SEND, SHORT

HERE = {"Origin": "http://localhost"}
ELSEWHERE = {"Origin": "http://elsewhere.example"}


def hidden(page: str, action: str) -> dict[str, str]:
    """What the form that goes to `action` carries unseen."""
    form = re.search(rf'<form[^>]*action="{re.escape(action)}">(.*?)</form>', page, re.S)
    assert form, f"no form goes to {action}"
    pairs = re.findall(r'<input type="hidden" name="([^"]*)" value="([^"]*)">', form[1])
    return {html.unescape(name): html.unescape(value) for name, value in pairs}


def test_two_tabs_of_one_entry(browser, day, store):
    where = browser.post(SEND, FULL).headers["Location"]
    entry_id = where.rpartition("/")[2]
    old = typed(browser.get(f"{where}/edit").text)
    other = old | {"/rocket/mass_kg": "75", "/main/diameter_m": "350", "/pad": "P2"}
    assert browser.client.post(f"{where}/edit", data=other).status_code == 303
    late = browser.client.post(f"{where}/edit", data=old | {"/rocket/mass_kg": "80", "/flyer/name": "Ada E."})
    assert late.status_code == 409 and "Somebody else was faster" in late.text
    told = html.unescape(re.search(r'id="faults".*?</ul>', late.text, re.S)[0])
    assert "Mass without the motor, now 75 g" in told and "Diameter, now 350 mm" in told and "Pad, now P2: rail" in told
    assert "/rocket" not in told and not re.search(r"\d\.\d{3,}", told), "no pointers and no microseconds"
    shown = typed(late.text)
    assert (shown["/rocket/mass_kg"], shown["/flyer/name"], shown["/pad"]) == ("80", "Ada E.", "P1")
    assert browser.client.post(f"{where}/edit", data=shown).status_code == 303, "sent again, it counts"
    assert store.entries.get(DAY, entry_id).entry.rocket.mass_kg == 0.08


def test_withdrawing_what_somebody_changed_says_so_in_words(browser, day, store):
    where = browser.post(SEND, FULL).headers["Location"]
    changed = typed(browser.get(f"{where}/edit").text) | {"/rocket/mass_kg": "75"}
    browser.client.post(f"{where}/edit", data=changed)
    late = browser.post(f"{where}/withdraw", {"based_on": "1"})
    assert late.status_code == 409 and "rocket, mass" in late.text
    assert "/rocket/mass_kg" not in late.text and "revision 2 by" not in late.text


@pytest.mark.parametrize("headers", [HERE, {"Referer": f"http://localhost{NEW}"}])
def test_a_form_that_ran_out_is_sent_again_from_the_page_that_says_so(browser, day, store, headers):
    stale = browser.client.post(SEND, data=SHORT | {"csrf": "of yesterday"}, headers=headers)
    assert stale.status_code == 400 and "kept on this page" in stale.text and "Chimango" in stale.text
    again = browser.client.post(SEND, data=hidden(stale.text, SEND))
    assert again.status_code == 303
    kept = store.entries.get(DAY, again.headers["Location"].rpartition("/")[2]).entry
    assert (kept.rocket.name, kept.rocket.mass_kg, kept.flyer.adult) == ("Chimango", 0.06, True)


@pytest.mark.parametrize("headers", [ELSEWHERE, {}, {"Origin": "null"}])
def test_what_no_page_of_ours_sent_is_not_put_into_anybodys_hands(browser, day, headers):
    answer = browser.client.post(SEND, data=SHORT | {"csrf": "guessed"}, headers=headers)
    assert answer.status_code == 400 and "Chimango" not in answer.text and "Send it again" not in answer.text


def test_a_flyers_session_that_ended(browser, new_browser, day, store):
    where = browser.post(SEND, SHORT).headers["Location"]
    link = re.search(r'class="secret" href="http://[^/]+([^"]+)"', browser.get(where).text)[1]
    sent = typed(browser.get(f"{where}/edit").text) | {"/rocket/mass_kg": "66"}
    lost = new_browser()
    answer = lost.client.post(f"{where}/edit", data=sent, headers=HERE)
    assert answer.status_code == 401 and "private link again" in answer.text
    lost.get(link)  # in another tab
    again = lost.client.post(f"{where}/edit", data=hidden(answer.text, f"{where}/edit"))
    assert again.status_code == 303
    assert store.entries.get(DAY, where.rpartition("/")[2]).entry.rocket.mass_kg == 0.066


def test_an_officers_sign_in_that_ended(people, new_browser, day, store):
    path = f"/days/{DAY}/organise/event"
    sent = typed(new_browser("olga").get(path).text) | {"/name": "Frosty morning"}
    lost = new_browser()
    answer = lost.client.post(path, data=sent, headers=HERE)
    assert answer.status_code == 401 and "Frosty morning" in answer.text and "private link" not in answer.text
    carried = hidden(answer.text, "/sign-in")
    wrong = lost.client.post("/sign-in", data=carried | {"/login": "olga", "/password": "no"}, headers=HERE)
    assert wrong.status_code == 403 and "What you typed before is kept" in wrong.text
    signed = lost.sign_in_with(hidden(wrong.text, "/sign-in"), "olga")
    assert signed.status_code == 200 and "Nothing was saved yet" in signed.text
    assert store.days.header(DAY).document.name != "Frosty morning"
    assert lost.client.post(path, data=hidden(signed.text, path)).status_code == 303
    assert store.days.header(DAY).document.name == "Frosty morning"


def with_file(sent: dict, name: str = "area.geojson") -> dict:
    ring = {"type": "Polygon", "coordinates": [square(0.004, LON_DEG)]}
    return sent | {"file": (io.BytesIO(json.dumps(ring).encode()), name)}


def test_a_form_that_ran_out_asks_for_its_file_again(people, new_browser, day, store):
    """The name of the file stands there, its field has to be filled in, and what was typed goes along."""
    root = new_browser("root")
    sent = with_file({"csrf": "of yesterday", "day_id": "again"}, "day.json")
    stale = root.client.post("/days/import", data=sent, headers=HERE)
    assert stale.status_code == 400 and "day.json was not kept:</b> files have to be chosen again." in stale.text
    assert 'enctype="multipart/form-data"' in stale.text
    assert re.search(r'<label for="again-1">Choose it again: day.json</label>.*name="file" required', stale.text)
    carried = hidden(stale.text, "/days/import")
    assert carried["day_id"] == "again" and "Polygon" not in stale.text
    document = (io.BytesIO(store.day_document(DAY).model_dump_json(by_alias=True).encode()), "day.json")
    assert root.client.post("/days/import", data=carried | {"file": document}).status_code == 303
    assert store.days.header("again").document == store.days.header(DAY).document


def test_a_sign_in_that_ended_with_a_file(people, new_browser, day, store):
    path = f"/days/{DAY}/organise/boundary"
    sent = typed(new_browser("olga").get(path).text)
    lost = new_browser()
    answer = lost.client.post(path, data=with_file(sent), headers=HERE)
    assert answer.status_code == 401
    assert "area.geojson was not kept:</b> files have to be chosen again, once you are signed in." in answer.text
    signed = lost.sign_in_with(hidden(answer.text, "/sign-in"), "olga")
    assert "Choose it again: area.geojson" in signed.text and "once you are signed in" not in signed.text
    carried = hidden(signed.text, path)
    assert "-32.112, -63.212" in carried["/field/boundary"], "what else the form held goes along"
    shown = typed(lost.client.post(path, data=with_file(carried)).text)
    assert "-32.104, -63.204" in shown["/field/boundary"], "the outline of the file is shown, to be looked at"


def test_a_file_without_a_name_is_none(browser, day):
    nothing = {"file": (io.BytesIO(b""), "")}
    stale = browser.client.post(SEND, data=SHORT | nothing | {"csrf": "of yesterday"}, headers=HERE)
    assert "Chimango" in stale.text and "chosen again" not in stale.text


@pytest.mark.parametrize(
    "kept",
    [
        "{",
        "[]",
        '{"path": "/days", "fields": [], "files": [1]}',
        '{"path": "//elsewhere.example", "fields": []}',
        '{"path": 1}',
    ],
)
def test_nothing_foreign_is_carried_through_signing_in(people, new_browser, kept):
    answer = new_browser().sign_in_with({"kept": kept}, "olga")
    assert answer.status_code == 303 and answer.headers["Location"] == "/"


def test_passwords_are_never_kept(people, new_browser):
    typed_in = {"/old": "seven plain herons", "/new": "eight plain herons"}
    answer = new_browser().client.post("/account/password", data=typed_in, headers=HERE)
    assert answer.status_code == 401 and "herons" not in answer.text
