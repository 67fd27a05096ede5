"""Replacing a day by a document and erasing a flyer's data, from the organiser's pages."""

from __future__ import annotations

import io
import re

from tests.builders import as_bytes, small_day
from tests.web.conftest import DAY

REPLACE = f"/days/{DAY}/replace"


def send(browser, document, mark: str = ""):
    page = browser.get(REPLACE).text
    seen = mark or re.search(r'name="based_on" value="([0-9a-f]{32})"', page)[1]
    fields = {"csrf": browser.csrf("/about"), "based_on": seen}
    data = as_bytes(document) if isinstance(document, dict) else document
    return browser.client.post(REPLACE, data={**fields, "file": (io.BytesIO(data), "day.json")})


def test_a_document_takes_the_days_place_and_what_vanished_is_said(store, people, new_browser):
    olga, token = new_browser("olga"), store.links.new(DAY, "n1", "setup")
    document = small_day()
    del document["entries"][0]
    document["entries"][0]["rocket"]["mass_kg"] += 0.01
    told = send(olga, document)
    assert told.status_code == 200, told.text
    text = " ".join(told.text.split())
    assert "Withdrawn, because the document has them no longer: n1." in text
    assert "private links have ended: n1" in text and "Changed: n2." in text
    assert olga.get(f"/private/{token}").status_code == 404
    assert store.entries.get(DAY, "n1").withdrawn and store.entries.get(DAY, "n2").revision == 2
    assert store.verify_chain().whole


def test_entries_for_which_no_motor_is_left_are_named(store, people, new_browser):
    root, document = new_browser("root"), small_day()
    for motor in document["motors"]:
        motor["stock"] = 0
    told = send(root, document)
    assert "none are left of the stock: n1, n2, n3." in " ".join(told.text.split())
    assert "no motor is set aside for n1, n2, n3" in root.get(f"/days/{DAY}/organise").text
    document["name"] = "Scarce"
    key = store.people.new_token(store.people.by_login("root").id, "x", "setup")
    head = {"Authorization": f"Bearer {key}", "Content-Type": "application/json"}
    made = root.client.post("/api/v1/days", data=as_bytes(document), headers=head)
    assert made.status_code == 201 and made.json["without_stock"] == ["n1", "n2", "n3"]
    where = f"/api/v1/days/{made.json['id']}/document"
    seen = {"If-Match": root.client.get(where, headers=head).headers["ETag"]}
    document["entries"].append({**document["entries"][0], "id": "n4"})
    done = root.client.put(where, data=as_bytes(document), headers={**head, **seen})
    assert done.status_code == 200 and done.json["without_stock"] == ["n4"]


def test_a_faulty_document_and_an_old_page_change_nothing(store, people, new_browser):
    olga, head = new_browser("olga"), store.audit.head()
    document = small_day()
    document["entries"][1]["pad"] = "P9"
    wrong = send(olga, document)
    assert wrong.status_code == 422 and "<b>Entry 2 (n2), pad</b>: found " in wrong.text
    assert '<span class="fine"><code>/entries/1/pad</code></span>' in wrong.text, "for whoever mends the file"
    assert send(olga, b"no JSON").status_code == 422
    assert send(olga, b"").status_code == 422
    late = send(olga, small_day(), mark="0" * 32)
    assert late.status_code == 409 and "Nothing was replaced" in late.text
    assert store.audit.head() == head
    assert new_browser("otto").get(REPLACE).status_code == 403


def test_erasing_says_who_sees_what_and_leaves_no_name(store, people, new_browser):
    olga, at = new_browser("olga"), f"/days/{DAY}/entries/n1/erase"
    page = olga.get(at).text
    assert "Everybody: number, name of the rocket" in page and "Erase the names for good" in page
    name = store.entries.get(DAY, "n1").entry.flyer.name
    assert name in olga.get(f"/days/{DAY}/entries/n1").text
    late = olga.post(at, {"based_on": "7"}, page="/about")
    assert late.status_code == 409 and "Nothing was erased" in late.text
    assert new_browser("rita").get(at).status_code == 403
    assert olga.post(at, {"based_on": "1"}, page="/about").status_code == 303
    assert "<b>Erased.</b>" in olga.get(at).text
    entry = olga.get(f"/days/{DAY}/entries/n1").text
    assert name not in entry and "erased" in entry
    assert store.verify_chain().whole


def test_erasing_lapses_no_ruling(store, people, assess, new_browser):
    from service.store import Verdict

    assess()
    found = store.assessments.current(DAY)["n1"].assessment_id
    store.rulings.rule(DAY, "n1", Verdict(word="approved"), "rita", assessment_id=found, based_on=0)
    new_browser("olga").post(f"/days/{DAY}/entries/n1/erase", {"based_on": "1"}, page="/about")
    assess()
    assert store.rulings.latest(DAY)["n1"].state == "approved"
