"""Where to aim, and a day planned, as pages: what they say, to whom, and setting a pad as found."""

from __future__ import annotations

import pytest

from service.planning.advise.fix_words import PEOPLE_UNKNOWN as FIX_PEOPLE_UNKNOWN
from service.planning.aim.wording import PEOPLE_UNKNOWN
from tests.web.advice_day import DAY, AdviceClock, fields, pad_fixes, real, served, words, worked_out
from tests.web.conftest import Browser

HERE = f"/days/{DAY}/entries/e-11"
AIM, PLAN = f"{HERE}/aim", f"/days/{DAY}/plan"


def test_the_setting_and_the_one_not_to_be_used(app, rita):
    said = words(worked_out(app, rita, AIM).text)
    aiming = real("aim", "e-11")
    assert aiming.words in said and aiming.gains in said and aiming.worst_why in said
    assert aiming.limit_words in said and "Target: pad B1" in said
    if aiming.worsens and aiming.milder is None:
        assert "Leave pad B1 as it is" in said


def test_where_nobody_drew_the_people_page_and_api_say_so():
    none_drawn = {"people_share": None, "ballistic_people_share": None, "toward_people": None}
    aiming = real("aim", "e-11")
    settings = {each: getattr(aiming, each).model_copy(update=none_drawn) for each in ("before", "after", "worst")}
    told = aiming.model_copy(update={"people_unknown": PEOPLE_UNKNOWN, **settings})
    with served(AdviceClock(), aim=told) as (app, store):
        browser = Browser(app)
        assert browser.sign_in("rita").status_code == 303
        page = worked_out(app, browser, AIM)
        assert "among people is UNKNOWN" in words(page.text) and page.text.count("UNKNOWN") > 2
        token = store.people.new_token(store.people.by_login("rita").id, "tests", "rita")
        answer = app.test_client().get(f"/api/v1{AIM}", headers={"Authorization": f"Bearer {token}"}).json
        assert "UNKNOWN" in answer["people_unknown"] and answer["after"]["people_share"] is None
        header = store.days.header(DAY)
        bare = header.document.field.model_copy(update={"zones": ()})
        store.days.update(DAY, header.document.model_copy(update={"field": bare}), "olga", based_on=header.revision)
        before = words(browser.get(AIM).text)
        assert "will stay UNKNOWN" in before and "Nobody is to be under it" not in before


def test_where_nobody_drew_the_people_a_fix_says_so():
    told = pad_fixes()
    fix = told.fixes[0].model_copy(update={"people_unknown": FIX_PEOPLE_UNKNOWN})
    with served(AdviceClock(), fixes=told.model_copy(update={"fixes": (fix,)})) as (app, _):
        browser = Browser(app)
        assert browser.sign_in("rita").status_code == 303
        page = worked_out(app, browser, f"/days/{DAY}/entries/e-09/advice")
        assert "toward people is UNKNOWN" in words(page.text)


def test_the_officer_sets_the_pad_as_found(app, store, rita):
    page = worked_out(app, rita, AIM)
    aiming = real("aim", "e-11")
    assert aiming.changes, "this wind and pad leave something to gain"
    answer = rita.post(f"{AIM}/apply", {**fields(page, "/aim/apply"), "which": "found"}, page="/about")
    assert answer.status_code == 303, answer.text
    header = store.days.header(DAY)
    assert header.document.field.pads[2] == aiming.pad_after and aiming.words in header.why
    again = rita.post(f"{AIM}/apply", {**fields(page, "/aim/apply"), "which": "found"}, page="/about")
    assert again.status_code == 409 and store.days.header(DAY).revision == header.revision


def test_a_flyer_is_shown_it_and_does_not_set_it(app, flyer):
    page = worked_out(app, flyer, AIM)
    assert "/aim/apply" not in page.text and "show them this" in page.text


@pytest.mark.parametrize(("sent", "where"), [
    ({"to": "open"}, "?to=open"), ({"to": "place", "lon": "-97.51", "lat": "46.92"}, "?to=place&lon=-97.510000"),
])  # fmt: skip
def test_each_target_has_an_address_of_its_own(app, rita, sent, where):
    answer = rita.post(AIM, sent, page="/about")
    assert answer.headers["Location"].startswith(AIM + where)


@pytest.mark.parametrize("query", ["?to=moon", "?to=place", "?to=place&lon=nan&lat=1", "?to=place&lon=1&lat=91"])
def test_no_target_is_refused_in_words(rita, query):
    answer = rita.get(AIM + query)
    assert answer.status_code == 422 and "expected" in answer.text


def test_the_plan_for_those_who_run_the_day(app, rita):
    said = words(worked_out(app, rita, PLAN).text)
    plan = real("plan", "")
    assert plan.words in said and plan.stronger_words in said and plan.order
    for each in plan.order:
        assert f"{each.label} {each.entry} {each.rocket} {each.flyer}" in said and each.why in said
    for each in plan.left_out:
        assert each.why in said


def test_everybody_sees_the_order_without_names_and_reasons(app, rita):
    assert "has not been planned" in Browser(app).get(PLAN).text
    worked_out(app, rita, PLAN)
    page = Browser(app).get(PLAN)
    said = words(page.text)
    plan = real("plan", "")
    for row in plan.rows:
        assert row.flyer not in page.text
    for each in plan.order:
        assert f"{each.label} {each.entry} {each.rocket}" in said
        assert not each.limits or each.limits not in said
    assert "Plan the day" not in said and "data-job" not in page.text


def test_a_new_reading_leaves_the_plan_and_a_new_forecast_does_not(app, store, rita):
    worked_out(app, rita, PLAN)
    found = store.weather.current(DAY)
    colder = found.document.model_copy(update={"temperature_c": 3.0})
    store.weather.enter(DAY, colder, "rita", based_on=found.revision)
    assert "Proposed order" in rita.get(PLAN).text
    forecast = store.weather.forecast(DAY)
    store.weather.set_forecast(DAY, forecast.document.forecast[:1], "rita", based_on=forecast.revision)
    assert "Proposed order" not in rita.get(PLAN).text


def test_another_pace_is_another_plan(app, rita):
    worked_out(app, rita, PLAN)
    assert "Proposed order" not in rita.get(PLAN + "?rest_min=45").text
    answer = rita.post(PLAN, {"rest_min": "45", "gap_min": "3"}, page="/about")
    assert answer.headers["Location"] == PLAN + "?rest_min=45"
    assert rita.get(PLAN + "?rest_min=nan").status_code == 422


def test_flyers_start_no_plan(flyer):
    assert flyer.post(PLAN, page="/about").status_code == 401
