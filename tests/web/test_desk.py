"""The officer's pages, as browsers without scripts use them: ruling, lapsing, two desks at once, weather, pads, log."""

from __future__ import annotations

import csv
import html
import io
import re
from datetime import timedelta

import pytest

from service.models.assessment import Assessment, ModeFootprint
from service.models.finding import ChecklistItem, Finding, Source
from service.web.line_up import LineUp
from tests.web.conftest import DAY, Browser, quick_assessment

SOURCE = Source(clause="a clause", known="practice")
LAW, CODE, CAUTION = "far-cloud", "code-mass", "wind-brisk"


def finding(rule: str, standing: str, weight: str = "practice") -> Finding:
    return Finding(
        rule=rule, code="practice", weight=weight, kind="computed", protects="people", statement=f"Words of {rule}.",
        quantity=None, measured=True, unit="", limit=None, comparison="requires", margin=None, standing=standing,
        source=SOURCE,
    )  # fmt: skip


def item(rule: str, per: str) -> ChecklistItem:
    return ChecklistItem(
        rule=rule, code="practice", weight="practice", protects="people", text=f"Seen to {rule}.", per=per,
        source=SOURCE,
    )  # fmt: skip


FINDINGS = {"n1": (), "n2": ((LAW, "stop", "law"),), "n3": ((CODE, "stop", "code"),)}


def assess_by_hand(day, entry, ground) -> Assessment:
    """n1: a caution above 5 m/s. n2: a stop of law. n3: a stop of a code. Each with an item of its own."""
    made = quick_assessment(day, entry, ground)
    findings = [finding(*each) for each in FINDINGS[entry.id]]
    speed = day.conditions.wind[0].speed_mps
    findings.append(finding(CAUTION, "caution" if speed > 5.0 else "clear"))
    landing = (-63.2 + speed * 1e-3, -32.1)
    planned = ModeFootprint(
        mode="planned", chance=1.0, landing=landing, inside=None, zones={}, people=None, contours=(),
        nearest_edge=None, farthest_m=None, farthest_bearing_deg=None, samples=64, descent_speed_mps=None,
        unknown="not flown",
    )  # fmt: skip
    return made.model_copy(
        update={
            "findings": tuple(findings),
            "standing": findings[0].standing,
            "checklist": (item("wadding", "entry"), item("fire-watch", "day")),
            "footprints": (planned,),
        }
    )


@pytest.fixture
def judge():
    return assess_by_hand


RULING = f"/days/{DAY}/entries/{{}}/ruling"
TICKS = {"tick": ["wadding", "fire-watch"], "by": "Rita at the desk"}


def hidden(page: str, name: str) -> str:
    found = re.search(rf'name="{name}" value="([^"]*)"', page)
    assert found, f"no hidden {name}"
    return html.unescape(found[1])


def send(browser: Browser, entry: str, word: str, seen: str | None = None, **more):
    """Rule as the form would, from the page as `seen` or as it stands."""
    path = RULING.format(entry)
    page = browser.get(path).text if seen is None else seen
    given = {name: hidden(page, name) for name in ("based_on", "assessment")}
    return browser.post(path, {**given, "word": word, **more})


def blow(browser: Browser, speed: str, **more):
    page = browser.get(f"/days/{DAY}/desk").text
    fields = {"/wind_speed": speed, "/wind_from_deg": "200", "/wind_gust": "", "/temperature": "7", "/pressure": "996"}
    given = {**fields, "based_on": hidden(page, "based_on"), **more}
    return browser.post(f"/days/{DAY}/weather/reading", given)


def row(page: str, entry: str) -> str:
    return re.search(rf'<tr[^>]*id="row-{entry}".*?</tr>', page, re.S)[0]


# Roles


@pytest.mark.parametrize("path", ["desk", "checklist", "weather", "pads", "log", "log.csv", "entries/n1/ruling"])
@pytest.mark.parametrize(("who", "status"), [("rita", 200), ("olga", 200), ("nora", 403), ("otto", 403), ("", 303)])
def test_who_sees_the_pages(new_browser, people, day, assess, path, who, status):
    assess()
    assert new_browser(who).get(f"/days/{DAY}/{path}").status_code == status


def test_an_organiser_does_not_rule(new_browser, people, day, assess, store):
    assess()
    olga = new_browser("olga")
    page = olga.get(RULING.format("n1")).text
    assert "Only a range safety officer rules" in page and 'value="approved"' not in page
    answer = olga.post(RULING.format("n1"), {"based_on": "0", "assessment": "a", "word": "held", "/reason": "no"})
    assert answer.status_code == 403 and not store.rulings.latest(DAY)


# The list


def test_what_needs_attention_comes_first(rita):
    assert rita.post(RULING.format("n1"), {}).status_code == 400, "a form that rests on nothing is refused"
    page = rita.get(f"/days/{DAY}/desk").text
    order = re.findall(r'id="row-(n\d)"', page)
    assert order == ["n2", "n3", "n1"]
    assert "Cannot be approved: a stop of law" in row(page, "n2") and "min old" in page


@pytest.mark.parametrize(
    ("query", "expected"),
    [("standing=stop", {"n2", "n3"}), ("pad=P2", {"n2"}), ("flyer=Flyer+3", {"n3"}), ("text=HORN", {"n1"}),
     ("text=horn+p2", set()), ("ruling=approved", set()), ("ruling=none", {"n1", "n2", "n3"})],
)  # fmt: skip
def test_filters_and_search(rita, query, expected):
    page = rita.get(f"/days/{DAY}/desk?{query}").text
    assert set(re.findall(r'id="row-(n\d)"', page)) == expected


# Ruling


def test_approving_ticks_initials_and_next(rita, store):
    answer = send(rita, "n1", "approved", **TICKS)
    assert answer.status_code == 303, answer.text
    assert store.rulings.latest(DAY)["n1"].state == "approved"
    ticks = store.attestations.all(DAY)
    assert ticks["n1"]["wadding"].by == "Rita at the desk" and "fire-watch" in ticks[""]
    page = rita.get(answer.headers["Location"]).text
    assert "n1 Hornero" in page and 'href="/days/winter/entries/n2/ruling" data-key="n"' in page


def test_a_stop_of_law_cannot_be_approved(rita, store):
    page = rita.get(RULING.format("n2")).text
    assert "it cannot be approved" in page and re.search(r'value="approved"[^>]*disabled', page)
    answer = send(rita, "n2", "approved", **TICKS, **{"/reason": "I looked at it"})
    assert answer.status_code == 422 and "This is law" in answer.text and "I looked at it" in answer.text
    assert "n2" not in store.rulings.latest(DAY)


def test_a_stop_of_a_code_hangs_on_the_days_policy(rita, store, clock, assess):
    given = {**TICKS, "/reason": "Weighed on the other scale"}
    answer = send(rita, "n3", "approved", **given)
    assert answer.status_code == 422 and "policy allows no approval" in answer.text
    kept = store.days.header(DAY)
    policy = kept.document.policy.model_copy(update={"approve_over_code": True})
    store.days.update(DAY, kept.document.model_copy(update={"policy": policy}), "olga", based_on=kept.revision)
    assess()
    without = send(rita, "n3", "approved")
    assert without.status_code == 422 and "expected why it may fly all the same" in without.text
    assert send(rita, "n3", "approved", **{"/reason": given["/reason"]}).status_code == 303
    assert store.rulings.latest(DAY)["n3"].verdict.reason == given["/reason"]


def test_missing_initials_are_refused_and_what_was_typed_stays(rita, store, assess):
    assert blow(rita, "7").status_code == 303
    assess()
    answer = send(rita, "n1", "approved", **TICKS, **{"/reason": "Gusts between spells"})
    assert answer.status_code == 422 and "found no initials" in answer.text
    assert "Gusts between spells" in answer.text and "n1" not in store.rulings.latest(DAY)
    typed = send(rita, "n1", "approved", **{f"/initials/{CAUTION}": "far too long a name", "/reason": "Kept words"})
    assert typed.status_code == 422 and "far too long a name" in typed.text and "Kept words" in typed.text
    assert send(rita, "n1", "approved", **{f"/initials/{CAUTION}": "RQ"}).status_code == 303
    assert store.rulings.latest(DAY)["n1"].verdict.initials == {CAUTION: "RQ"}


@pytest.mark.parametrize("left", ["wadding", "fire-watch"])
def test_every_item_must_be_ticked(rita, store, left):
    ticked = [each for each in TICKS["tick"] if each != left]
    answer = send(rita, "n1", "approved", tick=ticked, by="Rita")
    assert answer.status_code == 422 and f"Not ticked: Seen to {left}." in answer.text
    assert "n1" not in store.rulings.latest(DAY)


def test_ticks_need_a_name(rita, store):
    answer = send(rita, "n1", "approved", tick=TICKS["tick"], by=" ")
    assert answer.status_code == 422 and "a name is missing" in answer.text
    assert not store.attestations.all(DAY).get("n1")


@pytest.mark.parametrize("word", ["held", "refused"])
def test_holding_and_refusing_need_a_reason_but_no_fresh_conditions(rita, store, clock, word):
    clock.now += timedelta(hours=2)
    bare = send(rita, "n1", word)
    assert bare.status_code == 422 and "a reason the flyer can act on" in bare.text
    assert send(rita, "n1", word, **{"/reason": "Shock cord frayed"}).status_code == 303
    assert store.rulings.latest(DAY)["n1"].state == word


def test_approving_waits_for_fresh_conditions(rita, store, clock):
    clock.now += timedelta(minutes=25)  # the reading was ten minutes old; 35 are more than 30
    page = rita.get(f"/days/{DAY}/desk").text
    assert "approvals wait for a new reading" in page
    answer = send(rita, "n1", "approved", **TICKS)
    assert answer.status_code == 422 and "wait for a new reading" in answer.text and not store.rulings.latest(DAY)


def test_enter_in_a_field_rules_nothing(rita, store):
    answer = send(rita, "n1", "", **{"/reason": "half typed"})
    assert answer.status_code == 422 and "Choose one" in answer.text and "half typed" in answer.text
    assert not store.rulings.latest(DAY)


def test_a_ruling_lapses_by_new_conditions_and_says_why(rita, store, assess):
    assert send(rita, "n1", "approved", **TICKS).status_code == 303
    assert blow(rita, "7.5").status_code == 303
    waiting = rita.get(f"/days/{DAY}/desk").text
    assert "LAPSED" in row(waiting, "n1") and "being assessed" in row(waiting, "n1")
    assert re.search(r"Assessing: \d of 3", waiting)
    assess()
    page = rita.get(f"/days/{DAY}/desk").text
    assert re.findall(r'id="row-(n\d)"', page)[0] == "n1" and "LAPSED" in row(page, "n1")
    assert "entry stands differently" in page or "entries stand differently" in page
    assert "landing moved" in page and "lapsed by it" in page
    assert page.count(f"Words of {CAUTION}.") == 1, "told once for all three, not three times"
    # 5.5 m/s more, 0.001° of longitude each, on a sphere at 32.1° south: 0.0055 * 111.3 km * cos(32.1°) = 518.6 m
    assert re.search(r"landing moved\s+520 m to the east", page), "a sphere and the ellipsoid agree to two figures"
    entry = rita.get(RULING.format("n1")).text
    assert "LAPSED" in entry and "may not fly on it" in entry and f"<b>caution</b>: Words of {CAUTION}." in entry


def test_an_item_taken_back_after_an_approval_is_said_loudly(rita, store):
    assert send(rita, "n1", "approved", **TICKS).status_code == 303
    assert rita.post(f"/days/{DAY}/entries/n1/ticks", {"take_back": "wadding"}).status_code == 303
    page = rita.get(f"/days/{DAY}/desk").text
    assert "taken back since" in row(page, "n1") and re.findall(r'id="row-(n\d)"', page)[0] == "n1"


def test_history_shows_every_word(rita):
    send(rita, "n1", "held", **{"/reason": "Look at the fins"})
    send(rita, "n1", "approved", **TICKS)
    page = rita.get(RULING.format("n1")).text
    assert "Look at the fins" in page and "replaced" in page and "Ruled <b>" in page


# Two desks at once


def test_two_desks_rule_at_once(rita, new_browser, store):
    store.people.grant(store.people.by_login("olga").id, "rso", DAY, "setup")
    olga = new_browser("olga")
    seen = olga.get(RULING.format("n1")).text
    assert send(rita, "n1", "held", **{"/reason": "Weak shock cord"}).status_code == 303
    answer = send(olga, "n1", "approved", seen, **TICKS, **{"/reason": "Olga's own words"})
    assert answer.status_code == 409 and "Somebody else was faster" in answer.text
    assert "RSO here at" in answer.text and "Weak shock cord" in answer.text and "Olga&#39;s own words" in answer.text
    assert store.rulings.latest(DAY)["n1"].state == "held"
    assert send(olga, "n1", "approved", answer.text).status_code == 303, "looked again, sent again"


def test_ruling_on_an_assessment_that_was_overtaken(rita, store, assess):
    seen = rita.get(RULING.format("n1")).text
    blow(rita, "3")
    assess()
    answer = send(rita, "n1", "approved", seen, **TICKS)
    assert answer.status_code == 409 and "no longer the current one" in answer.text and not store.rulings.latest(DAY)


def test_two_desks_enter_a_reading_at_once(rita, new_browser, store):
    olga = new_browser("olga")
    old = hidden(olga.get(f"/days/{DAY}/desk").text, "based_on")
    assert blow(rita, "3").status_code == 303
    answer = blow(olga, "4.4", based_on=old)
    assert answer.status_code == 409 and "Somebody else was faster" in answer.text and 'value="4.4"' in answer.text
    assert store.weather.current(DAY).document.wind[0].speed_mps == 3.0


def test_two_desks_tick_the_same_item_of_the_day(rita, new_browser):
    given = {"tick": ["fire-watch"], "by": "One"}
    assert rita.post(f"/days/{DAY}/checklist", given).status_code == 303
    again = new_browser("olga").post(f"/days/{DAY}/checklist", {**given, "by": "Two"})
    assert again.status_code == 409 and "One ticked this at 09:50 UTC-0300 already: Seen to fire-watch." in again.text
    assert "fire-watch" not in rita.get(f"/days/{DAY}/desk").text


# Weather


def test_a_reading_keeps_what_it_does_not_tell(rita, store):
    assert blow(rita, "6.5", **{"/wind_gust": "9"}).status_code == 303
    now = store.weather.current(DAY).document
    assert (now.wind[0].speed_mps, now.wind[0].gust_mps, now.wind[0].from_deg) == (6.5, 9.0, 200.0)
    assert [each.height_m for each in now.wind] == [2.0, 300.0, 2500.0], "held at 2 m; upper winds are kept"
    assert "The winds above 20 m are kept" in rita.get(f"/days/{DAY}/desk").text


def test_a_reading_in_other_units(rita, store):
    rita.post("/units", {"units": "us"})
    page = rita.get(f"/days/{DAY}/desk").text
    assert re.search(r"29.4 inHg of .*, if left empty", page), "996 hPa is 29.41 inHg: 996 / 33.8639"
    answer = blow(rita, "10", **{"/temperature": "50", "/pressure": "29.41"})
    assert answer.status_code == 303, answer.text
    now = store.weather.current(DAY).document
    assert now.wind[0].speed_mps == pytest.approx(4.4704) and now.temperature_c == pytest.approx(10.0)
    assert now.pressure_hpa == pytest.approx(995.9, abs=0.1)


def test_a_reading_with_faults_keeps_what_was_typed(rita, store):
    answer = blow(rita, "twelve", **{"/wind_gust": "3"})
    assert answer.status_code == 422 and 'value="twelve"' in answer.text and "expected a number" in answer.text
    low = blow(rita, "8", **{"/wind_gust": "3"})
    assert low.status_code == 422 and "at least the mean wind" in low.text
    inches = blow(rita, "3", **{"/pressure": "29.4"})
    assert inches.status_code == 422 and "29.4 hPa" in inches.text, "inches of mercury, typed where hPa are asked for"
    assert store.weather.current(DAY).revision == 1


def test_a_metar(rita, store):
    page = rita.get(f"/days/{DAY}/weather").text
    given = {"based_on": hidden(page, "based_on"), "/metar": "METAR XQAA 091245Z 21012G19KT 9999 FEW040 08/02 Q1018"}
    assert rita.post(f"/days/{DAY}/weather/metar", given).status_code == 303
    low = store.weather.current(DAY).document.wind[0]
    assert low.speed_mps == pytest.approx(12 * 1852 / 3600, abs=0.01) and low.height_m == 10.0  # 12 kt, WMO height
    bad = rita.post(f"/days/{DAY}/weather/metar", {**given, "/metar": "no report", "based_on": "2"})
    assert bad.status_code == 422 and "no report" in bad.text


FORECAST = (
    "time,height_m,speed_mps,from_deg,temperature_c,pressure_hpa\n"
    "2028-07-09T10:00:00-03:00,10,4,200,8,996\n2028-07-09T10:00:00-03:00,800,11,230,,\n"
)


def test_a_forecast_and_its_upper_winds(rita, store):
    def upload(text: str):
        page = rita.get(f"/days/{DAY}/weather").text
        given = {"forecast_based_on": hidden(page, "forecast_based_on"), "file": (io.BytesIO(text.encode()), "f.csv")}
        return rita.post(f"/days/{DAY}/weather/forecast", given, content_type="multipart/form-data")

    wrong = upload(FORECAST.replace("800,11", "800,fast"))
    assert wrong.status_code == 422 and "fast" in wrong.text and not store.weather.forecast(DAY).document.forecast
    assert upload(FORECAST).status_code == 303
    page = rita.get(f"/days/{DAY}/weather").text
    given = {"based_on": hidden(page, "based_on"), "hour": "2028-07-09T10:00:00-03:00"}
    assert rita.post(f"/days/{DAY}/weather/from-forecast", given).status_code == 303
    now = store.weather.current(DAY).document
    assert [each.height_m for each in now.wind] == [3.0, 800.0] and now.wind[1].speed_mps == 11.0
    assert now.observed_at.isoformat() == "2028-07-09T09:40:00-03:00", "the surface keeps its time"


# Pads and the log


def shift(browser, entry, what):
    page = browser.get(f"/days/{DAY}/pads").text
    form = r'name="based_on" value="(\d+)"><input type="hidden" name="entry" value="\w+"><button name="what"'
    seen = re.search(form, page)
    assert seen, "nothing can be shifted"
    return browser.post(f"/days/{DAY}/pads", {"entry": entry, "what": what, "based_on": seen[1]})


def test_line_up_and_pads(rita):
    for entry, what in (("n1", "add"), ("n2", "add"), ("n3", "add"), ("n3", "earlier")):
        assert shift(rita, entry, what).status_code == 303, (entry, what)
    page = rita.get(f"/days/{DAY}/pads").text
    assert re.findall(r'<a id="(n\d)"', page)[:3] == ["n1", "n3", "n2"]
    same_pad = shift(rita, "n3", "join")
    assert same_pad.status_code == 422 and "both for pad P1" in same_pad.text
    assert shift(rita, "n1", "set_up").status_code == 303
    taken = shift(rita, "n3", "set_up")
    assert taken.status_code == 422 and "Pad P1 is taken by n1" in taken.text
    assert shift(rita, "n2", "join").status_code == 303
    assert "2 at once" in rita.get(f"/days/{DAY}/pads").text


def test_two_desks_shift_the_line_at_once(rita):
    assert shift(rita, "n1", "add").status_code == 303
    answer = rita.post(f"/days/{DAY}/pads", {"entry": "n2", "what": "add", "based_on": "0"})
    assert answer.status_code == 409 and "Somebody else was faster" in answer.text


def test_flown_goes_to_the_log_once(rita, store):
    shift(rita, "n1", "add")
    page = rita.get(f"/days/{DAY}/pads").text
    assert "is not ruled on yet" in page
    given = {"entry": ["n1"], "based_on": "1"}
    assert rita.post(f"/days/{DAY}/pads/flown", given).status_code == 303
    assert rita.post(f"/days/{DAY}/pads/flown", given).status_code == 422, "not in line any more"
    (row_kept,) = store.flights.all(DAY)
    assert row_kept.flight.entry == "n1" and row_kept.flight.pad == "P1" and row_kept.assessment_id
    assert "flown" in row(rita.get(f"/days/{DAY}/desk").text, "n1")


def test_another_pad_makes_the_ruling_lapse(rita, store, assess):
    assert send(rita, "n1", "approved", **TICKS).status_code == 303
    given = {"entry": "n1", "pad": "P2", "based_on": "1"}
    assert rita.post(f"/days/{DAY}/pads/other", given).status_code == 303
    assess()
    assert store.entries.get(DAY, "n1").entry.pad == "P2" and store.rulings.latest(DAY)["n1"].state == "lapsed"


def test_the_log_is_written_amended_and_given_as_csv(rita, store):
    first = {"/entry": "n1", "/flown_at": "2028-07-09T09:45", "/pad": "P1", "/happened": "planned"}
    assert rita.post(f"/days/{DAY}/log/new", first).status_code == 303
    wrong = rita.post(f"/days/{DAY}/log/new", {**first, "/happened": "misfire", "/apogee_m": "120"})
    assert wrong.status_code == 422 and 'value="120"' in wrong.text and len(store.flights.all(DAY)) == 1
    half = {**first, "/landing/1": "-32.101", "based_on": "1"}
    assert rita.post(f"/days/{DAY}/log/1", half).status_code == 422
    full = {**half, "/landing/0": "-63.2", "/apogee_m": "131", "/note": "=2+3"}
    assert rita.post(f"/days/{DAY}/log/1", full).status_code == 303
    flight = store.flights.all(DAY)[0]
    assert flight.revision == 2 and flight.flight.landing == (-63.2, -32.101) and flight.flight.apogee_m == 131.0
    late = rita.post(f"/days/{DAY}/log/1", {**full, "/apogee_m": "140"})
    assert late.status_code == 409 and 'value="140"' in late.text
    answer = rita.get(f"/days/{DAY}/log.csv")
    (line,) = csv.DictReader(io.StringIO(answer.text))
    assert answer.mimetype == "text/csv" and line["apogee_m"] == "131.0" and line["happened"] == "planned"
    assert line["note"] == "'=2+3", "a spreadsheet must not take a note for a formula"


# Parts


def test_state_changes_with_whatever_the_desk_shows(rita):
    def stamp() -> str:
        return rita.get(f"/days/{DAY}/desk/state").json["stamp"]

    first = stamp()
    assert stamp() == first
    send(rita, "n1", "held", **{"/reason": "wait"})
    second = stamp()
    shift(rita, "n1", "add")
    third = stamp()
    rita.post(f"/days/{DAY}/checklist", {"tick": ["fire-watch"], "by": "One"})
    assert len({first, second, third, stamp()}) == 4


def test_line_up_moves_whole_turns():
    line_up = LineUp((("a",), ("b", "c"), ("d",)))
    assert line_up.moved("c", -1).turns == (("b", "c"), ("a",), ("d",))
    assert line_up.moved("a", -1) is line_up and line_up.moved("nobody", 1) is line_up
    assert line_up.parted("b").turns == (("a",), ("c",), ("b",), ("d",))
    assert line_up.joined("d").turns == (("a",), ("b", "c", "d"))
    stands = line_up.set_up("b", "P1")
    assert stands.without(["b"]).on_pad == {"b"}, "out of line is not off the pad"
    assert stands.gone(["b"]).on_pad == frozenset() == stands.taken_down("b").on_pad


def test_no_page_says_more_than_it_knows(rita):
    for path in ("desk", "checklist", "weather", "pads", "log", "log/new", "entries/n1/ruling", "entries/n2/ruling"):
        page = rita.get(f"/days/{DAY}/{path}").text
        assert not re.search(r"\b(un)?safe\b", re.sub(r"<[^>]+>", " ", page), re.I), path
        assert not re.search(r"<[^>]+\s(style|on\w+)=", page) and "<script>" not in page, path
        assert "=&#34;" not in page, f"{path}: an attribute that was escaped names nothing"
