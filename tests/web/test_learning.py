"""What flights taught, as page and API: evidence shown, one proposal accepted, recorded, flown with, taken back."""

from __future__ import annotations

import html
import io
import json
from collections.abc import Iterator
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from flask import Flask

from service.models.flight_log import Flight
from service.models.learning import Learning, Proposal
from service.planning.learning.cases import Case
from service.planning.learning.kept import kept_cases, reading_at
from tests.web.conftest import DAY, OTHER_DAY, PATIENCE_S, Browser, tried
from tests.web.learning_sample import ROCKET, learning

PAGE = f"/days/{DAY}/learning"
API = f"/api/v1{PAGE}"
ROW = "n1,2028-06-01T12:00:00Z,P1,planned,120.5"


@pytest.fixture
def app(app: Flask, store, clock) -> Iterator[Flask]:
    """The work is stood in for: what it finds is in `learning_sample`."""
    app.extensions["jobs"].close()
    config = replace(app.config["RANGEHAND"], stand_ins={"learning": lambda watch: learning()})
    with tried(config, store) as made:
        yield made


@pytest.fixture
def flown(store, day) -> None:
    store.flights.add(
        DAY, Flight(entry="n1", flown_at="2028-07-09T12:45:00Z", pad="P1", happened="planned", apogee_m=118.0), "rita"
    )


@pytest.fixture
def olga(app, people, flown, new_browser) -> Browser:
    return new_browser("olga")


def worked_out(olga: Browser, app: Flask) -> str:
    assert olga.post(PAGE).status_code == 303
    assert app.extensions["jobs"].wait(PATIENCE_S)
    return olga.get(PAGE).text


def hidden(page: str, name: str) -> str:
    return page.split(f'name="{name}" value="')[1].split('"')[0]


def test_without_flights_there_is_nothing_to_learn(app, people, new_browser):
    assert "No flight has been written down yet" in new_browser("olga").get(PAGE).text


def test_only_the_organiser_of_the_day_may_look(app, people, flown, new_browser):
    for login in ("rita", "otto", "nora"):
        assert new_browser(login).get(PAGE).status_code == 403
    assert new_browser().get(PAGE).location.startswith("/sign-in")
    assert new_browser("root").get(PAGE).status_code == 200


def test_the_page_shows_evidence_pictures_and_what_is_left_out(olga, app):
    assert "1 flight is written down" in olga.get(PAGE).text
    page = worked_out(olga, app)
    for said in ("The log speaks for 1 correction of the drag", "Put forward", "9 flights went 4.2 % lower",
                 "Too few: 3 more needed", "odd one out", "Nothing changes until",
                 "7 flights of its own say 1.01", "LESS cautious", "would stand otherwise: n1 Hornero",
                 "The apogee is under the ceiling: clear instead of caution."):  # fmt: skip
        assert said in page, said
    assert page.count("<svg") >= 6 and "chi-square" in page
    assert "safe" not in page.lower().replace("range safety officer", "").replace("safety officer", "")


def test_an_accepted_proposal_is_recorded_flown_with_and_said(olga, app, store):
    page = worked_out(olga, app)
    before = store.days.header(DAY)
    sent = {"based_on": before.revision, "job": hidden(page, "job"), "id": "drag-hornero"}
    answer = olga.post(f"{PAGE}/accept", sent)
    assert answer.status_code == 303 and "accepted=drag-hornero" in answer.location
    kept = store.days.header(DAY)
    (correction,) = kept.document.corrections
    assert (correction.rocket, correction.drag_factor, correction.flights) == (ROCKET, 1.12, 9)
    assert (correction.by, kept.by) == ("Organiser here", "olga") and correction.evidence.startswith("9 flights went")
    assert kept.why.startswith("learnt: drag-hornero: Take the drag of Hornero") and store.verify_chain().broken is None
    assert store.day_document(DAY).corrections == (correction,)
    after = olga.get(answer.location).text
    assert "Accepted and recorded" in after and "Take it back" in after
    assert app.extensions["jobs"].wait(PATIENCE_S)
    assert "Put forward" in olga.get(PAGE).text  # compared anew by itself


def test_taken_back_it_is_gone_and_recorded(olga, app, store):
    page = worked_out(olga, app)
    revision = store.days.header(DAY).revision
    olga.post(f"{PAGE}/accept", {"based_on": revision, "job": hidden(page, "job"), "id": "drag-hornero"})
    sent = {"based_on": store.days.header(DAY).revision, "what": f"drag {ROCKET}"}
    assert olga.post(f"{PAGE}/take-back", sent).status_code == 303
    kept = store.days.header(DAY)
    assert kept.document.corrections == () and kept.why == "taken back: drag of Hornero times 1.12"
    again = olga.post(f"{PAGE}/take-back", {**sent, "based_on": kept.revision})
    assert again.status_code == 409 and "no such correction any more" in again.text


@pytest.mark.parametrize(
    ("wanted", "read", "was", "now"),
    [
        ("spread-impulse", lambda header: header.policy.spreads.get("impulse"), None, 0.045),
        ("mode-no_deployment", lambda header: header.mode_chances.no_deployment, 0.03, 0.08),
    ],
)
def test_spreads_and_chances_come_and_go(olga, app, store, wanted, read, was, now):
    page = worked_out(olga, app)
    assert read(store.days.header(DAY).document) == was
    sent = {"based_on": store.days.header(DAY).revision, "job": hidden(page, "job"), "id": wanted}
    assert olga.post(f"{PAGE}/accept", sent).status_code == 303
    assert read(store.days.header(DAY).document) == now and "Take it back" in olga.get(PAGE).text
    back = {"based_on": store.days.header(DAY).revision, "what": wanted}
    assert olga.post(f"{PAGE}/take-back", back).status_code == 303
    assert read(store.days.header(DAY).document) == was and "Take it back" not in olga.get(PAGE).text


def test_what_was_worked_out_before_a_change_is_not_accepted(olga, app, store):
    page = worked_out(olga, app)
    store.flights.add(DAY, Flight(entry="n1", flown_at="2028-07-09T12:37:00Z", pad="P1", happened="planned"), "rita")
    sent = {"based_on": store.days.header(DAY).revision, "job": hidden(page, "job"), "id": "drag-hornero"}
    answer = olga.post(f"{PAGE}/accept", sent)
    assert answer.status_code == 409 and "Work it out again" in answer.text
    assert store.days.header(DAY).document.corrections == ()


def test_a_revision_that_is_not_the_newest_is_a_conflict(olga, app, store):
    page = worked_out(olga, app)
    header = store.days.header(DAY)
    store.days.update(DAY, header.document.model_copy(update={"name": "Other name"}), "root", based_on=header.revision)
    worked = worked_out(olga, app)
    sent = {"based_on": header.revision, "job": hidden(worked or page, "job"), "id": "drag-hornero"}
    assert olga.post(f"{PAGE}/accept", sent).status_code == 409


def upload(olga: Browser, text: str, **more: str):
    data = {"csrf": olga.csrf(PAGE), "based_on": "0", "file": (io.BytesIO(text.encode()), "season.csv"), **more}
    return olga.client.post(f"{PAGE}/log", data=data, content_type="multipart/form-data")


def test_an_earlier_log_is_added_and_taken_away(olga, app):
    head = "entry,flown_at,pad,happened,apogee_m"
    assert upload(olga, f"{head}\n{ROW}\n{ROW.replace('120.5', '119')}").status_code == 303
    page = olga.get(PAGE).text
    assert "3 flights are written down" in page and "2 flights added" in page
    away = olga.post(f"{PAGE}/log", {"based_on": 1, "remove": 1})
    assert away.status_code == 303 and "1 flight is written down" in olga.get(PAGE).text


def test_a_faulty_log_is_refused_with_line_and_column(olga, app):
    answer = upload(
        olga, f"entry,flown_at,pad,happened,apogee_m\n{ROW.replace('n1', 'n9')}\n{ROW.replace('120.5', 'x')}"
    )
    assert answer.status_code == 422 and "/3/apogee_m" in answer.text and "1 flight is" in answer.text
    assert upload(olga, "").status_code == 422
    assert upload(olga, "entry,flown_at,pad,happened\n" + "n1" * 40_000).status_code == 413


def test_a_log_that_no_longer_fits_the_day_says_so(olga, app, store):
    upload(olga, f"entry,flown_at,pad,happened,apogee_m\n{ROW.replace('n1', 'n2').replace('P1', 'P2')}")
    record = store.entries.get(DAY, "n2")
    store.entries.withdraw(DAY, "n2", "olga", based_on=record.revision)
    page = olga.get(PAGE).text
    assert "does not fit the day any more" in page and "&#34;n2&#34;" in page


# the API


@pytest.fixture
def call(app, people, flown, store):
    """A program with the organiser's token."""
    token = store.people.new_token(store.people.by_login("olga").id, "test", "setup")

    def ask(method: str, path: str, match: str | None = None, body: object = None):
        headers = {"Authorization": f"Bearer {token}"} | ({"If-Match": match} if match else {})
        more = {} if body is None else {"json": body}
        return app.test_client().open(path, method=method, headers=headers, **more)

    return ask


def test_the_api_tells_the_same(app, call):
    assert call("GET", API).status_code == 404
    assert call("POST", API).status_code in (200, 202)
    assert app.extensions["jobs"].wait(PATIENCE_S)
    found = call("GET", API)
    assert Learning.model_validate(found.json) == learning()


@pytest.mark.parametrize("which", ["apogees", "rockets", "landings"])
def test_the_api_gives_the_pictures_of_the_page(app, call, olga, which):
    """Held against the pictures inside the page, which are drawn for screens."""
    path = f"{API}/picture?which={which}"
    assert call("GET", path).status_code == 404
    call("POST", API)
    assert app.extensions["jobs"].wait(PATIENCE_S)
    answer, page = call("GET", path), olga.get(PAGE).text
    assert answer.mimetype == "image/svg+xml" and f"learning-{which}-{DAY}.svg" in answer.headers["Content-Disposition"]
    root = ElementTree.fromstring(answer.data)
    said = {" ".join(each.itertext()) for each in root.iter("{http://www.w3.org/2000/svg}text")}
    assert said and all(html.escape(each, quote=False) in page for each in said)
    assert call("GET", f"{API}/picture?which=other").status_code == 422


def test_the_api_accepts_and_takes_back(app, call):
    call("POST", API)
    assert app.extensions["jobs"].wait(PATIENCE_S)
    assert call("POST", f"{API}/accept?id=drag-hornero").status_code == 428  # without If-Match
    assert call("POST", f"{API}/accept?id=other", match="*").status_code == 404
    told = call("POST", f"{API}/accept?id=drag-hornero", match="*")
    assert told.status_code == 200 and told.json["header"]["corrections"][0]["drag_factor"] == 1.12
    back = call("POST", f"{API}/take-back?what=drag%20{ROCKET}", match=told.headers["ETag"])
    assert back.status_code == 200 and back.json["header"]["corrections"] == []
    assert call("POST", f"{API}/take-back?what=spread-x", match="*").status_code == 409


def test_the_api_keeps_an_earlier_log(app, call):
    empty = call("GET", f"{API}/log")
    assert empty.json == {"flights": []} and empty.headers["ETag"] == '"0"'
    line = {"entry": "n1", "flown_at": "2028-06-01T12:00:00Z", "pad": "P1", "happened": "planned", "apogee_m": 120.5}
    assert call("PUT", f"{API}/log", body={"flights": [line]}).status_code == 428
    kept = call("PUT", f"{API}/log", '"0"', {"flights": [line, line]})
    assert kept.status_code == 200 and [each["apogee_m"] for each in kept.json["flights"]] == [120.5, 120.5]
    assert call("GET", f"{API}/log").json == kept.json
    assert call("PUT", f"{API}/log", '"0"', {"flights": []}).status_code == 412
    other = call("PUT", f"{API}/log", "*", {"flights": [{**line, "entry": "n9"}]})
    assert other.status_code == 422 and other.json["errors"][0]["pointer"] == "/flights/0/entry"
    assert call("PUT", f"{API}/log", "*", {"flights": []}).json == {"flights": []}


# what the store hands over


def test_kept_flights_come_with_their_weather_entry_and_estimate(app, store, flown, people, assess):
    (case,) = kept_cases(store, [DAY, OTHER_DAY])
    assert isinstance(case, Case) and case.entry.id == "n1" and case.rocket == ROCKET and not case.why_not
    assert case.conditions == store.weather.current(DAY).document
    store.flights.add(
        DAY, Flight(entry="n1", flown_at="2028-07-09T18:00:00Z", pad="P1", happened="planned", apogee_m=100.0), "rita"
    )
    late = kept_cases(store, [DAY])[-1]
    assert late.conditions is None and "no weather was read within 30 min" in late.why_not


def test_the_entry_is_the_one_that_flew_not_the_one_it_became(app, store, flown, people):
    record = store.entries.get(DAY, "n1")
    heavier = record.entry.model_copy(
        update={"rocket": record.entry.rocket.model_copy(update={"mass_kg": record.entry.rocket.mass_kg + 0.01})}
    )
    store.entries.update(DAY, heavier, "olga", based_on=record.revision)
    (case,) = kept_cases(store, [DAY])
    assert case.entry.rocket.mass_kg == record.entry.rocket.mass_kg


def test_the_nearest_reading_counts(store, day):
    reading = store.weather.current(DAY).document
    earlier, later = (
        reading.model_copy(update={"observed_at": reading.observed_at.replace(hour=hour, minute=minute)})
        for hour, minute in ((12, 20), (12, 48))
    )
    at = reading.observed_at.replace(hour=12, minute=45)
    assert reading_at([earlier, later], at, 30.0) is later and reading_at([earlier], at, 30.0) is earlier
    assert reading_at([earlier], at, 20.0) is None and reading_at([], at, 30.0) is None
    again = later.model_copy(update={"source": "corrected"})
    assert reading_at([earlier, later, again], at, 30.0) is again


def test_proposals_are_known_by_id():
    assert json.loads(learning().model_dump_json())["proposals"][0]["id"] == "drag-hornero"
    assert all(isinstance(each, Proposal) for each in learning().proposals)
