"""The API's twin of the pages of advice: asked for, followed, read, applied, called off."""

from __future__ import annotations

import html
from xml.etree import ElementTree

import pytest

from service.models.advice import Ladder
from service.models.aiming import Aiming
from service.models.day_plan import DayPlan
from service.web.advice.tasks import Fixes
from tests.web.advice_day import DAY, PATIENCE_S, AdviceClock, pad_fixes, real, served
from tests.web.conftest import Browser

ROOT = f"/api/v1/days/{DAY}"
HERE = f"{ROOT}/entries/e-11"


@pytest.fixture
def call(running):
    """Calls with a token: the flyer's unless another is named."""
    app, store = running
    tokens = {
        login: store.people.new_token(store.people.by_login(login).id, "t", "setup") for login in ("rita", "olga")
    }
    tokens["flyer"] = store.links.new(DAY, "e-11", "setup")
    client = app.test_client()

    def ask(method: str, path: str, who: str = "flyer", **headers: str):
        sent = {"Authorization": f"Bearer {tokens[who]}"} | {k.replace("_", "-"): v for k, v in headers.items()}
        return client.open(path, method=method, headers=sent)

    return ask


@pytest.fixture
def jobs(running):
    return running[0].extensions["jobs"]


@pytest.mark.parametrize(("path", "kind", "who", "model"), [
    (f"{HERE}/advice", "ladder", "flyer", Ladder), (f"{HERE}/fixes", "fixes", "flyer", Fixes),
    (f"{HERE}/aim?to=open", "aim", "flyer", Aiming), (f"{ROOT}/plan?rest_min=45", "plan", "rita", DayPlan),
])  # fmt: skip
def test_asked_followed_read_and_forgotten(call, jobs, path, kind, who, model):
    assert call("GET", path, who).status_code == 404
    asked = call("POST", path, who)
    assert asked.status_code in (200, 202) and asked.json["kind"] == kind and asked.json["result"] == path
    where = asked.headers["Location"]
    assert jobs.wait(PATIENCE_S)
    told = call("GET", where, who)
    assert told.json["state"] == "done" and told.json["address"] == where
    assert call("POST", path, who).status_code == 200, "done already"
    found = call("GET", told.json["result"], who).json
    assert model.model_validate(found["ladder"] if kind == "ladder" else found)
    assert call("DELETE", where, who).status_code == 204
    assert call("GET", where, who).status_code == 404 and call("GET", path, who).status_code == 404


SVG = "{http://www.w3.org/2000/svg}"


def said_by(answer) -> set[str]:
    """All that a picture says; it has to stand alone, its colours with it."""
    assert answer.status_code == 200 and answer.mimetype == "image/svg+xml", answer.text
    assert answer.headers["Content-Disposition"].endswith('.svg"')
    root = ElementTree.fromstring(answer.data)
    assert root.tag == f"{SVG}svg" and root.get("viewBox") and root.find(f".//{SVG}style") is not None
    return {" ".join(each.itertext()) for each in root.iter(f"{SVG}text")}


@pytest.mark.parametrize(("path", "who", "more"), [
    (f"{HERE}/advice", "flyer", "?units="), (f"{HERE}/aim", "flyer", "?units="), (f"{ROOT}/plan", "rita", ""),
])  # fmt: skip
def test_its_picture_says_what_the_page_shows(call, running, jobs, path, who, more):
    """Held against the picture inside the page, which is drawn for screens."""
    assert call("GET", f"{path}/picture", who).status_code == 404
    call("POST", path, who)
    assert jobs.wait(PATIENCE_S)
    said = said_by(call("GET", f"{path}/picture", who))
    browser = Browser(running[0])
    assert browser.sign_in("rita").status_code == 303
    page = browser.get(path.removeprefix("/api/v1")).text
    assert said and all(html.escape(each, quote=False) in page for each in said)
    if more:
        in_feet = said_by(call("GET", f"{path}/picture{more}us", who))
        assert in_feet != said == said_by(call("GET", f"{path}/picture{more}si", who))
        assert any("ft" in each for each in in_feet)
    assert call("GET", f"{path}/picture?units=furlongs", who).status_code == 422
    assert call("GET", f"{path}/picture?colour=red", who).status_code == 422


def test_everybody_may_see_the_hours_and_nobody_else_the_rest(call, running, jobs):
    for path, who in ((f"{ROOT}/plan", "rita"), (f"{HERE}/advice", "flyer"), (f"{HERE}/aim", "flyer")):
        call("POST", path, who)
    assert jobs.wait(PATIENCE_S)
    anyone = running[0].test_client()
    assert said_by(anyone.get(f"{ROOT}/plan/picture"))
    assert [anyone.get(f"{HERE}/{each}/picture").status_code for each in ("advice", "aim")] == [401, 401]


def test_the_same_answer_twice(call, jobs):
    texts = []
    for _ in range(2):
        where = call("POST", f"{HERE}/advice").headers["Location"]
        assert jobs.wait(PATIENCE_S)
        texts.append(call("GET", f"{HERE}/advice").data)
        call("DELETE", where)
    assert texts[0] == texts[1]


def test_picks_for_what_is_wanted(call, jobs, running):
    call("POST", f"{HERE}/advice")
    assert jobs.wait(PATIENCE_S)
    told = call("GET", f"{HERE}/advice?effect=white%20smoke&altitude_m=200").json
    assert [each["aim"] for each in told["picks"]] == ["gentle", "highest", "fastest", "cheapest", "effect", "altitude"]
    assert call("GET", f"{HERE}/advice?altitude_m=0").status_code == 422
    assert call("GET", f"{HERE}/advice?altitude=200").status_code == 422
    offers = {each.motor.id: each for each in running[1].motors.all(DAY)}
    own = running[1].entries.get(DAY, "e-11")
    for rung in told["ladder"]["rungs"]:
        left = offers[rung["motor"]].left
        held = own.reserved if rung["motor"] == own.entry.motor else 0
        assert rung["stock"] == (None if left is None else left + held)


@pytest.mark.parametrize("what", ["advice", "fixes"])
def test_adapters_and_reloads_are_asked_for_and_make_work_of_their_own(call, jobs, what):
    told = call("POST", f"{HERE}/{what}?adapters=no&reloads=yes")
    assert told.json["result"] == f"{HERE}/{what}?adapters=no&reloads=yes"
    assert jobs.wait(PATIENCE_S)
    assert call("GET", f"{HERE}/{what}?adapters=no&reloads=yes").status_code == 200
    assert call("GET", f"{HERE}/{what}").status_code == 404, "worked out with other motors only"
    assert call("GET", f"{HERE}/{what}?adapters=yes&reloads=by_experience").status_code == 404
    for odd in ("adapters=some", "reloads=maybe"):
        refused = call("POST", f"{HERE}/{what}?{odd}")
        assert refused.status_code == 422 and "yes" in refused.text


def test_a_fix_is_made_by_its_number_and_the_revision(call, jobs):
    number = next(n for n, each in enumerate(real("fixes", "e-11").fixes, start=1) if each.found != "none")
    make = f"{HERE}/fixes/{number}/apply?assessment={real('fixes', 'e-11').fixes[number - 1].assessment}"
    assert call("POST", make, If_Match='"1"').status_code == 404, "nothing worked out yet"
    call("POST", f"{HERE}/fixes")
    assert jobs.wait(PATIENCE_S)
    assert call("POST", make).status_code == 428
    assert call("POST", make, If_Match='"7"').status_code == 412
    assert call("POST", make.replace(f"/{number}/", "/99/"), If_Match='"1"').status_code == 409
    unnamed = call("POST", make.partition("?")[0], If_Match='"1"')
    assert unnamed.status_code == 422 and unnamed.json["errors"][0]["pointer"] == "/assessment"
    made = call("POST", make, If_Match='"1"')
    assert made.status_code == 200 and made.json["revision"] == 2 and made.headers["ETag"] == '"2"'
    assert call("POST", make, If_Match='"2"').status_code == 404, "it was for the entry as it stood"


def test_a_pad_is_set_by_those_who_run_the_day(call, jobs, running):
    _, store = running
    call("POST", f"{HERE}/aim")
    assert jobs.wait(PATIENCE_S)
    make = f"{HERE}/aim/apply?assessment={call('GET', f'{HERE}/aim').json['assessment']}"
    assert call("POST", make, If_Match='"1"').status_code == 403
    assert call("POST", f"{make}&which=best", "rita", If_Match='"1"').status_code == 422
    assert call("POST", f"{HERE}/aim/apply", "rita", If_Match='"1"').status_code == 422
    other = call("POST", f"{HERE}/aim/apply?assessment={'b' * 32}", "rita", If_Match='"1"')
    assert other.status_code == 409 and "not the change that was read" in other.json["detail"]
    assert store.days.header(DAY).revision == 1
    made = call("POST", make, "rita", If_Match='"1"')
    assert made.status_code == 200 and made.json["revision"] == 2
    assert store.days.header(DAY).document.field.pads[2] == real("aim", "e-11").pad_after
    assert call("GET", f"{HERE}/aim").status_code == 404


def test_a_flyers_fix_sets_no_pad():
    with served(AdviceClock(), fixes=pad_fixes()) as (app, store):
        here = f"{ROOT}/entries/e-09"
        bearer = {"Authorization": f"Bearer {store.links.new(DAY, 'e-09', 'setup')}", "If-Match": '"1"'}
        client = app.test_client()
        client.post(f"{here}/fixes", headers=bearer)
        assert app.extensions["jobs"].wait(PATIENCE_S)
        assert client.get(f"{here}/fixes", headers=bearer).json["fixes"][0]["pad_shared_with"] == ["e-01"]
        make = f"{here}/fixes/1/apply?assessment={pad_fixes().fixes[0].assessment}"
        assert client.post(make, headers=bearer).status_code == 403
        assert store.days.header(DAY).revision == 1
