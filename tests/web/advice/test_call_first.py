"""A call that comes first, on the pages: a mark in the table, and under it what is needed and for whom."""

from __future__ import annotations

from tests.web.advice_day import DAY, AdviceClock, real, served, words, worked_out
from tests.web.conftest import PATIENCE_S, Browser

NEEDS = "Needs a call to the tower first, for the ceiling of 1,500 m AGL from 11:30 until 12:00."


def called_plan():
    plan = real("plan", "")
    first = plan.order[0].model_copy(update={"standing": "stop", "called": "caution", "call_first": NEEDS})
    return plan.model_copy(update={"order": (first, *plan.order[1:])})


def called_ladder():
    ladder = real("ladder", "e-11")
    last = ladder.rungs[-1].model_copy(update={"standing": "stop", "called": "clear", "call_first": NEEDS})
    return ladder.model_copy(update={"rungs": (*ladder.rungs[:-1], last)})


def test_the_plan_s_order_marks_it_for_everybody_and_programs_read_it():
    with served(AdviceClock(), plan=called_plan()) as (app, store):
        rita = Browser(app)
        assert rita.sign_in("rita").status_code == 303
        page = worked_out(app, rita, f"/days/{DAY}/plan")
        first = called_plan().order[0]
        for text in (page.text, Browser(app).get(f"/days/{DAY}/plan").text):
            said = words(text)
            assert said.count("CALL FIRST") == 2 and "CALL FIRST , then CAUTION" in said
            assert f"CALL FIRST: {first.entry} {first.label} (at stop, then at caution)" in said
            assert NEEDS.split("1,500")[0] in said and "from 11:30 until 12:00." in said
        token = store.people.new_token(store.people.by_login("rita").id, "tests", "rita")
        bearer = {"Authorization": f"Bearer {token}"}
        told = app.test_client().get(f"/api/v1/days/{DAY}/plan", headers=bearer).json["order"]
        assert [each["call_first"] for each in told] == [NEEDS] + [""] * (len(told) - 1)
        assert (told[0]["standing"], told[0]["called"]) == ("stop", "caution")


def test_the_ladder_marks_it():
    with served(AdviceClock(), ladder=called_ladder()) as (app, store):
        bearer = {"Authorization": f"Bearer {store.links.new(DAY, 'e-11', 'setup')}"}
        client, here = app.test_client(), f"/days/{DAY}/entries/e-11/advice"
        client.post(f"/api/v1{here}", headers=bearer)
        assert app.extensions["jobs"].wait(PATIENCE_S)
        rungs = client.get(f"/api/v1{here}", headers=bearer).json["ladder"]["rungs"]
        assert [(each["call_first"], each["called"]) for each in rungs][-1] == (NEEDS, "clear")
        rita = Browser(app)
        assert rita.sign_in("rita").status_code == 303
        said = words(rita.get(here).text)
        assert "CALL FIRST , then CLEAR" in said and f"CALL FIRST: {rungs[-1]['name']}. Needs a call" in said
