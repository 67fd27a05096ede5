"""The field sized, as page and API: files in, every fault listed, progress, the answer with pictures, the report."""

from __future__ import annotations

import html
import io
import json
import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from xml.etree import ElementTree

import pytest
from flask import Flask

from service.models.day import LaunchDay
from service.models.sizing import MinimumDimension, Sizing
from service.planning.sizing.fleet_csv import read_fleet_csv
from service.planning.sizing.season_csv import read_winds_csv
from service.planning.sizing.size import size_field
from tests.builders import small_day
from tests.planning.sizing.seasons import winds_text
from tests.web.conftest import DAY, OTHER_DAY, PATIENCE_S, Browser, tried

PAGE = f"/days/{DAY}/sizing"
API = f"/api/v1{PAGE}"
WINDS = winds_text(hours=72, start="2028-07-07T00:00:00-03:00")
FLEET = "class,count,motor\nC,5,c6\n"
BAD_WINDS = "time,wind_speed_mps,wind_from_deg\nmonday,3,200\n2028-07-07T00:00:00Z,300,200\n"


@cache
def sized() -> Sizing:
    """The small day sized once with few flights: what is tested here is how it is shown."""
    day = LaunchDay.model_validate(small_day())
    winds = read_winds_csv(WINDS, "mast.csv")
    return size_field(day, winds, read_fleet_csv(FLEET, day, "club.csv"), samples=64, altitudes=False, threads=1)


@pytest.fixture
def app(app: Flask, store, clock) -> Iterator[Flask]:
    app.extensions["jobs"].close()
    with tried(replace(app.config["RANGEHAND"], stand_ins={"sizing": lambda watch: sized()}), store) as made:
        yield made


@pytest.fixture
def olga(app, people, new_browser) -> Browser:
    return new_browser("olga")


def form(**fields):
    """A form with files where a value is a pair of text and name."""
    return {name: (io.BytesIO(each[0].encode()), each[1]) if isinstance(each, tuple) else each
            for name, each in fields.items()}  # fmt: skip


def sent(olga: Browser, **fields):
    return olga.post(PAGE, form(**fields), page=PAGE, content_type="multipart/form-data")


def done(olga: Browser, app: Flask, **fields) -> tuple[str, str]:
    """The address of the answer, and its page."""
    answer = sent(olga, **fields)
    assert answer.status_code == 303 and app.extensions["jobs"].wait(PATIENCE_S)
    return answer.location, olga.get(answer.location).text


def test_only_the_organiser_of_the_day_may_look(app, people, new_browser):
    for login in ("rita", "otto", "nora"):
        assert new_browser(login).get(PAGE).status_code == 403
    assert new_browser().get(PAGE).location.startswith("/sign-in")
    assert new_browser("root").get(PAGE).status_code == 200
    assert new_browser("olga").get(f"/days/{OTHER_DAY}/sizing").status_code == 403


def test_the_empty_page_says_what_it_takes(olga):
    page = olga.get(PAGE).text
    assert "time,wind_speed_mps,wind_from_deg" in page and "class,count,motor" in page
    assert page.count('type="file"') == 2 and "invented season" in page and "aria-current=page>Size the field" in page


def test_files_in_and_the_answer_out(olga, app):
    location, page = done(olga, app, winds=(WINDS, "mast.csv"), fleet=(FLEET, "club.csv"), altitudes="yes")
    assert re.search(r"\?winds=[0-9a-f]{16}&fleet=[0-9a-f]{16}&altitudes=yes$", location)
    found = sized()
    for said in ("Classes and winds", "Flyable hours", "Affected ground", "14 CFR 101.27", "not in the launch day",
                 "What this rests on", found.ceiling.letter, found.pads.distances[0].clause if found.pads.distances
                 else "Data sheet"):  # fmt: skip
        assert said in page, said
    assert page.count("<svg") == 10 and page.count("<b>UNKNOWN</b>") == found.sheet.open_items
    assert not re.search(r"\b(un)?safe\b", re.sub(r"<[^>]+>", " ", page), re.IGNORECASE)


def test_the_same_files_are_worked_out_once(olga, app):
    first, _ = done(olga, app, winds=(WINDS, "mast.csv"))
    again, _ = done(olga, app, winds=(WINDS, "mast.csv"))
    other, _ = done(olga, app, winds=(WINDS + "2028-07-12T00:00:00-03:00,3,200\n", "mast.csv"))
    assert first == again != other


def test_the_invented_season_needs_no_file(olga, app):
    location, page = done(olga, app, season="demo")
    assert "winds=demo" in location and "Report, A4" in page


def test_every_fault_of_both_files_is_listed_and_nothing_begins(olga, app):
    answer = sent(olga, winds=(BAD_WINDS, "mast.csv"), fleet=("class,count\nQ,1\n", "club.csv"))
    assert answer.status_code == 422
    for said in ("mast.csv, line 2, time", "mast.csv, line 3, wind_speed_mps", "club.csv, line 2, class",
                 "3 things have to be mended"):  # fmt: skip
        assert said in answer.text, said
    assert "no file" in sent(olga).text and sent(olga).status_code == 422


def test_a_name_that_holds_markup_is_shown_as_text(olga):
    answer = sent(olga, winds=(BAD_WINDS, "<b onclick=x>.csv"))
    assert answer.status_code == 422 and "<b onclick" not in answer.text and "&lt;b onclick" in answer.text


def test_the_report_is_a_pdf_on_either_paper(olga, app):
    location, page = done(olga, app, winds=(WINDS, "mast.csv"), fleet=(FLEET, "club.csv"))
    address = re.search(r'href="([^"]+sizing\.pdf[^"]+)"', page)[1].replace("&amp;", "&")
    answer = olga.get(address)
    assert answer.mimetype == "application/pdf" and answer.data.startswith(b"%PDF")
    assert "field-report-winter.pdf" in answer.headers["Content-Disposition"]
    assert olga.get(address.replace("A4", "letter")).data != answer.data
    assert olga.get(address.replace("A4", "A5")).status_code == 422
    assert olga.get(address.replace("altitudes=no", "altitudes=yes")).status_code == 404  # not asked for
    assert olga.get(location).status_code == 200


@pytest.mark.parametrize(
    "met, said", [(True, "meets every dimension"), (False, "NOT met</b>: class C"), (None, "not known</b>: class C")]
)
def test_a_dimension_that_is_not_met_is_said_first(olga, app, monkeypatch, met, said):
    one = MinimumDimension(
        letter="C", code="practice", rule="x-site", what="site", limit_m=121.92, printed="400 ft", found_m=100.0,
        met=met, pad="", in_force=True, clause="an invented code", edition="1", known="read", note="",
    )  # fmt: skip
    other = sized().model_copy(update={"dimensions": (one,)})
    monkeypatch.setitem(app.extensions["jobs"]._stand_ins, "sizing", lambda watch: other)
    assert said in done(olga, app, season="demo")[1]


def test_files_that_are_gone_are_asked_for_again(olga):
    answer = olga.get(f"{PAGE}?winds=0123456789abcdef")
    assert answer.status_code == 404 and "send them again" in answer.text and 'type="file"' in answer.text


@pytest.mark.parametrize("query", ["winds=../../etc", "winds=demo&fleet=zz", "altitudes=maybe", "winds="])
def test_an_address_that_means_nothing_is_refused(olga, query):
    assert olga.get(f"{PAGE}?{query}").status_code == 422


def test_a_changed_day_makes_another_answer(olga, app, store):
    location, _ = done(olga, app, winds=(WINDS, "mast.csv"), fleet=(FLEET, "club.csv"))
    assert "Report, A4" in olga.get(location).text
    header = store.days.header(DAY)
    store.days.update(
        DAY, header.document.model_copy(update={"name": "Another name"}), "olga", based_on=header.revision
    )
    assert "Report, A4" not in olga.get(location).text


def test_of_another_day_the_files_are_not_there(app, olga, people, new_browser):
    location, _ = done(olga, app, winds=(WINDS, "mast.csv"))
    assert new_browser("root").get(location.replace(DAY, OTHER_DAY)).status_code == 404


@pytest.fixture
def call(app, people, store):
    """A program with the organiser's token."""
    token = store.people.new_token(store.people.by_login("olga").id, "test", "setup")

    def ask(method: str, path: str = API, **fields):
        headers = {"Authorization": f"Bearer {token}"}
        return app.test_client().open(path, method=method, headers=headers, **({"json": fields} if fields else {}))

    return ask


def test_the_api_takes_the_same_and_gives_it_back(call, app):
    answer = call("POST", winds=WINDS, fleet=FLEET, altitudes=False)
    assert answer.status_code == 202, answer.text
    assert app.extensions["jobs"].wait(PATIENCE_S)
    result = answer.json["result"]
    assert Sizing.model_validate(call("GET", result).json) == sized()
    assert call("POST", winds=WINDS, fleet=FLEET, altitudes=False).status_code == 200
    assert call("GET").status_code == 404  # the demo's season was not asked for
    assert call("GET", f"{API}?wind=demo").status_code == 422


@pytest.fixture
def result(call, app) -> str:
    """The address of a sizing that is done, as the API tells it."""
    told = call("POST", winds=WINDS, fleet=FLEET, altitudes=False)
    assert app.extensions["jobs"].wait(PATIENCE_S)
    return told.json["result"]


def test_the_api_gives_the_report_of_the_page(call, olga, result):
    report = result.replace("/sizing?", "/sizing/report?")
    answer = call("GET", report)
    assert answer.mimetype == "application/pdf" and "field-report-winter.pdf" in answer.headers["Content-Disposition"]
    page = result.removeprefix("/api/v1").replace("/sizing?", "/sizing.pdf?")
    assert answer.data == olga.get(page).data
    assert call("GET", f"{report}&paper=letter").data == olga.get(f"{page}&paper=letter").data != answer.data
    assert call("GET", f"{report}&units=us").data != answer.data == call("GET", f"{report}&units=si").data
    for nonsense in ("paper=A5", "units=furlongs", "colour=red"):
        assert call("GET", f"{report}&{nonsense}").status_code == 422
    assert call("GET", f"{API}/report").status_code == 404  # the demo's season was not asked for


@pytest.mark.parametrize("which", ["site", "notice", "rose", "shares", "hours"])
def test_the_api_gives_the_pictures_of_the_page(call, olga, result, which):
    """Held against the pictures inside the page, which are drawn for screens."""
    page = olga.get(result.removeprefix("/api/v1")).text
    answer = call("GET", result.replace("/sizing?", f"/sizing/picture?which={which}&"))
    assert answer.mimetype == "image/svg+xml" and f"field-{which}-winter.svg" in answer.headers["Content-Disposition"]
    root = ElementTree.fromstring(answer.data)
    said = {" ".join(each.itertext()) for each in root.iter("{http://www.w3.org/2000/svg}text")}
    assert said and all(html.escape(each, quote=False) in page for each in said)
    assert call("GET", result.replace("/sizing?", "/sizing/picture?which=other&")).status_code == 422


def test_only_the_organiser_reads_them(app, people, store, result):
    token = store.people.new_token(store.people.by_login("rita").id, "test", "setup")
    for each in ("report", "picture"):
        path = result.replace("/sizing?", f"/sizing/{each}?")
        assert app.test_client().get(path).status_code == 401
        assert app.test_client().get(path, headers={"Authorization": f"Bearer {token}"}).status_code == 403


def test_the_api_points_to_each_fault(call):
    answer = call("POST", winds=BAD_WINDS, fleet="class,count\nC,many\n")
    assert answer.status_code == 422
    errors = [(each["pointer"], each["found"].split(":")[0]) for each in answer.json["errors"]]
    assert errors == [("/winds", "line 2, time"), ("/winds", "line 3, wind_speed_mps"), ("/fleet", "line 2, count")]
    assert call("POST", winds=3).status_code == 422 and call("POST", breeze="x").status_code == 422


def test_progress_can_be_watched_and_called_off(olga, app, store, monkeypatch):
    import threading

    begun, go_on = threading.Event(), threading.Event()

    def slow(watch):
        watch(3, 40, "e-07 Reed")
        begun.set()
        while not go_on.wait(0.01):
            watch(4, 40, "e-07 Reed")
        return sized()

    monkeypatch.setitem(app.extensions["jobs"]._stand_ins, "sizing", slow)
    answer = sent(olga, winds=(WINDS, "mast.csv"))
    assert begun.wait(PATIENCE_S)
    page = olga.get(answer.location).text
    assert "of 40, e-07 Reed" in page and "Call it off" in page
    cancel = re.search(r'action="([^"]+/cancel)"', page)[1]
    assert olga.post(cancel, page=PAGE).status_code == 303
    assert app.extensions["jobs"].wait(PATIENCE_S) and not go_on.is_set()
    assert "Call it off" not in olga.get(answer.location).text
    assert json.loads(olga.client.get("/api/v1/openapi.json").text)["paths"]["/days/{day_id}/sizing"]
