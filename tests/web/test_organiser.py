"""The organiser's pages as a browser without scripts sends them: kept, refused with what was typed, conflicts told."""

from __future__ import annotations

import html
import io
import json
import re
from datetime import date

import pytest

from service.models.entry import Attestation
from service.planning.check import read_day
from service.web.organise import PARTS
from tests.builders import LAT_DEG, LON_DEG, as_bytes, small_day, square
from tests.web.conftest import DAY, NOW
from tests.web.page_forms import typed

AT = f"/days/{DAY}/organise"
RULE = "club-owner"  # of the code of practice: somebody answers for it once a day


def edited(browser, part: str, **changes: str):
    """Open a part, change some fields, send it."""
    sent = typed(browser.get(f"{AT}/{part}").text) | changes
    return browser.client.post(f"{AT}/{part}", data={k: v for k, v in sent.items() if v is not None})


def fault_at(page: str, at: str) -> str:
    """What stands beside a field."""
    found = re.search(rf'id="f{at.replace("/", "-")}-fault">(.*?)</p>', page, re.S)
    return html.unescape(found[1]) if found else ""


@pytest.fixture
def olga(people, new_browser):
    return new_browser("olga")


def header(store):
    return store.days.header(DAY).document


@pytest.mark.parametrize("part", PARTS)
@pytest.mark.parametrize("units", ["si", "us"])
def test_a_part_saved_as_it_stands_changes_nothing(store, olga, part, units):
    """Whatever the reader's units, a form sent back untouched leaves the header as it was, to the last digit."""
    person = store.people.by_login("olga")
    store.people.update(person.id, "setup", based_on=person.revision, units=units)
    before = header(store)
    assert edited(olga, part).status_code == 303
    after = header(store)
    if units == "si" or part in ("boundary", "zones", "codes", "rules", "policy"):
        left, right = (each.model_dump(mode="json", exclude={"ceiling"}) for each in (before, after))
        assert left == right
        assert store.day_document(DAY).ceilings == tuple(before.ceiling)
    else:
        assert after.field.elevation_m == pytest.approx(before.field.elevation_m, rel=1e-5)
        assert after.field.pads[1].guide_length_m == pytest.approx(before.field.pads[1].guide_length_m, rel=1e-5)


def test_every_fault_stands_beside_its_field_and_what_was_typed_stays(store, olga):
    before = store.days.header(DAY).revision
    sent = {"/field/pads/0/guide_length_m": "-1", "/field/pads/0/position": "somewhere", "/field/pads/1/tilt_deg": "x"}
    answer = edited(olga, "pads", **sent)
    assert answer.status_code == 422
    for name, value in sent.items():
        ident = "f" + name.replace("/", "-")
        assert f'value="{value}"' in answer.text and f'id="{ident}-fault"' in answer.text, name
    assert store.days.header(DAY).revision == before


def test_a_pad_that_an_entry_stands_on_is_not_taken_away(store, olga):
    answer = edited(olga, "pads", **{"/field/pads/0/remove": "true"})
    assert answer.status_code == 422
    fault = fault_at(answer.text, "/field/pads/0/remove")
    assert "while n1 and n3 fly from it" in fault and "put them on another pad first" in fault
    assert len(header(store).field.pads) == 2
    none = edited(olga, "pads", **{f"/field/pads/{row}/remove": "true" for row in (0, 1)})
    assert none.status_code == 422 and "Found no pad; expected at least one." in none.text
    assert "a list of 0 values" not in none.text


def test_a_pad_that_an_entry_stands_on_keeps_its_name(store, olga):
    answer = edited(olga, "pads", **{"/field/pads/0/name": "North", "/field/pads/1/name": "South"})
    assert answer.status_code == 422 and "/entries/" not in answer.text
    first, second = (fault_at(answer.text, f"/field/pads/{row}/name") for row in (0, 1))
    assert 'Found another name, while n1 and n3 fly from "P1"; expected "P1" kept; or put them' in first
    assert first.endswith("on another pad first, on the page Pads.")
    assert 'n2 flies from "P2"' in second and "put it on another pad" in second


def test_a_rule_that_somebody_ticked_is_not_dropped_silently(store, olga):
    store.attestations.add(DAY, "", RULE, Attestation(by="Rita", at=NOW), "rita")
    answer = edited(olga, "codes", **{"/codes/practice": None})
    assert answer.status_code == 422
    assert f'"{RULE}" no longer asked for, while it is ticked for the day' in html.unescape(answer.text)


def test_a_motor_that_no_longer_fits_names_the_entries(store, olga):
    path = f"/days/{DAY}/motors/f30/edit"
    sent = typed(olga.get(path).text) | {"/diameter_m": "29"}
    answer = olga.client.post(path, data=sent)
    assert answer.status_code == 422 and "Entry n3, motor: found" in answer.text and "/entries/0" not in answer.text


def test_a_zone_is_added_changed_and_taken_away(store, olga):
    corners = "\n".join(f"{lat}, {lon}" for lon, lat in square(0.0005, LON_DEG - 0.004))
    new = {"/field/zones/2/name": "Cars", "/field/zones/2/kind": "parking", "/field/zones/2/geometry": corners}
    assert edited(olga, "zones", **new).status_code == 303
    zones = header(store).field.zones
    assert [each.name for each in zones] == ["Benches", "Farm track", "Cars"]
    assert zones[2].geometry.coordinates[0][0] == tuple(square(0.0005, LON_DEG - 0.004)[0])
    gone = {"/field/zones/0/remove": "true", "/field/zones/2/people": "-4"}
    answer = edited(olga, "zones", **gone)
    # the list has closed up over the first, yet the fault finds the third
    assert answer.status_code == 422 and 'id="f-field-zones-2-people-fault"' in answer.text
    assert edited(olga, "zones", **{"/field/zones/0/remove": "true"}).status_code == 303
    assert [each.name for each in header(store).field.zones] == ["Farm track", "Cars"]


KML = f"""<?xml version="1.0"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document><Placemark><name>Field</name><Polygon>
<outerBoundaryIs><LinearRing><coordinates>{" ".join(f"{lon},{lat},180" for lon, lat in square(0.011))}</coordinates>
</LinearRing></outerBoundaryIs></Polygon></Placemark></Document></kml>"""
GEOJSON = json.dumps({"type": "Feature", "properties": {"name": "Field"},
                      "geometry": {"type": "Polygon", "coordinates": [square(0.011)]}})  # fmt: skip
PASTED = "\n".join(f"{lat} {lon}" for lon, lat in square(0.011)[:-1])


@pytest.mark.parametrize(
    ("text", "as_file"),
    [(KML, True), (KML, False), (GEOJSON, True), (GEOJSON, False), (PASTED, False)],
    ids=["KML file", "KML text", "GeoJSON file", "GeoJSON text", "pasted"],
)
def test_a_boundary_comes_in_as_kml_geojson_or_coordinates(store, olga, text, as_file):
    """The same corners three ways give the same ring (RFC 7946 counts longitude first, people latitude)."""
    sent = typed(olga.get(f"{AT}/boundary").text)
    if as_file:
        sent["file"] = (io.BytesIO(text.encode()), "field.kml")
        drawn = olga.client.post(f"{AT}/boundary", data=sent, content_type="multipart/form-data")
        assert drawn.status_code == 200 and "not saved yet" in drawn.text
        assert store.days.header(DAY).revision == 1
        sent = typed(drawn.text)
    else:
        sent["/field/boundary"] = text
    assert olga.client.post(f"{AT}/boundary", data=sent).status_code == 303
    ring = header(store).field.boundary.coordinates[0]
    assert list(map(list, ring)) == square(0.011)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("46.9, -97.5\nhere", "line 2"),
        ("-32.1, -63.2", "at least 3"),
        ('{"type": "Polygon"', "GeoJSON"),
        ('{"type": "Point", "coordinates": [1, 2]}', "expected a polygon"),
        ("<kml>", "KML"),
        ("\n".join(f"{lon}, {lat}" for lon, lat in square(0.011)), "swapped"),
        ("\n".join(f"{lat + 3}, {lon}" for lon, lat in square(0.011)), "km"),
    ],
)
def test_a_boundary_that_cannot_be_is_refused_beside_its_field(store, olga, text, words):
    answer = edited(olga, "boundary", **{"/field/boundary": text})
    assert answer.status_code == 422, answer.text[:300]
    fault = re.search(r'id="f-field-boundary-fault">(.*?)</p>', answer.text, re.S)[1]
    assert words.lower() in html.unescape(fault).lower()
    assert typed(answer.text)["/field/boundary"] == text
    assert store.days.header(DAY).revision == 1


TWO = json.dumps({"type": "FeatureCollection", "features": [
    {"type": "Feature", "properties": {"name": name}, "geometry": {"type": "Polygon", "coordinates": [square(size)]}}
    for name, size in (("North field", 0.011), ("", 0.009))]})  # fmt: skip


@pytest.mark.parametrize("as_file", [True, False])
def test_one_of_two_areas_of_a_file_is_chosen_without_the_file_again(store, olga, as_file):
    sent = typed(olga.get(f"{AT}/boundary").text)
    sent |= {"file": (io.BytesIO(TWO.encode()), "two.geojson")} if as_file else {"/field/boundary": TWO}
    asked = olga.client.post(f"{AT}/boundary", data=sent, content_type="multipart/form-data")
    assert asked.status_code == 422
    assert "found 2 areas; expected one of them to be chosen" in fault_at(asked.text, "/which").lower()
    offered = re.search(r'<select id="f-which".*?</select>', asked.text, re.S)[0]
    assert re.findall(r'value="([^"]*)"', offered) == ["", "North field", "Area 2"]
    again = olga.client.post(f"{AT}/boundary", data=typed(asked.text) | {"/which": "Area 2"})
    assert again.status_code == 303
    assert list(map(list, header(store).field.boundary.coordinates[0])) == square(0.009)


def test_several_are_added_before_they_are_saved(store, olga):
    blank = typed(olga.get(f"{AT}/pads").text)
    assert typed(olga.client.post(f"{AT}/pads", data=blank | {"more": "1"}).text).keys() == blank.keys(), "one is blank"
    sent = blank
    for row, name in ((2, "North"), (3, "South"), (4, "East")):
        sent |= {f"/field/pads/{row}/name": name, f"/field/pads/{row}/position": f"{LAT_DEG + row * 1e-4}, {LON_DEG}",
                 f"/field/pads/{row}/guide_length_m": "2"}  # fmt: skip
        if row < 4:
            more = olga.client.post(f"{AT}/pads", data=sent | {"more": "1"})
            assert more.status_code == 200 and len(header(store).field.pads) == 2, "nothing is saved yet"
            assert "faulty" not in more.text and re.search(r'<details class="group" id="last" open>', more.text)
            sent = typed(more.text)
            assert sent[f"/field/pads/{row}/name"] == name and sent[f"/field/pads/{row + 1}/name"] == ""
            assert sent[f"/field/pads/{row + 1}/tilt_deg"] == blank["/field/pads/2/tilt_deg"] == "0"
    assert olga.client.post(f"{AT}/pads", data=sent).status_code == 303
    assert [each.name for each in header(store).field.pads] == ["P1", "P2", "North", "South", "East"]


WRITTEN = {
    "id": "club-wind", "protects": "flyers who walk out", "kind": "measured", "quantity": "surface_wind_mps",
    "unit": "m/s", "at_most": 7.5, "weight": "club",
    "source": {"clause": "Field rules, item 4", "edition": "2027-03-01", "known": "read", "checked_on": "2027-05-01"},
}  # fmt: skip


def test_a_rule_that_says_where_it_is_written_stands_in_fields(store, olga):
    assert edited(olga, "rules", **{"/local_rules/0/text": json.dumps(WRITTEN)}).status_code == 303
    (before,) = header(store).local_rules
    shown = typed(olga.get(f"{AT}/rules").text)
    assert shown["/local_rules/0/source/clause"] == "Field rules, item 4" and shown["/local_rules/0/text"] == ""
    assert edited(olga, "rules").status_code == 303 and header(store).local_rules == (before,)
    assert edited(olga, "rules", **{"/local_rules/0/at_most": "6"}).status_code == 303
    (after,) = header(store).local_rules
    assert after == before.model_copy(update={"at_most": (6.0,)})


def test_zones_of_a_file_are_put_into_the_form_first(store, olga):
    features = [
        {"type": "Feature", "properties": {"name": name}, "geometry": {"type": "Polygon", "coordinates": [ring]}}
        for name, ring in (("North lot", square(4e-4, LON_DEG, LAT_DEG + 0.006)), ("", square(4e-4, LON_DEG - 0.005)))
    ]
    data = json.dumps({"type": "FeatureCollection", "features": features}).encode()
    sent = typed(olga.get(f"{AT}/zones").text) | {"file_kind": "parking", "file": (io.BytesIO(data), "z.geojson")}
    drawn = olga.client.post(f"{AT}/zones", data=sent, content_type="multipart/form-data")
    assert drawn.status_code == 200 and len(header(store).field.zones) == 2
    assert olga.client.post(f"{AT}/zones", data=typed(drawn.text)).status_code == 303
    assert [(each.name, each.kind) for each in header(store).field.zones][2:] == [
        ("North lot", "parking"), ("Zone 4", "parking"),
    ]  # fmt: skip


def test_drawing_saves_nothing(store, olga):
    answer = edited(olga, "pads", **{"/field/pads/2/name": "P3", "/field/pads/2/position": "-32.1005, -63.2",
                                     "/field/pads/2/guide_length_m": "2", "draw": "1"})  # fmt: skip
    assert answer.status_code == 200 and "P3" in re.search(r"<svg.*?</svg>", answer.text, re.S)[0]
    assert len(header(store).field.pads) == 2


def test_two_organisers_at_once_the_later_is_told(store, people, new_browser):
    olga, root = new_browser("olga"), new_browser("root")
    old = typed(olga.get(f"{AT}/event").text)
    assert edited(root, "event", **{"/name": "Named by root"}).status_code == 303
    answer = olga.client.post(f"{AT}/event", data=old | {"/name": "Named by olga"})
    assert answer.status_code == 409 and "Somebody else was faster" in answer.text and "root" in answer.text
    assert 'value="Named by olga"' in answer.text and header(store).name == "Named by root"
    again = olga.client.post(f"{AT}/event", data=typed(answer.text))
    assert again.status_code == 303 and header(store).name == "Named by olga"


def test_ceilings_have_windows_and_rules_and_codes_are_chosen(store, olga):
    window = {"/ceiling/2/height_m": "3000", "/ceiling/2/datum": "msl", "/ceiling/2/from": "2028-07-09T13:00",
              "/ceiling/2/to": "2028-07-09T12:00"}  # fmt: skip
    answer = edited(olga, "ceiling", **window)
    assert answer.status_code == 422 and 'id="f-ceiling-2-to-fault"' in answer.text
    assert edited(olga, "ceiling", **{**window, "/ceiling/2/to": "2028-07-09T15:00"}).status_code == 303
    third = store.day_document(DAY).ceilings[2]
    assert (third.height_m, third.to_at.isoformat()) == (3000.0, "2028-07-09T15:00:00-03:00")
    assert edited(olga, "codes", **{"/codes/us-model": "true"}).status_code == 303
    assert set(header(store).codes) == {"practice", "us-model"}
    overview = olga.get(f"/days/{DAY}/organise").text
    assert "NAR Model Rocket Safety Code" in overview and "us-model" not in overview
    rule = {"/local_rules/0/id": "club-low", "/local_rules/0/protects": "the neighbours",
            "/local_rules/0/quantity": "apogee_m", "/local_rules/0/at_most": "400"}  # fmt: skip
    assert edited(olga, "rules", **rule).status_code == 303
    (kept,) = header(store).local_rules
    assert (kept.id, kept.at_most) == ("club-low", (400.0,))
    broken = edited(olga, "rules", **{"/local_rules/1/id": "club-none", "/local_rules/1/protects": "x"})
    assert broken.status_code == 422 and 'id="f-local_rules-1-id-fault"' in broken.text
    whole = {"/local_rules/1/text": json.dumps({"id": "club-two", "protects": "cars", "quantity": "apogee_m",
             "at_most": [300, 350], "applies": {"motor_count": {"over": 1}}})}  # fmt: skip
    assert edited(olga, "rules", **whole).status_code == 303
    assert edited(olga, "rules").status_code == 303  # and it comes back as it went out
    assert header(store).local_rules[1].at_most == (300.0, 350.0)


def test_policy_is_typed_in_per_cent(store, olga):
    sent = {"/policy/outside_stop": "4", "/mode_chances/no_deployment": "2.5", "/policy/spreads/impulse": "5"}
    assert edited(olga, "policy", **sent).status_code == 303
    kept = header(store)
    assert kept.policy.misfire_wait_s == 60.0
    assert (kept.policy.outside_stop, kept.mode_chances.no_deployment) == (0.04, 0.025)
    assert kept.policy.spreads == {"impulse": 0.05}
    answer = edited(olga, "policy", **{"/policy/samples": "1000", "/policy/outside_stop": "0.1"})
    assert answer.status_code == 422 and "power of two" in answer.text
    assert "at least “Outside the boundary: caution above”, 1 %" in answer.text


def test_the_wait_after_a_misfire_is_the_organisers(store, olga):
    short = edited(olga, "policy", **{"/policy/misfire_wait_s": "30"})
    assert short.status_code == 422
    assert "Found 30 s; expected a number from 60 to 3,600 s." in fault_at(short.text, "/policy/misfire_wait_s")
    assert edited(olga, "policy", **{"/policy/misfire_wait_s": "180"}).status_code == 303
    assert header(store).policy.misfire_wait_s == 180.0


def test_a_day_that_moves_takes_its_windows_along_and_weather_to_plan_with(store, olga):
    assert edited(olga, "event", **{"/date": "2028-07-16"}).status_code == 303
    day = store.day_document(DAY)
    assert day.date == date(2028, 7, 16) and "not measured" in day.conditions.source
    assert day.ceilings[1].from_at.isoformat() == "2028-07-16T10:00:00-03:00"
    assert len(day.entries) == 3 and read_day(day.model_dump_json(by_alias=True).encode()) == day


def test_a_new_day_from_nothing_and_one_after_it(store, people, new_browser):
    root = new_browser("root")
    sent = typed(root.get("/days/new").text) | {
        "/name": "Spring", "/date": "2029-05-05", "/timezone": "America/Argentina/Cordoba", "/field/name": "Caldén",
        "/field/elevation_m": "180", "/field/boundary": PASTED, "/field/pads/0/position": f"{LAT_DEG}, {LON_DEG}",
        "/field/pads/0/guide_length_m": "1.2", "/ceiling/0/height_m": "900",
    }  # fmt: skip
    answer = root.client.post("/days/new", data=sent | {"/date": "soon", "/field/boundary": "here"})
    assert answer.status_code == 422
    assert 'id="f-date-fault"' in answer.text and 'id="f-field-boundary-fault"' in answer.text
    assert not [at for at in sent if at.startswith("/codes/")], "nobody is given the codes of a country"
    answer = root.client.post("/days/new", data=sent)
    assert answer.status_code == 422 and "found no code ticked" in answer.text
    answer = root.client.post("/days/new", data=sent | {"/codes/us-high-power": "true"})
    assert answer.status_code == 303
    day_id = answer.headers["Location"].split("/")[2]
    day = store.day_document(day_id)
    assert day.entries == () and "not measured" in day.conditions.source and day.codes == ("us-high-power",)
    for path, words in (("", "No reading yet."), ("/weather", "wait for a first reading")):
        shown = root.get(f"/days/{day_id}{path}").text
        assert words in shown and "ahead of now" not in shown and "Observed" not in shown
    assert (day.date - day.conditions.observed_at.date()).days >= 1  # too old to rule by at any hour of the day
    follow = typed(root.get(f"/days/new?after={DAY}").text) | {"/name": "Next", "/date": "2028-08-09"}
    answer = root.client.post("/days/new", data=follow)
    assert answer.status_code == 303
    after = store.day_document(answer.headers["Location"].split("/")[2])
    before = store.day_document(DAY)
    assert (after.field, after.motors, after.policy) == (before.field, before.motors, before.policy)
    assert after.entries == () and [each.height_m for each in after.ceilings] == [900.0]


def test_a_document_goes_out_and_comes_in_as_another_day(store, people, new_browser):
    root = new_browser("root")
    out = root.get(f"/days/{DAY}/document.json")
    assert read_day(out.data) == store.day_document(DAY)
    data = {"csrf": root.csrf("/about"), "file": (io.BytesIO(out.data), "day.json"), "day_id": "again"}
    assert root.client.post("/days/import", data=data, content_type="multipart/form-data").status_code == 303
    assert store.day_document("again") == store.day_document(DAY)
    spoilt = small_day()
    spoilt["field"]["pads"][0]["guide_length_m"] = -1.0
    in_words = "<b>Pad 1 (P1), guide length</b>: found -1"
    bad = ((as_bytes(spoilt), in_words), (b"nothing", "JSON"), (out.data, "again"))
    for content, words in bad:
        data = {"csrf": root.csrf("/about"), "file": (io.BytesIO(content), "day.json"), "day_id": "again"}
        answer = root.client.post("/days/import", data=data, content_type="multipart/form-data")
        assert answer.status_code == 422 and words in answer.text


def test_organisers_of_one_day_make_no_other(olga):
    for path in ("/days/new", "/days/import"):
        assert olga.get(path).status_code == 403
