"""A flyer brings a motor: its curve pasted as CSV, kept for that entry alone, mended, gone when nobody flies it."""

from __future__ import annotations

import re

import pytest

from service.planning.thrust_csv import BadCurve, read_thrust_csv, write_thrust_csv
from service.store.flights import Flight
from tests.web.conftest import DAY, NOW
from tests.web.page_forms import typed
from tests.web.test_registering import CURVE, OWN, SEND, _fault_at


def test_a_motor_of_ones_own(browser, day, store):
    where = browser.post(SEND, OWN).headers["Location"]
    entry_id = where.rpartition("/")[2]
    kept = store.entries.get(DAY, entry_id)
    motor = store.motors.get(DAY, kept.entry.motor).motor
    assert motor.id.startswith("own-") and motor.thrust_curve[1] == (0.2, 14.0) and kept.reserved == 0
    assert "Home C6" not in browser.get(f"/days/{DAY}").text.split("Motors on offer</h2>")[1].split("<h2>Entries")[0]


def own_motors(store) -> list[str]:
    """What the document holds of motors that flyers bring."""
    return [each.id for each in store.day_document(DAY).motors if each.id.startswith("own-")]


@pytest.mark.parametrize("units", ["si", "us"])
def test_a_motor_of_ones_own_is_mended(browser, day, store, units):
    where = browser.post(SEND, OWN).headers["Location"]
    entry_id = where.rpartition("/")[2]
    (before,) = own_motors(store)
    browser.post("/units", {"units": units})
    shown = typed(browser.get(f"{where}/edit").text)
    assert (shown["/motor"], shown["/own/delays"]) == ("own", "3, 5")
    assert shown["/own/thrust_curve"].split() == CURVE.split()
    kept = store.motors.get(DAY, before).motor
    again = browser.client.post(f"{where}/edit", data=shown | {"/flyer/name": "Ada E."})
    assert again.status_code == 303 and own_motors(store) == [before], "a motor left alone is the same motor"
    assert store.motors.get(DAY, before).motor == kept
    shown = typed(browser.get(f"{where}/edit").text)
    heavier = shown["/own/loaded_mass_kg"].partition(".")[0] + ".99"
    changed = browser.client.post(f"{where}/edit", data=shown | {"/own/loaded_mass_kg": heavier, "/own/delays": "5,3"})
    assert changed.status_code == 303
    (after,) = own_motors(store)
    motor = store.motors.get(DAY, after).motor
    assert after != before and store.entries.get(DAY, entry_id).entry.motor == after
    assert motor.loaded_mass_kg > kept.loaded_mass_kg and motor.delays == kept.delays
    back = typed(browser.get(f"{where}/edit").text) | {"/motor": "c6"}
    assert browser.client.post(f"{where}/edit", data=back).status_code == 303
    assert own_motors(store) == [], "nobody flies it any more"


def test_a_mended_motor_that_is_refused_leaves_the_old_one(browser, day, store):
    where = browser.post(SEND, OWN).headers["Location"]
    (before,) = own_motors(store)
    sent = typed(browser.get(f"{where}/edit").text)
    wide = browser.client.post(f"{where}/edit", data=sent | {"/own/diameter_m": "24"})
    assert wide.status_code == 422 and own_motors(store) == [before]
    assert typed(wide.text)["/own/diameter_m"] == "24"


def test_a_program_mends_it_too(browser, day, store):
    where = browser.post(SEND, OWN).headers["Location"]
    entry_id = where.rpartition("/")[2]
    link = re.search(r'class="secret" href="http://[^/]+/private/([^"]+)"', browser.get(where).text)[1]
    (before,) = own_motors(store)
    record = store.entries.get(DAY, entry_id)
    motor = store.motors.get(DAY, before).motor.model_dump(mode="json") | {"effect": "white smoke"}
    body = {"entry": record.entry.model_dump(mode="json"), "motor": motor}
    head = {"Authorization": f"Bearer {link}", "If-Match": f'"{record.revision}"'}
    answer = browser.client.put(f"/api/v1/days/{DAY}/entries/{entry_id}/brought", json=body, headers=head)
    assert answer.status_code == 200, answer.text
    (after,) = own_motors(store)
    assert after != before and store.motors.get(DAY, after).motor.effect == "white smoke"
    shown = typed(browser.get(f"{where}/edit").text) | {"/own/maker": "Shed"}
    assert browser.client.post(f"{where}/edit", data=shown).status_code == 303
    (last,) = own_motors(store)
    assert store.motors.get(DAY, last).motor.effect == "white smoke", "what the form does not show is kept"


def test_withdrawn_its_motor_goes_with_it_and_what_was_is_told_by_name(browser, day, store, people, new_browser):
    rita, where = new_browser("rita"), browser.post(SEND, OWN).headers["Location"]
    entry_id = where.rpartition("/")[2]
    before = store.day_document(DAY)
    (own,) = own_motors(store)
    store.flights.add(DAY, Flight(entry=entry_id, flown_at=NOW, pad="P1", happened="planned"), "rita")
    store.entries.withdraw(DAY, entry_id, "rita", based_on=1)
    assert own_motors(store) == [], "there is nobody who may fly it"
    assert own not in {each.motor.id for each in store.motors.all(DAY)}
    for path in (f"entries/{entry_id}", f"entries/{entry_id}/ruling", "log"):
        page = rita.get(f"/days/{DAY}/{path}").text
        assert "Home C6" in page and own not in page, path
    assert store.entries.history(DAY, entry_id)[0].document.motor == own
    assert store.motors.history(DAY, own)[0].document.designation == "C6" and store.verify_chain().whole
    store.days.replace(DAY, before, "setup", based_on=None)
    assert not store.entries.get(DAY, entry_id).withdrawn and own_motors(store) == [own], "a document brings both back"


def test_withdrawn_the_motor_on_offer_stays_on_offer(day, store):
    motor = store.entries.get(DAY, "n1").entry.motor
    store.entries.withdraw(DAY, "n1", "rita", based_on=1)
    assert motor in {each.id for each in store.day_document(DAY).motors}


def test_a_bad_curve_is_told_with_its_line(browser, day, store):
    page = browser.post(SEND, OWN | {"/own/thrust_curve": "time_s,thrust_n\n0,0\n0.2,fast\n"})
    assert page.status_code == 422 and "Line 3" in _fault_at(page.text, "/own/thrust_curve")
    assert "0.2,fast" in page.text
    assert not [each for each in store.motors.all(DAY) if each.motor.id.startswith("own-")]


def test_a_refused_entry_leaves_no_motor_behind(browser, day, store):
    page = browser.post(SEND, OWN | {"/rocket/mount/diameter_m": "13"})
    assert page.status_code == 422
    assert not [each for each in store.motors.all(DAY) if each.motor.id.startswith("own-")]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "found nothing"),
        ("t,f\n0,0", 'line 1: found "t,f"; expected the header'),
        ("0,0\n0.2,14\n1.7,0", "line 1: found the figures 0,0 at once; expected the header time_s,thrust_n as a line"),
        ("time_s;thrust_n\n0;0", "line 1: found values parted by semicolons; expected commas"),
        ("0,2;14,5", "line 1: found values parted by semicolons"),
        ("time_s\tthrust_n", "line 1: found values parted by tabs"),
        ("0.0 0.0", "line 1: found values parted by spaces"),
        ("time_s,thrust_n\n0,0\n1", "line 3: found 1 values"),
        ("time_s,thrust_n\n0,inf", "line 2"),
        ("time_s,thrust_n\n0,1_0", "line 2"),
    ],
)
def test_curves_that_are_none(text, says):
    with pytest.raises(BadCurve, match=says):
        read_thrust_csv(text)


def test_curves_come_back_as_they_went():
    curve = ((0.0, 0.0), (0.2, 14.0), (1.7, 0.0))
    assert [tuple(each) for each in read_thrust_csv(write_thrust_csv(curve))] == list(curve)
