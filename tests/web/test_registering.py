"""A flyer registers, is told what is wrong beside the field, gets a link, mends the entry."""

from __future__ import annotations

import re
from datetime import datetime
from zoneinfo import ZoneInfo

import pytest

from service.models.day import LaunchDay
from service.models.entry import Entry
from service.store import Verdict
from tests.builders import small_day
from tests.web.conftest import DAY, OTHER_DAY, PATIENCE_S
from tests.web.page_forms import typed

NEW, SEND = f"/days/{DAY}/entries/new", f"/days/{DAY}/entries"
SHORT = {
    "/flyer/name": "Ada Example", "/flyer/adult": "true", "/flyer/certification": "0", "/rocket/name": "Chimango",
    "/rocket/mass_kg": "60", "/rocket/length_m": "420", "/rocket/diameter_m": "25", "/rocket/mount/diameter_m": "18",
    "/rocket/mount/length_m": "70", "/motor": "c6", "/motor_count": "1", "/delay_s": "5", "/pad": "P1",
    "/main/kind": "parachute", "/main/diameter_m": "300", "/main/deploy/at": "motor_delay",
}  # fmt: skip
FULL = SHORT | {
    "/rocket/cg_from_nose_m": "220", "/rocket/airframe/nose/shape": "ogive", "/rocket/airframe/nose/length_m": "80",
    "/rocket/airframe/finish_um": "60", "/rocket/airframe/fins/0/count": "3",
    "/rocket/airframe/fins/0/root_chord_m": "50", "/rocket/airframe/fins/0/tip_chord_m": "30",
    "/rocket/airframe/fins/0/span_m": "40", "/rocket/airframe/fins/0/sweep_m": "20",
    "/rocket/airframe/fins/0/thickness_m": "2", "/rocket/airframe/fins/0/edge": "rounded",
    "/rocket/airframe/fins/0/leading_edge_from_nose_m": "360",
}  # fmt: skip
CURVE = "time_s,thrust_n\n0,0\n0.2,14\n0.4,5\n1.6,4.8\n1.7,0\n"
OWN = SHORT | {
    "/motor": "own", "/own/maker": "Home", "/own/designation": "C6", "/own/propellant": "black_powder",
    "/own/case": "single_use", "/own/diameter_m": "18", "/own/length_m": "70", "/own/loaded_mass_kg": "24",
    "/own/propellant_mass_kg": "11", "/own/delays": "3, 5", "/own/thrust_curve": CURVE,
}  # fmt: skip


def _fault_at(page: str, at: str) -> str:
    found = re.search(rf'id="f{re.escape(at.replace("/", "-"))}-fault">([^<]*)<', page)
    return found[1] if found else ""


def test_the_short_path(browser, day, store):
    answer = browser.post(SEND, SHORT)
    assert answer.status_code == 303, answer.text
    where = answer.headers["Location"]
    page = browser.get(where).text
    link = re.search(r'class="secret" href="([^"]+)"', page)[1]
    assert "shown this once" in page and "/private/" in link
    assert "shown this once" not in browser.get(where).text
    kept = store.entries.get(DAY, where.rpartition("/")[2]).entry
    assert kept.rocket.airframe is None
    assert (kept.rocket.mass_kg, kept.rocket.length_m, kept.rocket.mount.diameter_m) == (0.06, 0.42, 0.018)
    assert kept.recovery[0].diameter_m == 0.3 and kept.delay_s == 5.0


def test_the_link_opens_it_elsewhere(browser, new_browser, day):
    where = browser.post(SEND, SHORT).headers["Location"]
    link = re.search(r'class="secret" href="http://[^/]+([^"]+)"', browser.get(where).text)[1]
    other = new_browser()
    assert other.get(where).status_code == 303
    assert other.get(link).headers["Location"] == where
    assert "Chimango" in other.get(where).text


def test_the_full_path_is_drawn_and_kept(browser, day, store):
    page = browser.post(SEND, FULL | {"draw": "1"})
    assert page.status_code == 200 and "rh-fin" in page.text and "static margin" in page.text
    assert len(store.entries.all(DAY)) == 3, "drawing saves nothing"
    where = browser.post(SEND, FULL).headers["Location"]
    kept = store.entries.get(DAY, where.rpartition("/")[2]).entry
    frame = kept.rocket.airframe
    assert frame.length_m == 0.42 and frame.fins[0].root_chord_m == 0.05 and kept.rocket.cg_from_nose_m == 0.22


def test_lugs_are_kept_mended_and_held_to_the_tube(browser, day, store):
    lug = "/rocket/airframe/lugs_from_nose_m"
    where = browser.post(SEND, FULL | {f"{lug}/0": "240", f"{lug}/1": "390"}).headers["Location"]
    name = where.rpartition("/")[2]
    assert store.entries.get(DAY, name).entry.rocket.airframe.lugs_from_nose_m == (0.24, 0.39)
    page = browser.get(f"{where}/edit").text
    assert re.search(rf'name="{lug}/0"[^>]*value="240"', page) and re.search(rf'name="{lug}/1"[^>]*value="390"', page)
    only = browser.post(SEND, FULL | {f"{lug}/1": "250"}).headers["Location"].rpartition("/")[2]
    assert store.entries.get(DAY, only).entry.rocket.airframe.lugs_from_nose_m == (0.25,)
    refused = browser.post(SEND, FULL | {f"{lug}/0": "500"})
    assert refused.status_code == 422 and "on the airframe" in _fault_at(refused.text, f"{lug}/0")


def test_us_customary_comes_in_as_si(browser, day, store):
    browser.post("/units", {"units": "us"})
    typed = SHORT | {
        "/rocket/mass_kg": "2", "/rocket/length_m": "16.5", "/rocket/diameter_m": "1", "/main/diameter_m": "12",
        "/rocket/mount/diameter_m": "0.71", "/rocket/mount/length_m": "2.8",
    }  # fmt: skip
    where = browser.post(SEND, typed).headers["Location"]
    rocket = store.entries.get(DAY, where.rpartition("/")[2]).entry.rocket
    # 1 oz = 28.349523125 g and 1 in = 25.4 mm exactly (international avoirdupois and yard, 1959)
    assert rocket.mass_kg == pytest.approx(0.05669904625, abs=1e-9)
    assert rocket.length_m == pytest.approx(0.4191, abs=1e-9)


@pytest.mark.parametrize(
    ("changed", "at", "says"),
    [
        ({"/rocket/mass_kg": "heavy"}, "/rocket/mass_kg", "expected a number written with a point"),
        ({"/rocket/mass_kg": "1,5"}, "/rocket/mass_kg", "expected a number written with a point"),
        ({"/rocket/mass_kg": "nan"}, "/rocket/mass_kg", "expected a number written with a point"),
        ({"/rocket/mass_kg": ""}, "/rocket/mass_kg", "expected this to be filled in"),
        ({"/rocket/mass_kg": "0.1"}, "/rocket/mass_kg", "0.1 g; expected a number from 1 to 1,000,000 g"),
        ({"/rocket/diameter_m": "900"}, "/rocket/length_m", "at least the diameter"),
        ({"/rocket/mount/diameter_m": "26"}, "/rocket/mount/diameter_m", "at most the rocket&#39;s diameter"),
        ({"/motor": "f30", "/delay_s": "6"}, "/motor", "a motor that fits the mount"),
        ({"/delay_s": "4"}, "/delay_s", "a delay that c6 offers: 3 or 5 s"),
        ({"/delay_s": ""}, "/delay_s", "the delay chosen"),
        ({"/main/diameter_m": ""}, "/main/diameter_m", "neither this size nor a descent speed"),
        ({"/flyer/adult": ""}, "/flyer/responsible_adult", "the name of the adult"),
        ({"/flyer/certification": "3", "/flyer/certifying": "1"}, "/flyer/certifying", "nothing: level 3 is the last"),
        ({"/pad": "P9"}, "/pad", "expected one of those listed"),
        (
            {"/rocket/airframe/nose/length_m": "80", "/rocket/airframe/nose/shape": "cone"},
            "/rocket/cg_from_nose_m",
            "the balance point without the motor",
        ),
    ],
)  # fmt: skip
def test_each_fault_stands_beside_its_field_and_what_was_typed_stays(browser, day, store, changed, at, says):
    answer = browser.post(SEND, SHORT | changed)
    assert answer.status_code == 422
    assert says in _fault_at(answer.text, at), answer.text
    for name, value in (SHORT | changed).items():
        chosen = ("/adult", "/motor", "/pad", "/kind", "/at", "/shape", "/certification", "/certifying")
        if value and not name.endswith(chosen):
            assert f'name="{name}" value="{value}"' in answer.text, name
    assert len(store.entries.all(DAY)) == 3


def test_a_fault_of_the_fins_stands_at_the_fins(browser, day):
    page = browser.post(SEND, FULL | {"/rocket/airframe/fins/0/thickness_m": "80"}).text
    assert "less than the root chord" in _fault_at(page, "/rocket/airframe/fins/0/thickness_m")


def test_what_is_typed_is_never_taken_for_markup(browser, day):
    page = browser.post(SEND, SHORT | {"/rocket/name": '"><script>x</script>', "/rocket/mass_kg": ""}).text
    assert "<script>x" not in page and "&#34;&gt;&lt;script&gt;x" in page


def test_stock_runs_out_in_words(browser, day, store):
    offer = store.motors.get(DAY, "c6")
    store.motors.save(DAY, [offer.motor.model_copy(update={"stock": 1})], "setup", based_on={"c6": offer.revision})
    page = browser.post(SEND, SHORT | {"/reserve": "true"})
    assert page.status_code == 422 and "1 asked for, 0 left" in _fault_at(page.text, "/motor")
    assert browser.post(SEND, SHORT).status_code == 303, "who brings the motor reserves none"


def test_mending(browser, day, store):
    where = browser.post(SEND, FULL).headers["Location"]
    page = browser.get(f"{where}/edit").text
    assert 'name="/rocket/mass_kg" value="60"' in page and 'name="/rocket/length_m" value="420"' in page
    based_on = re.search(r'name="based_on" value="(\d+)"', page)[1]
    answer = browser.post(f"{where}/edit", FULL | {"/rocket/mass_kg": "75", "based_on": based_on})
    assert answer.status_code == 303
    entry_id = where.rpartition("/")[2]
    assert store.entries.get(DAY, entry_id).entry.rocket.mass_kg == 0.075
    late = browser.post(f"{where}/edit", FULL | {"/rocket/mass_kg": "80", "based_on": based_on})
    assert late.status_code == 409 and "Somebody else was faster" in late.text and "/rocket/mass_kg" in late.text
    assert store.entries.get(DAY, entry_id).entry.rocket.mass_kg == 0.075


@pytest.mark.parametrize("entry_id", ["n1", "n2", "n3"])
def test_the_form_gives_back_what_it_was_given(new_browser, people, day, store, entry_id):
    """Opening the form and saving it untouched changes nothing of the document."""
    browser, path = new_browser("olga"), f"/days/{DAY}/entries/{entry_id}/edit"
    before = store.entries.get(DAY, entry_id)
    answer = browser.post(path, typed(browser.get(path).text))
    assert answer.status_code == 303, re.findall(r'class="fault"[^>]*>[^<]*', answer.text)
    after = store.entries.get(DAY, entry_id).entry
    assert after.model_dump(exclude={"rocket": {"length_m", "diameter_m"}}) == before.entry.model_dump(
        exclude={"rocket": {"length_m", "diameter_m"}}
    )


def test_a_device_that_few_have_is_kept(new_browser, people, day, store):
    """A rotor that opens at a height before the main: untouched in the form, untouched in the document."""
    record = store.entries.get(DAY, "n2")
    opens = {"at": "altitude", "altitude_m": 300.0}
    rotor = {"name": "rotor", "kind": "helicopter", "diameter_m": 0.5, "deploy": opens}
    document = record.entry.model_dump(mode="json")
    document["recovery"][0] = rotor
    before = store.entries.update(DAY, Entry.model_validate(document), "setup", based_on=record.revision).entry
    browser, path = new_browser("olga"), f"/days/{DAY}/entries/n2/edit"
    assert browser.client.post(path, data=typed(browser.get(path).text)).status_code == 303
    assert store.entries.get(DAY, "n2").entry.recovery == before.recovery


def test_what_a_list_does_not_offer_is_not_chosen_away(new_browser, people, day, store):
    record = store.entries.get(DAY, "n2")
    document = record.entry.model_dump(mode="json")
    glide = {"kind": "glide", "diameter_m": None, "glide_ratio": 3.0, "descent_speed_mps": 4.0}
    document["recovery"][0] |= glide
    store.entries.update(DAY, Entry.model_validate(document), "setup", based_on=record.revision)
    browser, path = new_browser("olga"), f"/days/{DAY}/entries/n2/edit"
    page = browser.get(path).text
    assert "glide: not offered here" in page
    answer = browser.client.post(path, data=typed(page))
    assert answer.status_code == 422 and "one of those listed" in _fault_at(answer.text, "/drogue/kind")


def test_a_form_that_is_filled_chooses_what_an_empty_one_does(browser, day, store):
    """A rocket of which only the sizes were told: adding its shape later makes it no other surface or edge."""
    where = browser.post(SEND, SHORT).headers["Location"]
    fresh = typed(browser.get(NEW).text)
    chosen = [f"/rocket/airframe/{name}" for name in ("finish_um", "fins/0/edge", "fins/1/edge", "nose/shape")]
    for path in (f"{where}/edit", f"{NEW}?from={DAY}/{where.rpartition('/')[2]}"):
        shown = typed(browser.get(path).text)
        assert [shown[each] for each in chosen] == ["60", "rounded", "rounded", "ogive"]
        assert all(shown[each] == fresh[each] for each in chosen)
        assert shown["/main/diameter_m"] == "300"


def test_a_flyer_may_mend_until_ruled_on(app, browser, day, store, assess):
    where = browser.post(SEND, SHORT).headers["Location"]
    entry_id = where.rpartition("/")[2]
    app.extensions["reassessor"].kick(DAY)
    assert app.extensions["reassessor"].wait(PATIENCE_S)
    current = store.assessments.current(DAY)[entry_id]
    store.rulings.rule(
        DAY, entry_id, Verdict(word="approved"), "rita", assessment_id=current.assessment_id, based_on=0
    )
    page = browser.get(where).text
    assert "Mend this entry" not in page and "only an organiser can change it" in page
    answer = browser.post(f"{where}/edit", SHORT | {"based_on": "1", "/rocket/mass_kg": "70"})
    assert answer.status_code == 422 and store.entries.get(DAY, entry_id).revision == 1


def test_another_days_rocket_can_be_taken_over(browser, day, store):
    browser.post(f"/days/{OTHER_DAY}/entries", FULL)
    page = browser.get(NEW).text
    assert "one of my earlier rockets" in page and "Chimango" in page
    filled = browser.get(f"{NEW}?from={OTHER_DAY}/e-01").text
    assert 'name="/rocket/airframe/fins/0/span_m" value="40"' in filled
    browser.post(f"/days/{OTHER_DAY}/entries", OWN)
    own = typed(browser.get(f"{NEW}?from={OTHER_DAY}/e-02").text)
    assert (own["/motor"], own["/own/maker"], own["/own/loaded_mass_kg"]) == ("own", "Home", "24")
    others = browser.get(f"{NEW}?from={OTHER_DAY}/n1").text.split("<fieldset>")[1]
    assert "Hornero" not in others and 'name="/rocket/name" value=""' in others


def test_withdrawing_and_a_new_link(browser, new_browser, day, store):
    where = browser.post(SEND, SHORT).headers["Location"]
    first = re.search(r'class="secret" href="http://[^/]+([^"]+)"', browser.get(where).text)[1]
    browser.post(f"{where}/links")
    second = re.search(r'class="secret" href="http://[^/]+([^"]+)"', browser.get(where).text)[1]
    assert new_browser().get(first).status_code == 404 and new_browser().get(second).status_code == 303
    assert browser.post(f"{where}/withdraw", {"based_on": "1"}).status_code == 303
    assert "Chimango" not in browser.get(f"/days/{DAY}").text
    assert len(LaunchDay.model_validate(small_day()).entries) == len(store.entries.all(DAY))


def test_the_outline_for_the_script(browser, day):
    answer = browser.post(f"/days/{DAY}/outline", FULL)
    assert "<svg" in answer.json["wide"] and " style=" not in answer.json["wide"] and answer.json["lacking"] == []
    shape = {name: value for name, value in FULL.items() if name != "/rocket/cg_from_nose_m"}
    partly = browser.post(f"/days/{DAY}/outline", shape).json
    assert "UNKNOWN" in partly["wide"] and "Balance point without the motor" in partly["lacking"]
    assert browser.post(f"/days/{DAY}/outline", {"/rocket/length_m": "x"}).json["wide"] == ""


def test_hours_of_the_flyers_own_are_of_the_field_and_can_be_taken_back(browser, day, store):
    hours = {"/flyer/here_from": "2028-07-08T10:00", "/flyer/here_until": "2028-07-08T12:30"}
    where = browser.post(SEND, SHORT | hours).headers["Location"]
    entry_id = where.rpartition("/")[2]
    kept = store.entries.get(DAY, entry_id).entry.flyer
    zone = store.day_document(DAY).timezone
    assert kept.here_from == datetime(2028, 7, 8, 10, 0, tzinfo=ZoneInfo(zone)) < kept.here_until
    page = browser.get(f"{where}/edit").text
    assert 'value="2028-07-08T12:30"' in page
    assert "2028-07-08T12:30" in browser.get(f"{NEW}?from={DAY}/{entry_id}").text
    elsewhere = browser.get(f"/days/{OTHER_DAY}/entries/new?from={DAY}/{entry_id}").text
    assert "Chimango" in elsewhere and "2028-07-08T12:30" not in elsewhere
    mended = typed(page) | {"/flyer/here_from": "", "/flyer/here_until": ""}
    assert browser.post(f"{where}/edit", mended).status_code == 303
    assert store.entries.get(DAY, entry_id).entry.flyer.here_until is None
    wrong = typed(browser.get(f"{where}/edit").text) | hours | {"/flyer/here_until": "2028-07-08T09:00"}
    refused = browser.post(f"{where}/edit", wrong)
    assert refused.status_code == 422 and "after the flyer arrives" in _fault_at(refused.text, "/flyer/here_until")
