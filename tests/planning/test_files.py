"""What lies in the folder: GeoJSON by RFC 7946, KML that parses, JSON that reads back; whole or not at all."""

from __future__ import annotations

import itertools
import json
import os
import stat
from xml.etree import ElementTree

import pytest

from geo.gpx import read_gpx
from service.models.assessment import DayAssessment
from service.planning.assess import assess_day
from service.planning.files import assessment_files, write_whole
from tests.builders import HALF_DEG, LAT_DEG, LON_DEG
from tests.planning.quick import quick_day, too_heavy

KML = "{http://www.opengis.net/kml/2.2}"


@pytest.fixture(scope="module")
def written():
    day = quick_day()
    result = assess_day(day, "0" * 64)
    return day, result, assessment_files(day, result)


def twice_signed_area(ring) -> float:
    return sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in itertools.pairwise(ring))


def polygons(geometry):
    return geometry["coordinates"] if geometry["type"] == "MultiPolygon" else [geometry["coordinates"]]


def test_the_folder_holds_four_files(written):
    assert set(written[2]) == {"assessment.json", "footprints.geojson", "footprints.kml", "recovery.gpx"}


def test_assessment_json_reads_back_as_it_was(written):
    _day, result, files = written
    assert DayAssessment.model_validate_json(files["assessment.json"]) == result
    assert b"NaN" not in files["assessment.json"] and b"Infinity" not in files["assessment.json"]


def test_geojson_is_rfc_7946(written):
    """3.1.1 longitude first; 3.1.6 rings closed, of four positions or more, outside anticlockwise, holes clockwise."""
    collection = json.loads(written[2]["footprints.geojson"])
    assert collection["type"] == "FeatureCollection" and "crs" not in collection  # 4: no other reference system
    shapes = 0
    for feature in collection["features"]:
        assert feature["type"] == "Feature" and isinstance(feature["properties"], dict)
        if feature["geometry"]["type"] not in ("Polygon", "MultiPolygon"):
            continue
        for rings in polygons(feature["geometry"]):
            for number, ring in enumerate(rings):
                assert len(ring) >= 4 and ring[0] == ring[-1]
                assert (twice_signed_area(ring) > 0.0) == (number == 0)
                shapes += 1
                for lon, lat in ring:
                    assert abs(lon - LON_DEG) < 3 * HALF_DEG and abs(lat - LAT_DEG) < 3 * HALF_DEG
    assert shapes >= 3 * 3 * 2


def test_every_mode_of_every_entry_has_its_contours_and_landing(written):
    _day, result, files = written
    features = json.loads(files["footprints.geojson"])["features"]
    for each in result.assessments:
        mine = [f["properties"] for f in features if f["properties"].get("entry") == each.entry]
        for footprint in each.footprints:
            mode = [p for p in mine if p["mode"] == footprint.mode]
            assert [p["share"] for p in mode if "share" in p] == [0.5, 0.95, 0.99]
            assert sum(1 for p in mode if p["kind"] == "landing") == 1
            for p in mode:
                assert p["standing"] == each.standing
                if "share" in p:
                    assert p["chance_inside"] == footprint.inside.estimate and p["assessment"] == each.id
    landing = next(f for f in features if f["properties"]["name"] == "n1 recovery as planned")
    expected = next(a for a in result.assessments if a.entry == "n1").footprint("planned").landing
    assert tuple(landing["geometry"]["coordinates"]) == expected


def test_the_field_is_there_too(written):
    day, _result, files = written
    features = json.loads(files["footprints.geojson"])["features"]
    kinds = [f["properties"]["kind"] for f in features]
    assert kinds.count("boundary") == 1 and kinds.count("pad") == 2 and "people" in kinds and "road" in kinds
    pad = next(f for f in features if f["properties"]["name"] == "Pad P1")
    assert pad["geometry"] == {"type": "Point", "coordinates": list(day.field.pads[0].position)}
    benches = next(f for f in features if f["properties"]["name"] == "Benches")
    assert benches["properties"]["people"] == 25


def test_kml_parses_and_says_the_same(written):
    _day, _result, files = written
    root = ElementTree.fromstring(files["footprints.kml"])
    placemarks = list(root.iter(f"{KML}Placemark"))
    features = json.loads(files["footprints.geojson"])["features"]
    assert [p.findtext(f"{KML}name") for p in placemarks] == [f["properties"]["name"] for f in features]
    styles = {f"#{style.get('id')}" for style in root.iter(f"{KML}Style")}
    assert {p.findtext(f"{KML}styleUrl") for p in placemarks} <= styles
    for placemark in placemarks:
        for coordinates in placemark.iter(f"{KML}coordinates"):
            for position in coordinates.text.split():
                lon, lat = (float(number) for number in position.split(",")[:2])
                assert abs(lon - LON_DEG) < 3 * HALF_DEG and abs(lat - LAT_DEG) < 3 * HALF_DEG


def test_an_entry_that_could_not_be_flown_leaves_no_shape():
    day = quick_day(too_heavy)
    result = assess_day(day, "0" * 64, entries=["n1"])
    files = assessment_files(day, result)
    features = json.loads(files["footprints.geojson"])["features"]
    assert not [f for f in features if "entry" in f["properties"]]
    assert json.loads(files["assessment.json"])["assessments"][0]["estimate"] is None


def test_names_with_markup_stay_text():
    def rename(document):
        document["name"] = document["field"]["name"] = 'Caldén <b>& "sons"</b>'
        document["entries"][0]["rocket"]["name"] = "<Hornero> & co"

    day = quick_day(rename)
    files = assessment_files(day, assess_day(day, "0" * 64, entries=["n1"]))
    root = ElementTree.fromstring(files["footprints.kml"])
    assert root.find(f"{KML}Document/{KML}name").text.startswith('Caldén <b>& "sons"</b>')
    assert json.loads(files["footprints.geojson"])["name"] == 'Caldén <b>& "sons"</b>'


def test_a_file_is_written_with_its_folder(tmp_path):
    path = tmp_path / "a" / "b" / "file.bin"
    write_whole(path, b"first")
    write_whole(path, b"second")
    assert path.read_bytes() == b"second" and os.listdir(path.parent) == ["file.bin"]
    assert stat.S_IMODE(path.stat().st_mode) == 0o644


@pytest.mark.parametrize("call", ["replace", "chmod", "fdopen"])
@pytest.mark.parametrize("interruption", [OSError("disk full"), KeyboardInterrupt()])
def test_an_interruption_leaves_the_old_file_and_no_half(tmp_path, monkeypatch, call, interruption):
    path = tmp_path / "file.bin"
    path.write_bytes(b"old")

    def interrupted(*_arguments, **_options):
        raise interruption

    monkeypatch.setattr(f"service.planning.files.os.{call}", interrupted)
    with pytest.raises(type(interruption)):
        write_whole(path, b"new")
    monkeypatch.undo()
    assert path.read_bytes() == b"old" and os.listdir(tmp_path) == ["file.bin"]


def test_the_search_file_holds_each_landing_and_its_ground(written):
    """GPX 1.1: waypoints for pads and expected landings, tracks for the 95 % contours."""
    day, result, files = written
    found = read_gpx(files["recovery.gpx"])
    points = {each.name: each.geometry for each in found if each.geometry.geom_type == "Point"}
    for each in result.assessments:
        planned = each.footprint("planned")
        assert points[each.entry].coords[0] == pytest.approx(planned.landing, abs=1e-6)
    tracks = {each.name for each in found if each.kind == "track"}
    assert {f"{each.entry} 95 %" for each in result.assessments} <= tracks
    assert all(f"Pad {pad.name}" in points for pad in day.field.pads)
