"""Advice on pages: what it says, making a change of it, and refusing to once anything it rests on has changed."""

from __future__ import annotations

import re

import pytest

from service.store import Unavailable, days
from service.store.rulings import Verdict
from tests.web.advice_day import (
    DAY,
    DELAY_S,
    AdviceClock,
    few_entries,
    fields,
    hidden,
    pad_fixes,
    real,
    served,
    words,
    worked_out,
)
from tests.web.conftest import PATIENCE_S, Browser

HERE = f"/days/{DAY}/entries/e-11"
PAGE = f"{HERE}/advice"


def test_before_anything_is_worked_out_the_page_says_what_it_takes(flyer):
    page = flyer.get(PAGE)
    assert page.status_code == 200 and "Work it out" in page.text and "job.js" in page.text


def test_every_motor_has_its_place_or_its_reason(app, flyer):
    said = words(worked_out(app, flyer, PAGE).text)
    ladder = real("ladder", "e-11")
    assert len(ladder.rungs) + len(ladder.excluded) == len(few_entries().motors)
    for rung in ladder.rungs:
        assert rung.name in said
    for each in ladder.excluded:
        assert each.name in said and each.why.split(";")[0].split(",")[0] in said
    assert "30 mph or four times the wind" in said and "safe" not in said.lower().replace("safety", "")


def test_the_fix_is_shown_with_what_it_leaves(app, flyer):
    said = words(worked_out(app, flyer, PAGE).text)
    fix = next(each for each in real("fixes", "e-11").fixes if each.found != "none")
    assert fix.words in said and fix.measured_after.split(" (")[0] in said
    assert f"{fix.samples:,} flights" in said


def test_figures_are_in_the_readers_units(app, flyer):
    page = worked_out(app, flyer, PAGE)
    assert re.search(r"\d m\b", words(page.text))
    flyer.client.set_cookie("units", "us")
    said = words(flyer.get(PAGE).text)
    fix = next(each for each in real("fixes", "e-11").fixes if each.found != "none")
    first = re.search(r"[\d.]+ m", fix.words)[0]
    feet = float(first[:-2]) / 0.3048  # exact, international foot of 1959
    assert f"{float(f'{feet:.3g}'):g} ft ({first})" in said


def test_one_press_changes_the_entry_and_is_recorded(app, store, flyer):
    page = worked_out(app, flyer, PAGE)
    fixes = real("fixes", "e-11").fixes
    number, fix = next((n, each) for n, each in enumerate(fixes, start=1) if each.found != "none")
    answer = flyer.post(f"{HERE}/fixes/{number}/apply", fields(page), page="/about")
    assert answer.status_code == 303 and answer.headers["Location"] == HERE
    kept = store.entries.get(DAY, "e-11")
    assert (
        kept.revision == 2 and kept.entry.recovery == fix.entry.recovery != few_entries().entry_by_id("e-11").recovery
    )
    assert kept.why == f"advice: {fix.words}"[:480] and kept.by == "flyer e-11"
    first, then = flyer.get(HERE).text, flyer.get(HERE).text
    assert 'id="applied"' in first and 'id="applied"' not in then  # told once
    assert fix.notes and all(note in words(first) and note not in words(then) for note in fix.notes)
    assert "Changed 1 time" in words(then) and f"advice: {fix.words}" in words(then), "and kept in sight"
    assert store.verify_chain().whole


def test_one_press_on_the_entry_s_own_page_once_it_was_worked_out(app, store, flyer, rita):
    app.extensions["reassessor"].kick(DAY)
    assert app.extensions["reassessor"].wait(PATIENCE_S)
    assert "Make this change" not in flyer.get(HERE).text
    worked_out(app, flyer, PAGE)
    page = flyer.get(HERE).text
    found = re.search(rf'action="({HERE}/fixes/(\d+)/apply)">(.*?)</form>', page, re.S)
    assert found, "no change stands ready"
    fix = real("fixes", "e-11").fixes[int(found[2]) - 1]
    assert fix.words in words(page) and found[1] in rita.get(HERE).text
    sent = dict(re.findall(r'name="(based_on|job)" value="([^"]*)"', found[3]))
    assert flyer.post(found[1], sent, page="/about").status_code == 303
    assert store.entries.get(DAY, "e-11").entry == fix.entry.model_copy(update={"attestations": {}})


def test_what_changed_in_between_is_not_overwritten(app, store, flyer):
    page = worked_out(app, flyer, PAGE)
    seen = store.entries.get(DAY, "e-11")
    number = next(n for n, each in enumerate(real("fixes", "e-11").fixes, start=1) if each.found != "none")
    changed = seen.entry.model_copy(update={"pad": "A2"})
    store.entries.update(DAY, changed, "olga", based_on=seen.revision)
    answer = flyer.post(f"{HERE}/fixes/{number}/apply", fields(page), page="/about")
    assert answer.status_code == 409 and "nothing was changed" in answer.text
    assert store.entries.get(DAY, "e-11").entry == changed
    assert "Work it out" in flyer.get(PAGE).text  # the advice was on another state
    again = worked_out(app, flyer, PAGE)
    answer = flyer.post(f"{HERE}/fixes/{number}/apply", {**fields(again), "based_on": "1"}, page="/about")
    assert answer.status_code == 409 and store.entries.get(DAY, "e-11").entry == changed


def test_other_conditions_make_other_advice(app, store, flyer):
    worked_out(app, flyer, PAGE)
    found = store.weather.current(DAY)
    colder = found.document.model_copy(update={"temperature_c": found.document.temperature_c - 5.0})
    store.weather.enter(DAY, colder, "rita", based_on=found.revision)
    assert "Work it out" in flyer.get(PAGE).text


def test_others_who_register_change_nothing(app, store, flyer):
    worked_out(app, flyer, PAGE)
    store.entries.add(DAY, few_entries().entry_by_id("e-01"), "flyer", reserve=False)
    assert "Work it out" not in flyer.get(PAGE).text


def test_once_ruled_on_the_flyer_changes_nothing_more(app, store, flyer):
    app.extensions["reassessor"].kick(DAY)
    assert app.extensions["reassessor"].wait(PATIENCE_S)
    current = store.assessments.current(DAY)["e-11"]
    page = worked_out(app, flyer, PAGE)
    verdict = Verdict(word="refused", reason="Not today.")
    store.rulings.rule(DAY, "e-11", verdict, "rita", assessment_id=current.assessment_id, based_on=0)
    assert "Make this change" not in flyer.get(PAGE).text
    number = next(n for n, each in enumerate(real("fixes", "e-11").fixes, start=1) if each.found != "none")
    answer = flyer.post(f"{HERE}/fixes/{number}/apply", fields(page), page="/about")
    assert answer.status_code == 422 and store.entries.get(DAY, "e-11").revision == 1


def test_a_motor_of_the_ladder_is_taken_with_its_delay(app, store, flyer):
    page = worked_out(app, flyer, PAGE)
    rung = next(each for each in real("ladder", "e-11").rungs if each.changes and each.delay_s is not None)
    answer = flyer.post(f"{PAGE}/motor", {**fields(page, "/advice/motor"), "motor": rung.motor}, page="/about")
    assert answer.status_code == 303, answer.text
    kept = store.entries.get(DAY, "e-11")
    assert (kept.entry.motor, kept.entry.delay_s) == (rung.motor, rung.delay_s) and rung.name in kept.why
    stale = flyer.post(f"{PAGE}/motor", {**fields(page, "/advice/motor"), "motor": rung.motor}, page="/about")
    assert stale.status_code == 409


def test_an_effect_and_an_altitude_can_be_asked_for(app, flyer):
    worked_out(app, flyer, PAGE)
    page = flyer.get(PAGE + "?/effect=&/altitude_m=much")
    assert page.status_code == 200 and "a number" in page.text
    assert flyer.get(PAGE + "?/altitude_m=250&/effect=white+smoke").status_code == 200


def test_motors_may_be_left_out_and_the_change_made_is_the_one_shown(app, store, flyer):
    page = worked_out(app, flyer, PAGE, adapters="no", reloads="by_experience")
    assert page.request.query_string == b"adapters=no"
    assert '<option value="no" selected>are left out</option>' in page.text
    assert "Work it out" in flyer.get(PAGE).text, "with all motors it was not worked out"
    number = next(n for n, each in enumerate(real("fixes", "e-11").fixes, start=1) if each.found != "none")
    sent = fields(page)
    assert flyer.post(f"{HERE}/fixes/{number}/apply", sent, page="/about").status_code == 409, "of other motors"
    assert 'name="adapters" value="no"' in page.text.split("/apply", 1)[1].split("</form>", 1)[0]
    assert flyer.post(f"{HERE}/fixes/{number}/apply", {**sent, "adapters": "no"}, page="/about").status_code == 303


def test_what_is_picked_at_caution_says_so():
    found = real("ladder", "e-11")
    rungs = tuple(
        each.model_copy(update={"passes": False, "standing": "caution", "stays": True, "samples": found.policy_samples})
        for each in found.rungs
    )
    with served(AdviceClock(), ladder=found.model_copy(update={"rungs": rungs})) as (app, store):
        flyer = Browser(app)
        flyer.get(f"/private/{store.links.new(DAY, 'e-11', 'setup')}")
        said = words(worked_out(app, flyer, PAGE).text)
    assert "none passes every check" in said and "For a gentle first flight, at CAUTION" in said
    assert said.count("It stands at CAUTION.") == 4


def test_a_withdrawn_entry_has_no_advice(store, rita):
    store.entries.withdraw(DAY, "e-11", "olga", based_on=1)
    assert rita.get(PAGE).status_code == 404


class TestPad:
    """A fix that sets a pad, shared with another entry."""

    @pytest.fixture
    def running(self):
        with served(AdviceClock(), fixes=pad_fixes()) as made:
            yield made

    def test_the_officer_sets_it_and_the_flyer_does_not(self, app, store, rita):
        here = f"/days/{DAY}/entries/e-09"
        flyer = Browser(app)
        flyer.get(f"/private/{store.links.new(DAY, 'e-09', 'setup')}")
        page = worked_out(app, flyer, f"{here}/advice")
        (fix,) = pad_fixes().fixes
        said = words(page.text)
        assert "Pad A1 also serves e-01" in said and "show them this" in said and "Make this change" not in said
        sent = {"job": hidden(rita.get(f"{here}/advice").text, "job"), "based_on": "1"}
        assert flyer.post(f"{here}/fixes/1/apply", sent, page="/about").status_code == 403
        assert store.days.header(DAY).revision == 1
        assert rita.post(f"{here}/fixes/1/apply", sent, page="/about").status_code == 303
        header = store.days.header(DAY)
        assert header.document.field.pads[0] == fix.pad and "advice for e-09" in header.why
        assert store.entries.get(DAY, "e-09").revision == 1


class TestPadAndEntry:
    """A fix that sets a pad and changes its entry: both or neither."""

    @pytest.fixture
    def running(self):
        with served(AdviceClock(), fixes=pad_fixes(delay_s=DELAY_S)) as made:
            yield made

    @pytest.mark.parametrize("through", ["page", "api"])
    def test_a_failure_between_leaves_nothing_half_written(self, app, store, rita, monkeypatch, through):
        here = f"/days/{DAY}/entries/e-09"
        page = worked_out(app, rita, f"{here}/advice")
        person = store.people.by_login("rita")
        token = store.people.new_token(person.id, "tests", "rita")

        def make() -> int:
            if through == "page":
                sent = {"job": hidden(page.text, "job"), "based_on": "1"}
                return rita.post(f"{here}/fixes/1/apply", sent, page="/about").status_code
            headers = {"Authorization": f"Bearer {token}", "If-Match": '"1"'}
            path = f"/api/v1{here}/fixes/1/apply?assessment={pad_fixes().fixes[0].assessment}"
            return app.test_client().post(path, headers=headers).status_code

        head = store.audit.head()
        with monkeypatch.context() as broken:
            broken.setattr(days, "save", lambda *_, **__: (_ for _ in ()).throw(Unavailable("the disk is full")))
            assert make() >= 500
        assert store.audit.head() == head
        assert store.days.header(DAY).revision == 1 and store.entries.get(DAY, "e-09").revision == 1
        assert make() in (200, 303)
        assert store.days.header(DAY).revision == 2 and store.entries.get(DAY, "e-09").entry.delay_s == DELAY_S
        assert store.verify_chain().whole
