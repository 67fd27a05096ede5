"""What pages tell of the weather: its source in its own words, times of the field, a variable wind as what it is."""

from __future__ import annotations

import html
import re

from service.store import Verdict
from tests.web.conftest import DAY

WEATHER = f"/days/{DAY}/weather"
METAR = "METAR SXQA 091245Z VRB04KT 9999 FEW030 08/02 Q1019"  # ICAO Annex 3 form; an invented station


def enter(browser, way: str, fields: dict[str, str], revision: int = 1):
    return browser.post(f"{WEATHER}/{way}", {"based_on": str(revision), **fields}, page=WEATHER)


def text_of(answer) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", answer.text)).split())


def test_a_variable_wind_is_refused_without_a_bearing_and_told_with_one(store, people, new_browser):
    rita = new_browser("rita")
    refused = enter(rita, "metar", {"/metar": METAR})
    assert refused.status_code == 422 and "a variable direction at 4 kt" in text_of(refused)
    assert store.weather.current(DAY).revision == 1, "no direction of 0° slips in"
    assert enter(rita, "metar", {"/metar": METAR, "/variable_from_deg": "140"}).status_code == 303
    desk = text_of(rita.get(f"/days/{DAY}/desk"))
    assert "the wind may come from anywhere" in desk and "variable direction, reckoned from 140°" in desk
    assert METAR in desk and "Entered by RSO here" in desk, "the report's own words stand beside the figures"
    assert METAR in text_of(rita.get(f"/days/{DAY}"))
    assert "variable, from any direction" in desk and "from 140° (" not in desk
    assert store.day_document(DAY).conditions.wind[0].arc_deg == 360.0
    kept = rita.get(f"/days/{DAY}/desk").text
    assert re.search(r'name="/wind_from_deg" value=""', kept), "the bearing reckoned from is not read as the wind's"


def test_no_page_tells_the_weather_s_time_in_another_zone(store, people, new_browser, clock):
    rita = new_browser("rita")
    reading = {"/wind_speed": "4", "/wind_from_deg": "200"}  # temperature, cloud and the rest are kept from before
    assert enter(rita, "reading", reading).status_code == 303
    told = text_of(rita.get(f"/days/{DAY}/desk"))
    assert "The temperature and pressure are kept from 09:40 UTC-0300." in told  # the reading of 12:40 UTC
    assert not re.search(r"\d\d:\d\d UTC(?!-0300)|\d{6}Z", told)
    again = enter(rita, "reading", {**reading, "/observed_at": "2028-07-09T20:00", "/temperature": ""}, 2)
    assert again.status_code == 422 and not re.search(r"\d\d:\d\d UTC(?!-0300)", text_of(again))


def test_a_calm_comes_from_nowhere(store, people, new_browser):
    rita = new_browser("rita")
    assert enter(rita, "reading", {"/wind_speed": "0", "/wind_from_deg": ""}).status_code == 303
    desk = rita.get(f"/days/{DAY}/desk")
    assert "calm" in desk.text and "from 0°" not in desk.text
    assert re.search(r'name="/wind_from_deg" value=""', desk.text), "the next reading does not start from the north"
    refused = enter(rita, "reading", {"/wind_speed": "3", "/wind_from_deg": ""}, 2)
    assert refused.status_code == 422 and "the bearing it comes from" in text_of(refused)


def test_who_did_what_is_told_by_name_and_role(store, people, new_browser, assess):
    assess()
    current = store.assessments.current(DAY)["n1"].assessment_id
    store.rulings.rule(DAY, "n1", Verdict(word="held", reason="wind"), "rita", assessment_id=current, based_on=0)
    page = text_of(new_browser("rita").get(f"/days/{DAY}/entries/n1/ruling"))
    assert "by RSO here, range safety officer" in page
    assert "rita" not in page
