"""What programs do beyond editing: flights, people, sheets, links, line-up, weather texts, whole documents."""

from __future__ import annotations

import json

import pytest

from service.models.day import LaunchDay
from service.planning.signing.verify import verify
from service.web.club import make_club_key
from tests.builders import small_day
from tests.web.conftest import DAY, NOW, PATIENCE_S
from tests.web.test_api import Program

API = "/api/v1"
HERE = f"{API}/days/{DAY}"
PASSPHRASE = "four plain plovers"


@pytest.fixture
def program(app, people, store):
    def make(login: str = "", token: str = "") -> Program:
        if login:
            token = store.people.new_token(store.people.by_login(login).id, "test", "setup")
        return Program(app.test_client(), token)

    return make


def test_the_flight_log(program):
    rita = program("rita")
    flight = {"entry": "n1", "flown_at": "2028-07-09T09:44:00-03:00", "pad": "P1", "happened": "planned"}
    made = rita("POST", f"{HERE}/flights", flight)
    assert made.status_code == 201 and made.json["number"] == 1 and made.headers["ETag"] == '"1"'
    where = made.headers["Location"]
    assert rita("PUT", where, flight | {"apogee_m": 210.0}).status_code == 428
    assert rita("PUT", where, flight | {"apogee_m": 210.0}, '"1"').json["flight"]["apogee_m"] == 210.0
    assert rita("PUT", where, flight, '"1"').status_code == 412
    assert rita("POST", f"{HERE}/flights", flight | {"happened": "other"}).json["errors"][0]["pointer"] == "/note"
    assert rita("POST", f"{HERE}/flights", flight | {"entry": "n9"}).status_code == 404
    assert [each["revision"] for each in rita("GET", f"{where}/history").json["items"]] == [2, 1]
    assert rita("GET", f"{HERE}/flights?limit=1").json["total"] == 1
    assert program()("GET", f"{HERE}/flights").status_code == 401


def test_accounts_and_roles(program, store, app):
    olga, root = program("olga"), program("root")
    asked = {"login": "ruth", "name": "Ruth", "role": "rso"}
    made = olga("POST", f"{HERE}/people", asked)
    assert made.status_code == 201 and len(made.json["first_password"]) > 15
    assert olga("POST", f"{HERE}/people", asked).status_code == 409
    ruth = store.people.by_login("ruth")
    assert ruth.first_password and store.people.roles(ruth.id, DAY) == {"rso"}
    assert olga("PUT", f"{HERE}/people/nora/roles/rso").status_code == 204
    assert olga("PUT", f"{HERE}/people/nobody/roles/rso").status_code == 404
    assert olga("PUT", f"{HERE}/people/nora/roles/king").status_code == 422
    here = {each["login"]: each["here"] for each in olga("GET", f"{HERE}/people").json["items"]}
    assert here == {"nora": ["rso"], "olga": ["organiser"], "rita": ["rso"], "root": [], "ruth": ["rso"]}
    assert olga("DELETE", f"{HERE}/people/nora/roles/rso").status_code == 204
    assert olga("DELETE", f"{HERE}/people/root/roles/organiser").status_code == 404, "held on every day"
    assert olga("GET", f"{API}/people").status_code == 403 and len(root("GET", f"{API}/people").json["items"]) == 6
    assert root("PUT", f"{API}/people/{ruth.id}/active", {"active": False}).status_code == 204
    assert not store.people.get(ruth.id).active


def test_ones_own_tokens_and_password(program, store, app):
    nora = program("nora")
    made = nora("POST", f"{API}/account/tokens", {"label": "scales"})
    other = program(token=made.json["token"])
    assert other("GET", f"{API}/account").json["login"] == "nora"
    listed = {each["label"]: each["id"] for each in nora("GET", f"{API}/account/tokens").json["items"]}
    assert set(listed) == {"test", "scales"}
    assert nora("DELETE", f"{API}/account/tokens/{listed['scales']}").status_code == 204
    assert other("GET", f"{API}/account").status_code == 401
    wrong = nora("PUT", f"{API}/account/password", {"old": "not this one", "new": "five grey plovers"})
    assert wrong.status_code == 422 and wrong.json["errors"][0]["pointer"] == "/old"
    changed = nora("PUT", f"{API}/account/password", {"old": "seven plain herons", "new": "five grey plovers"})
    assert changed.status_code == 204 and store.people.by_login("nora").epoch == 2
    tries = [nora("PUT", f"{API}/account/password", {"old": "x", "new": "five grey plovers"}) for _ in range(3)]
    assert {each.status_code for each in tries} == {422}


def test_signing_and_checking_a_sheet(app, program, store, assess, people):
    pem = make_club_key(store, "Caldén Rocket Club", PASSPHRASE, NOW, "setup").certificate_pem
    rita = program("rita")
    assert rita("POST", f"{HERE}/sheets", {"passphrase": PASSPHRASE}).status_code == 422, "not assessed yet"
    assess()
    draft = rita("GET", f"{HERE}/sheets/draft?entry=n1")
    assert draft.mimetype == "application/pdf" and verify(draft.data, [pem]).word == "unsigned"
    assert rita("GET", f"{HERE}/sheets/draft").status_code == 404, "the whole day is to be asked for"
    asked = rita("POST", f"{HERE}/sheets/draft")
    assert asked.status_code in (200, 202) and asked.json["kind"] == "draft"
    assert app.extensions["jobs"].wait(PATIENCE_S)
    assert rita("POST", f"{HERE}/sheets/draft").status_code == 200, "it is there"
    assert verify(rita("GET", asked.json["result"]).data, [pem]).word == "unsigned"
    wrong = rita("POST", f"{HERE}/sheets", {"passphrase": "another one of these"})
    assert wrong.status_code == 422 and wrong.json["errors"][0]["pointer"] == "/passphrase"
    assert program("olga")("POST", f"{HERE}/sheets", {"passphrase": PASSPHRASE}).status_code == 403
    begun = rita("POST", f"{HERE}/sheets", {"passphrase": PASSPHRASE, "entry": "n1"})
    assert begun.status_code in (200, 202)
    assert app.extensions["jobs"].wait(PATIENCE_S)
    done = rita("GET", begun.headers["Location"]).json
    assert done["state"] == "done" and done["kind"] == "signing"
    pdf = rita("GET", done["result"])
    assert verify(pdf.data, [pem]).good
    told = rita("GET", f"{done['result']}/signatures").json
    assert told["word"] == "untouched" and "RSO here" in told["signatures"][0]["named"]
    assert program()("GET", f"{API}/certificate").json["pem"] == pem
    (line,) = rita("GET", f"{HERE}/sheets").json["items"]
    assert line["entry"] == "n1" and done["result"].endswith(line["id"])


def test_attestations_are_taken_back(program, store):
    rita = program("rita")
    said = {"by": "Rita", "at": "2028-07-09T09:30:00-03:00"}
    for path in (f"{HERE}/attestations/r-1", f"{HERE}/entries/n1/attestations/r-1"):
        assert rita("DELETE", path).status_code == 404
        assert rita("PUT", path, said).status_code == 204 and rita("PUT", path, said).status_code == 409
        assert rita("DELETE", path).status_code == 204
    assert store.attestations.all(DAY) == {} and store.verify_chain().whole


def test_links_and_erasing(program, store):
    olga, first = program("olga"), store.links.new(DAY, "n1", "setup")
    flyer = program(token=first)
    made = flyer("POST", f"{HERE}/entries/n1/links")
    assert made.status_code == 201 and flyer("GET", f"{HERE}/entries/n1").status_code == 401
    flyer = program(token=made.json["link_token"])
    assert flyer("GET", f"{HERE}/entries/n1/links").json["total"] == 1
    assert flyer("DELETE", f"{HERE}/entries/n1/links").status_code == 403
    assert olga("POST", f"{HERE}/entries/n1/erase").status_code == 428
    done = olga("POST", f"{HERE}/entries/n1/erase", match='"1"')
    assert done.json == {"revisions": 2, "links": 1, "sheets_that_may_print_it": 0}
    assert olga("GET", f"{HERE}/entries/n1").json["entry"]["flyer"]["name"] == "erased"
    assert flyer("GET", f"{HERE}/entries/n1").status_code == 401 and store.verify_chain().whole
    assert olga("DELETE", f"{HERE}/entries/n2/links").status_code == 204


def test_the_order_of_flight(program, store):
    rita = program("rita")
    line_up = f"{HERE}/line-up"
    assert rita("GET", line_up).json == {"revision": 0, "turns": [], "on_pad": [], "stands": []}
    pads = {each.id: each.entry.pad for each in store.entries.all(DAY)}
    same = next([a, b] for a in pads for b in pads if a < b and pads[a] == pads[b])
    apart = next([a, b] for a in pads for b in pads if a < b and pads[a] != pads[b])
    for wrong in ({"turns": [same]}, {"turns": [["n1"], ["n1"]]}, {"turns": [["n9"]]}, {"turns": [], "on_pad": ["n1"]},
                  {"turns": [[same[0]], [same[1]]], "on_pad": same}):  # fmt: skip
        answer = rita("PUT", line_up, wrong, '"0"')
        assert answer.status_code == 422 and answer.json["errors"][0]["pointer"] == "/turns", wrong
    put = rita("PUT", line_up, {"turns": [apart], "on_pad": apart[:1]}, '"0"')
    assert put.headers["ETag"] == '"1"' and put.json["turns"][0]["entries"] == apart
    assert {each["entry"] for each in put.json["turns"][0]["salvo"]} <= set(apart)
    assert rita("PUT", line_up, {"turns": []}, '"0"').status_code == 412
    assert rita("POST", f"{line_up}/flown", {"entries": ["n9"]}, '"1"').status_code == 422
    gone = rita("POST", f"{line_up}/flown", {"entries": apart}, '"1"')
    assert gone.json["flights"] == [1, 2] and rita("GET", line_up).json["turns"] == []
    assert rita("POST", f"{line_up}/flown", {"entries": apart}, '"1"').status_code == 422
    moved = rita("PUT", f"{HERE}/entries/n1/pad", {"pad": "P2"}, '"1"')
    assert moved.json["entry"]["pad"] == "P2"
    assert rita("PUT", f"{HERE}/entries/n1/pad", {"pad": "P9"}, '"2"').status_code == 422


METAR = "METAR SACO 091240Z 22010G16KT 9999 FEW040 08/02 Q1015"


def test_weather_from_texts(program, store):
    rita = program("rita")
    read = rita("POST", f"{HERE}/conditions/reading", {"wind_speed": 9, "wind_unit": "kt", "wind_from_deg": 200}, '"1"')
    assert read.status_code == 200 and read.json["revision"] == 2, read.text
    assert read.json["conditions"]["wind"][0]["speed_mps"] == pytest.approx(4.63, abs=0.01), "9 kt, by definition"
    assert rita("POST", f"{HERE}/conditions/reading", {"wind_speed": 1}, '"2"').status_code == 422
    metar = {"metar": METAR, "distance_km": 4.0, "station_elevation_m": 170.0}
    made = rita("POST", f"{HERE}/conditions/metar", metar, '"2"')
    assert made.status_code == 200, made.text
    assert made.json["conditions"]["temperature_c"] == 8.0 and made.json["why"] == f"a METAR: {METAR}"
    assert rita("POST", f"{HERE}/conditions/metar", metar, '"2"').status_code == 412
    wrong = rita("POST", f"{HERE}/conditions/metar", {"metar": "nothing"}, '"3"')
    assert wrong.status_code == 422 and wrong.json["errors"]
    assert rita("POST", f"{HERE}/conditions/from-forecast", {"hour": "2028-07-09T10:00:00Z"}, '"3"').status_code == 422
    assert rita("POST", f"{HERE}/conditions/aloft", {"bulletin": "x", "stations": []}, '"3"').status_code == 422
    assert rita("PUT", f"{HERE}/forecast/csv", {"csv": "no,table"}, '"1"').status_code == 422


BULLETIN = """\
DATA BASED ON 090600Z
VALID 091200Z   FOR USE 0900-1800Z

FT  3000    6000    9000
XQA 2030 2130+13 2226+08
xqb      9900    2725+05
"""


@pytest.mark.parametrize("way", ["api", "page"])
def test_the_rows_of_a_bulletin_are_kept_as_the_reason(program, store, new_browser, people, way):
    told = "winds aloft: XQB 9900 2725+05"
    if way == "api":
        sent = {"bulletin": BULLETIN, "stations": [{"station": "xqb", "distance_km": 40.0}]}
        made = program("rita")("POST", f"{HERE}/conditions/aloft", sent, '"1"')
        assert made.status_code == 200 and made.json["why"] == told, made.text
    else:
        place = f"/days/{DAY}/weather"
        fields = {"based_on": "1", "/bulletin": BULLETIN, "/station": "xqb", "/distance_km": "40"}
        assert new_browser("rita").post(f"{place}/aloft", fields, page=place).status_code == 303
    kept = store.weather.current(DAY)
    assert kept.revision == 2 and kept.why == told and "FB XQB 40 km" in kept.document.source


def test_motors_as_a_table(program, store):
    olga = program("olga")
    text = olga("GET", f"{HERE}/motor-table").text
    assert text.splitlines()[0].startswith("id,")
    revisions = {each.motor.id: each.revision for each in store.motors.all(DAY)}
    same = olga("POST", f"{HERE}/motor-table", {"csv": text, "based_on": revisions})
    assert same.status_code == 200 and same.json["total"] == len(revisions)
    assert olga("POST", f"{HERE}/motor-table", {"csv": text}).status_code == 409
    assert olga("POST", f"{HERE}/motor-table", {"csv": "id"}).status_code == 422


def test_a_motor_of_ones_own(program, store, app):
    motor = store.motors.get(DAY, store.entries.get(DAY, "n1").entry.motor).motor.model_dump(mode="json")
    entry = store.entries.get(DAY, "n1").entry.model_dump(mode="json")
    made = program()("POST", f"{HERE}/brought-entries", {"entry": entry, "motor": motor | {"maker": "My own"}})
    assert made.status_code == 201, made.text
    own = made.json["entry"]["motor"]
    assert own.startswith("own-") and store.motors.get(DAY, own).motor.maker == "My own"
    offered = len(store.motors.all(DAY))
    wrong = program()("POST", f"{HERE}/brought-entries", {"entry": entry | {"pad": "P9"}, "motor": motor})
    assert wrong.status_code == 422 and len(store.motors.all(DAY)) == offered, "it went with its entry"
    flyer = program(token=made.json["link_token"])
    path = made.headers["Location"]
    mended = flyer("PUT", f"{path}/brought", {"entry": entry, "motor": motor | {"maker": "Another"}}, '"1"')
    assert mended.json["revision"] == 2 and mended.json["entry"]["id"] == made.json["entry"]["id"]


def test_a_document_in_the_place_of_a_day(program, store):
    olga = program("olga")
    seen = olga("GET", f"{HERE}/document")
    document = seen.json
    del document["entries"][0]
    assert olga("PUT", f"{HERE}/document", document).status_code == 428
    done = olga("PUT", f"{HERE}/document", document, seen.headers["ETag"])
    assert done.json["withdrawn"] == ["n1"], done.text
    assert olga("PUT", f"{HERE}/document", document, seen.headers["ETag"]).status_code == 412
    assert olga("PUT", f"{HERE}/document", small_day(), '"1"').status_code == 422
    again = olga("GET", f"{HERE}/document")
    assert again.headers["ETag"] == done.headers["ETag"] != seen.headers["ETag"]
    assert olga("PUT", f"{HERE}/document", small_day(), "*").json["added"] == ["n1"]
    assert LaunchDay.model_validate(olga("GET", f"{HERE}/document").json) == LaunchDay.model_validate(small_day())
    assert program("rita")("PUT", f"{HERE}/document", small_day(), "*").status_code == 403


def test_boundary_and_date(program, store):
    olga = program("olga")
    boundary = store.days.header(DAY).document.field.boundary.model_dump(mode="json")
    west, south = boundary["coordinates"][0][0]
    ring = [[west, south], [west + 0.03, south], [west + 0.03, south + 0.03], [west, south + 0.03], [west, south]]
    text = json.dumps({"type": "Polygon", "coordinates": [ring]})
    put = olga("PUT", f"{HERE}/boundary", {"text": text}, '"1"')
    assert put.status_code == 200, put.text
    assert put.json["header"]["field"]["boundary"]["coordinates"][0] == ring
    wrong = olga("PUT", f"{HERE}/boundary", {"text": "nothing"}, '"2"')
    assert wrong.status_code == 422 and wrong.json["errors"][0]["pointer"] == "/text"
    refused = olga("PUT", f"{HERE}/date", {"date": "2028-07-16"}, '"2"')
    assert refused.json["errors"][0]["pointer"] == "/ceiling/1/from", "a window of the old date"
    header = olga("GET", HERE).json["header"]
    assert olga("PUT", HERE, header | {"ceiling": header["ceiling"][:1]}, '"2"').status_code == 200
    moved = olga("PUT", f"{HERE}/date", {"date": "2028-07-16"}, '"3"')
    assert moved.status_code == 200, moved.text
    assert "not measured" in store.weather.current(DAY).document.source


def test_health_codes_progress_changes(program, store, assess, app):
    assess()
    assert program()("GET", f"{API}/health").json["database"] in ("sqlite", "postgresql")
    assert program()("GET", f"{API}/codes").json["total"] >= 3
    assert program()("GET", f"{HERE}/progress").json == {"total": 3, "done": 3, "pending": 0, "failed": []}
    (told,) = program("rita")("GET", f"{HERE}/changes").json["items"]
    assert {each["entry"]: each["before"] for each in told["moved"]} == {"n1": None, "n2": None, "n3": None}
    assert program()("GET", f"{HERE}/changes").status_code == 401
