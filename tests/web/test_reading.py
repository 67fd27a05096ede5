"""A reading in ten seconds: what was looked at counts as seen now, what nobody read is kept with the time it has.

Nobody reads what is still to come; and what a slip replaced can be put in force again.
"""

from __future__ import annotations

import html
import re
from datetime import datetime, timedelta

import pytest

from service.planning.weather.provenance import provenance_of
from tests.web.conftest import DAY, Browser
from tests.web.test_api import HERE, program  # noqa: F401 - a fixture

DESK, WEATHER = f"/days/{DAY}/desk", f"/days/{DAY}/weather"

TICK = {"/sky_as_before": "true"}
SKY = {"/cloud_oktas": "2", "/cloud_base": "900", "/visibility": "16"}


@pytest.fixture
def rita(new_browser, people, day) -> Browser:
    return new_browser("rita")


def words(answer) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", answer.text)).split())


def read(browser: Browser, page: str = DESK, **fields: str):
    """Send the form as a page shows it, with these fields typed into it."""
    shown = browser.get(page).text
    based_on = re.search(r'class="quick".*?name="based_on" value="(\d+)"', shown, re.S) or re.search(
        r'name="based_on" value="(\d+)"', shown
    )
    given = {"/wind_speed": "4", "/wind_from_deg": "200", "based_on": based_on[1]}
    return browser.post(f"{WEATHER}/reading", {**given, **{f"/{key}": each for key, each in fields.items()}})


def look(browser: Browser, **fields: str):
    """The same, with cloud and visibility."""
    sky = {key[1:]: each for key, each in SKY.items()}
    return read(browser, **{**sky, **fields})


def test_a_tick_keeps_the_sky_known(rita, store, clock):
    assert look(rita).status_code == 303
    clock.now += timedelta(minutes=35)  # longer than the day's policy trusts conditions
    page = words(rita.get(DESK))
    assert "as before: cloud 2/8, base 900 m; visibility 16 km" in page
    assert "Seen 09:50 UTC-0300; without a tick known only until 10:20 UTC-0300." in page
    assert read(rita, sky_as_before="true").status_code == 303
    now = store.weather.current(DAY).document
    assert (now.cloud_cover, now.cloud_base_m, now.visibility_m) == (0.25, 900.0, 16_000.0)
    assert not {"cloud", "vis"} & set(provenance_of(now).kept), "seen now, not kept"
    assert "The cloud and visibility were looked at and found as before." in words(rita.get(DESK))


def test_without_the_tick_an_old_sky_is_not_known(rita, store, clock):
    look(rita)
    clock.now += timedelta(minutes=35)
    assert read(rita).status_code == 303
    now = store.weather.current(DAY).document
    assert now.cloud_cover is None and now.visibility_m is None
    page = words(rita.get(DESK))
    assert "too old to keep; it is not known now" in page and "say how they are now" in page
    assert "sky_as_before" not in rita.get(DESK).text, "as what before?"


def test_what_is_typed_stands_over_the_tick(rita, store):
    look(rita)
    assert read(rita, cloud_oktas="6", cloud_base="500", sky_as_before="true").status_code == 303
    now = store.weather.current(DAY).document
    assert (now.cloud_cover, now.cloud_base_m, now.visibility_m) == (0.75, 500.0, 16_000.0)


def test_temperature_and_pressure_that_nobody_read_are_kept_as_of_then(rita, store):
    page = rita.get(DESK).text
    assert re.search(r'name="/temperature" value=""', page) and "6 °C of 09:40 UTC-0300, if left empty." in words(
        rita.get(DESK)
    )
    assert read(rita).status_code == 303
    now = store.weather.current(DAY).document
    then = datetime.fromisoformat("2028-07-09T09:40:00-03:00")  # the small day's reading
    assert (now.temperature_c, now.pressure_hpa) == (6.0, 996.0)
    assert provenance_of(now).kept == {"T": then, "p": then}
    assert read(rita, temperature="6", pressure="996").status_code == 303, "read, and the same as before"
    assert not provenance_of(store.weather.current(DAY).document).kept


def test_air_older_than_three_hours_is_asked_for(rita, store, clock):
    clock.now += timedelta(hours=3)
    assert "6 °C of 09:40 UTC-0300, is too old to keep." in words(rita.get(DESK))
    refused = read(rita, pressure="996")
    assert refused.status_code == 422 and re.search("Temperature.{0,5}: found nothing", words(refused))
    assert read(rita, temperature="9", pressure="996").status_code == 303


def test_visibility_in_the_reader_s_miles(rita, store):
    rita.post("/units", {"units": "us"})
    assert look(rita, visibility="10", cloud_base="3000", temperature="50", pressure="29.4").status_code == 303
    now = store.weather.current(DAY).document
    assert now.visibility_m == pytest.approx(10 * 1609.344) and now.cloud_base_m == pytest.approx(3000 * 0.3048)
    assert "visibility 10 mi" in words(rita.get(DESK))


def test_after_a_conflict_as_before_is_asked_anew(rita, new_browser):
    look(rita)
    olga = new_browser("olga")
    shown = olga.get(DESK).text
    old = re.search(r'name="based_on" value="(\d+)"', shown)[1]
    look(rita, cloud_oktas="7")
    given = {"/wind_speed": "5", "/wind_from_deg": "200", "based_on": old, **TICK}
    answer = olga.post(f"{WEATHER}/reading", given)
    assert answer.status_code == 409 and 'value="5"' in answer.text and "cloud 7/8" in words(answer)
    assert not re.search(r'name="/sky_as_before"[^>]*checked', answer.text), "it was ticked about another sky"


METAR = "METAR XQAA 091320Z 21012KT 9999 FEW040 08/02 Q1018"  # half an hour from now


def test_nobody_has_read_what_is_still_to_come(rita, store):
    for minutes, status in ((3, 422), (24 * 60, 422), (1, 303)):
        at = datetime(2028, 7, 9, 9, 50) + timedelta(minutes=minutes)  # now is 09:50 on the field's clocks
        answer = read(rita, observed_at=at.isoformat(timespec="minutes"))
        assert answer.status_code == status
        if status == 422:
            assert re.search(r"expected a time that has come: it is 9 July 2028, 09:50 UTC-0300 now", words(answer))
            assert store.weather.current(DAY).revision == 1
    answer = rita.post(f"{WEATHER}/metar", {"based_on": "2", "/metar": METAR})
    assert answer.status_code == 422 and "a time that has come" in words(answer)


def test_programs_neither(program, store):  # noqa: F811
    ask = program("rita")
    wind = {"wind_speed": 4, "wind_from_deg": 200}
    seen = ask("GET", f"{HERE}/conditions").json["conditions"]
    for method, path, given in (
        ("POST", "/conditions/reading", {**wind, "observed_at": "2028-07-09T10:00:00-03:00"}),
        ("POST", "/conditions/metar", {"metar": METAR}),
        ("PUT", "/conditions", {**seen, "observed_at": "2028-07-10T09:40:00-03:00"}),
    ):
        answer = ask(method, f"{HERE}{path}", given, '"1"')
        assert answer.status_code == 422 and answer.json["errors"][0]["pointer"] == "/observed_at", answer.json
    answer = ask("POST", f"{HERE}/conditions/reading", {**wind, "sky_as_before": True}, '"1"')
    assert answer.status_code == 422 and answer.json["errors"][0]["pointer"] == "/sky_as_before"
    sky = {"cloud_oktas": 2, "cloud_base": 900, "visibility": 16, "visibility_unit": "km"}
    assert ask("POST", f"{HERE}/conditions/reading", {**wind, **sky}, '"1"').status_code == 200
    answer = ask("POST", f"{HERE}/conditions/reading", {**wind, "sky_as_before": True}, '"2"')
    assert answer.json["conditions"]["visibility_m"] == 16_000.0 and "found as before" in answer.json["notes"][0]


def test_earlier_conditions_in_force_again(rita, program, store):  # noqa: F811
    first = store.weather.current(DAY).document
    assert read(rita, wind_speed="14").status_code == 303  # a slip: 4 was meant
    page = rita.get(WEATHER).text
    assert page.count("Put in force again</button>") == 1, "not what is in force"
    given = {"based_on": "2", "revision": "1"}
    assert rita.post(f"{WEATHER}/again", {**given, "based_on": "1"}).status_code == 409
    assert rita.post(f"{WEATHER}/again", {**given, "revision": "9"}).status_code == 404
    assert rita.post(f"{WEATHER}/again", given).status_code == 303
    kept = store.weather.current(DAY)
    assert kept.document == first and kept.revision == 3, "with its winds aloft and its own time"
    desk = words(rita.get(DESK))
    assert "In force is again what was in force earlier" in desk and "revision 1 of the weather" in desk
    answer = program("rita")("POST", f"{HERE}/conditions/again", {"revision": 2}, '"3"')
    assert answer.status_code == 200 and answer.json["conditions"]["wind"][0]["speed_mps"] == 14.0
    assert program("rita")("POST", f"{HERE}/conditions/again", {"revision": 2}, '"3"').status_code == 412


def test_what_lies_ahead_does_not_come_in_force_again(rita, store):
    kept = store.weather.current(DAY)
    ahead = kept.document.model_copy(update={"observed_at": kept.document.observed_at + timedelta(hours=2)})
    store.weather.enter(DAY, ahead, "setup", based_on=1)  # as a document may bring it
    read(rita)
    answer = rita.post(f"{WEATHER}/again", {"based_on": "3", "revision": "2"})
    assert answer.status_code == 422 and "a time that has come" in words(answer)
    assert store.weather.current(DAY).revision == 3


def test_nothing_is_filled_in_that_would_pass_for_read(rita):
    assert look(rita, wind_speed="4.3", wind_from_deg="200", wind_gust="6").status_code == 303
    shown = rita.get(DESK)
    assert "The last: 4.3 m/s from 200°, gusts 6 m/s, at 09:50 UTC-0300." in words(shown)
    typed = r'name="/(wind_speed|wind_from_deg|wind_gust|temperature|pressure)" value="([^"]*)"'
    values = dict(re.findall(typed, shown.text))
    assert values == dict.fromkeys(("wind_speed", "wind_from_deg", "wind_gust", "temperature", "pressure"), "")
    assert read(rita, wind_speed="", wind_from_deg="").status_code == 422
