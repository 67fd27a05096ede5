"""The API: revisions, problems, pages of lists, and that a flyer's token opens one entry only."""

from __future__ import annotations

import json

import pytest

from service.models.day import LaunchDay
from service.planning.demo import demo_document
from service.web.access import BODY_LIMIT
from tests.builders import small_day
from tests.store.samples import assessment, finding
from tests.web.conftest import DAY, NOW

DAYS = "/api/v1/days"
HERE = f"{DAYS}/{DAY}"


class Program:
    """A program with somebody's token."""

    def __init__(self, client, token: str = "") -> None:
        self.client = client
        self.headers = {"Authorization": f"Bearer {token}"} if token else {}

    def __call__(self, method: str, path: str, body: object = None, match: str | None = None, **headers: str):
        sent = self.headers | headers | ({"If-Match": match} if match is not None else {})
        return self.client.open(path, method=method, headers=sent, **({} if body is None else {"json": body}))


@pytest.fixture
def program(app, people, store):
    """Programs with the token of a login, or without."""

    def make(login: str = "") -> Program:
        token = store.people.new_token(store.people.by_login(login).id, "test", "setup") if login else ""
        return Program(app.test_client(), token)

    return make


def test_conditions_change_only_on_what_was_seen(program, store):
    rita = program("rita")
    seen = rita("GET", f"{HERE}/conditions")
    assert seen.headers["ETag"] == '"1"'
    assert rita("GET", f"{HERE}/conditions", **{"If-None-Match": '"1"'}).status_code == 304
    new = seen.json["conditions"] | {"temperature_c": 8.5}
    assert rita("PUT", f"{HERE}/conditions", new).status_code == 428
    assert rita("PUT", f"{HERE}/conditions", new, 'W/"1"').status_code == 422
    first = rita("PUT", f"{HERE}/conditions", new, '"1"')
    assert first.status_code == 200 and first.headers["ETag"] == '"2"' and first.json["by"] == "rita"
    late = program("olga")("PUT", f"{HERE}/conditions", new | {"temperature_c": 1.0}, '"1"')
    assert late.status_code == 412 and late.content_type == "application/problem+json"
    assert late.json["since"][0]["by"] == "rita" and late.json["since"][0]["changed"] == ["/temperature_c"]
    assert store.weather.current(DAY).document.temperature_c == 8.5
    history = rita("GET", f"{HERE}/conditions/history").json
    assert [each["revision"] for each in history["items"]] == [2, 1]


def test_faults_come_with_pointers(program):
    rita = program("rita")
    bad = rita("GET", f"{HERE}/conditions").json["conditions"]
    bad["wind"][0]["speed_mps"], bad["colour"] = -1.0, "blue"
    answer = rita("PUT", f"{HERE}/conditions", bad, "*")
    assert answer.status_code == 422
    faults = {each["pointer"]: each for each in answer.json["errors"]}
    assert set(faults) == {"/wind/0/speed_mps", "/colour"} and "-1" in faults["/wind/0/speed_mps"]["found"]


@pytest.mark.parametrize(
    ("data", "kind", "status"),
    [
        (b"{", "application/json", 400),
        (b'{"a": NaN}', "application/json", 422),
        (b"\xff\xfe", "application/json", 400),
        (b"{}", "text/plain", 415),
        (b"{}", None, 415),
        (b"[" * 100_000, "application/json", 400),
        (b" " * (BODY_LIMIT + 1), "application/json", 413),
    ],
)
def test_bodies_that_are_none(program, data, kind, status):
    rita = program("rita")
    answer = rita.client.put(f"{HERE}/conditions", data=data, content_type=kind, headers=rita.headers)
    assert answer.status_code == status and answer.content_type == "application/problem+json"


def test_wrong_method_says_which_are_right(program):
    answer = program()("DELETE", DAYS)
    assert answer.status_code == 405 and "GET" in answer.headers["Allow"]
    assert answer.content_type == "application/problem+json"


def test_a_token_that_is_none_is_told_so_even_where_none_is_needed(app):
    for header in ("Bearer wrong", "Bearer", "Basic b2xnYTp4"):
        answer = app.test_client().get(DAYS, headers={"Authorization": header})
        assert answer.status_code == 401 and answer.headers["WWW-Authenticate"] == "Bearer"


def test_lists_come_in_pages(program, day):
    olga = program("olga")
    first = olga("GET", f"{HERE}/entries?limit=2").json
    assert [each["entry"]["id"] for each in first["items"]] == ["n1", "n2"] and first["total"] == 3
    rest = olga("GET", f"{HERE}/entries?limit=2&offset=2").json
    assert [each["entry"]["id"] for each in rest["items"]] == ["n3"]
    for wrong in ("limit=0", "limit=201", "limit=x", "limit=1&limit=2", "offset=-1", "limt=3"):
        assert olga("GET", f"{HERE}/entries?{wrong}").status_code == 422


def test_register_mend_withdraw_with_the_link_as_token(program, app, store):
    entry = store.entries.get(DAY, "n1").entry.model_dump(mode="json")
    made = program()("POST", f"{HERE}/entries", entry)
    assert made.status_code == 201 and made.json["entry"]["id"] == "e-01"
    flyer = Program(app.test_client(), made.json["link_token"])
    path = made.headers["Location"]
    assert flyer("GET", path).json["by"] == "flyer"
    assert flyer("GET", f"{HERE}/entries/n1").status_code == 403
    assert flyer("GET", f"{HERE}/entries").status_code == 403
    changed = made.json["entry"] | {"pad": "P2"}
    assert flyer("PUT", path, changed, made.headers["ETag"]).json["revision"] == 2
    assert flyer("PUT", path, changed | {"id": "n1"}, '"2"').status_code == 422
    assert flyer("DELETE", path, match='"2"').status_code == 204
    assert flyer("GET", path).status_code == 401, "the link ended with the entry"


def test_the_board_has_no_names(program, assess, day):
    assess()
    answer = program()("GET", f"{HERE}/board")
    found = {line["entry"]: line["standing"] for line in answer.json["lines"]}
    assert found == {"n1": "clear", "n2": "clear", "n3": "clear"}
    assert "Flyer" not in answer.text


def test_an_assessment_by_id_leaves_the_name_out(program, assess, store, day):
    assess()
    found = store.assessments.current(DAY)["n1"].assessment_id
    answer = program()("GET", f"/api/v1/assessments/{found}")
    assert answer.json["id"] == found and answer.json["flyer"] == ""
    own = program("rita")("GET", f"{HERE}/entries/n1/assessment")
    assert own.json["fresh"] is True and own.json["assessment"]["flyer"] == "Flyer 1"


def test_a_ruling_names_its_assessment_and_lapses(program, assess, store, clock):
    assess()
    rita, path = program("rita"), f"{HERE}/entries/n1/ruling"
    found = store.assessments.current(DAY)["n1"].assessment_id
    approved = {"assessment": found, "word": "approved"}
    assert program("olga")("PUT", path, approved, "*").status_code == 403, "an organiser does not rule"
    assert rita("GET", path).status_code == 404
    assert rita("PUT", path, approved | {"assessment": "0" * 32}, '"0"').status_code == 422
    assert rita("PUT", path, {"assessment": found, "word": "held"}, '"0"').json["errors"][0]["pointer"] == "/reason"
    assert rita("PUT", path, approved, '"0"').json["state"] == "approved"
    assert rita("PUT", path, approved, '"0"').status_code == 412
    seen = rita("GET", f"{HERE}/conditions")
    rita("PUT", f"{HERE}/conditions", seen.json["conditions"] | {"temperature_c": 1.0}, "*")
    assert rita("GET", path).json["state"] == "lapsed"


def test_stale_conditions_make_approvals_wait(program, assess, store, clock):
    assess()
    rita, path = program("rita"), f"{HERE}/entries/n1/ruling"
    found = store.assessments.current(DAY)["n1"].assessment_id
    clock.now = NOW.replace(hour=13, minute=11)  # 31 minutes after the reading of 12:40 UTC; 30 are allowed
    answer = rita("PUT", path, {"assessment": found, "word": "approved"}, '"0"')
    assert answer.status_code == 422 and "31 min old" in answer.json["detail"]
    held = rita("PUT", path, {"assessment": found, "word": "held", "reason": "the wind"}, '"0"')
    assert held.json["state"] == "held"


def test_documents_in_and_out(program, store, day):
    root = program("root")
    made = root("POST", DAYS, json.loads(demo_document()))
    assert made.status_code == 201, made.text
    day_id = made.json["id"]
    out = root("GET", f"{DAYS}/{day_id}/document").json
    assert LaunchDay.model_validate(out) == LaunchDay.model_validate_json(demo_document())
    assert root("POST", DAYS, json.loads(demo_document())).status_code == 409
    assert program("olga")("POST", DAYS, small_day()).status_code == 403
    assert program("otto")("GET", f"{HERE}/document").status_code == 403


def test_a_header_is_read_as_strictly_as_a_document(program, store):
    olga = program("olga")
    seen = olga("GET", HERE)
    header = seen.json["header"]
    header["field"]["boundary"]["coordinates"][0][2:] = [header["field"]["boundary"]["coordinates"][0][0]]
    assert olga("PUT", HERE, header, "*").status_code == 422, "a boundary without area"
    header = seen.json["header"] | {"codes": ["no-such-code"]}
    answer = olga("PUT", HERE, header, "*")
    assert answer.status_code == 422 and answer.json["errors"][0]["pointer"] == "/codes/0"
    header = olga("GET", HERE).json["header"] | {"name": "Renamed"}
    assert olga("PUT", HERE, header, seen.headers["ETag"]).json["revision"] == 2
    assert store.day_document(DAY).name == "Renamed"


def test_motors(program, store):
    olga = program("olga")
    seen = olga("GET", f"{HERE}/motors/i200")
    assert seen.json["left"] == 3, "four on offer, one held by n2"
    motor = seen.json["motor"]
    assert olga("PUT", f"{HERE}/motors/i200", motor | {"stock": 0}, '"1"').status_code == 422
    assert olga("PUT", f"{HERE}/motors/i200", motor | {"stock": 9}, '"1"').json["left"] == 8
    assert olga("PUT", f"{HERE}/motors/new", motor | {"id": "new"}, '"0"').status_code == 200
    assert olga("DELETE", f"{HERE}/motors/i200", match='"2"').status_code == 422
    assert olga("DELETE", f"{HERE}/motors/new", match='"1"').status_code == 204


@pytest.mark.parametrize("weight", ["law", "code", "club", "practice"])
@pytest.mark.parametrize("allowed", [False, True])
@pytest.mark.parametrize("reason", [None, "Seen on the bench."])
def test_the_policy_says_whether_an_approval_goes_over_a_stop(program, store, day, weight, allowed, reason):
    """Over law never; over a code only where the day's policy has it, and with a reason."""
    header = store.days.header(DAY)
    policy = header.document.policy.model_copy(update={"approve_over_code": allowed})
    store.days.update(DAY, header.document.model_copy(update={"policy": policy}), "x", based_on=header.revision)
    basis = store.assessments.snapshot(DAY).bases["n1"]
    stopped = assessment("n1", "e", findings=(finding("club-a", "stop", weight),), standing="stop")
    store.assessments.keep(DAY, [(stopped, basis)], "assessor")
    ruling = {"assessment": "e" * 32, "word": "approved", "reason": reason}
    answer = program("rita")("PUT", f"{HERE}/entries/n1/ruling", ruling, "*")
    may = reason is not None and (weight == "practice" or (allowed and weight != "law"))
    assert answer.status_code == (200 if may else 422), answer.text
    assert ("n1" in store.rulings.latest(DAY)) == may
