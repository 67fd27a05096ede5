"""GeoJSON, KML and GPX: there and back, hostile and broken texts, words that XML cannot hold."""

import io
import json
import zipfile
from xml.etree import ElementTree

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from geo.boundary import read_boundary, read_zone
from geo.errors import BadFile, GeoError
from geo.features import Feature, for_file
from geo.files import read_shapes
from geo.geojson import geojson_shapes, parse_geojson, to_geojson, write_geojson
from geo.gpx import read_gpx, write_gpx
from geo.kml import STYLES, kml_shapes, write_kml

FIELD = shapely.Polygon(
    [(-97.52, 46.91), (-97.51, 46.91), (-97.508, 46.92), (-97.52, 46.918)],
    [[(-97.516, 46.912), (-97.516, 46.914), (-97.514, 46.914)]],
)
FEATURES = [
    Feature("Heron Meadow", FIELD, "boundary", "Mown & dry", {"width_m": 760.5}),
    Feature("Mill lane", shapely.LineString([(-97.53, 46.905), (-97.50, 46.905), (-97.49, 46.91)]), "road"),
    Feature("A1", shapely.Point(-97.515, 46.915), "pad"),
    Feature("99 %", shapely.MultiPolygon([FIELD, shapely.box(-97.50, 46.90, -97.49, 46.91)]), "contour_99"),
]


def test_geojson_there_and_back():
    text = write_geojson(FEATURES, about={"title": "Spring launch"})
    shapes = geojson_shapes(text.encode())
    assert [name for name, _ in shapes] == [feature.name for feature in FEATURES]
    for feature, (_, geojson) in zip(FEATURES, shapes, strict=True):
        read = read_zone(geojson)
        assert read.remarks == []
        assert read.geometry.normalize().equals_exact(feature.geometry.normalize(), 1e-7)
    properties = json.loads(text)["features"][0]["properties"]
    assert properties == {"name": "Heron Meadow", "kind": "boundary", "description": "Mown & dry", "width_m": 760.5}


def test_kml_there_and_back():
    shapes = kml_shapes(write_kml(FEATURES, "Spring launch"))
    assert [name for name, _ in shapes] == ["Heron Meadow", "Mill lane", "A1", "99 %", "99 %"]
    field = read_boundary(shapes[0][1])
    assert field.remarks == []
    assert field.geometry.normalize().equals_exact(FIELD.normalize(), 1e-7)
    assert read_zone(shapes[1][1]).geometry.equals_exact(FEATURES[1].geometry, 1e-7)
    assert read_zone(shapes[2][1]).geometry.equals_exact(FEATURES[2].geometry, 1e-7)


def test_kml_names_the_style_it_uses():
    root = ElementTree.fromstring(write_kml([*FEATURES, Feature("odd", shapely.Point(0, 0), "no such kind")]))
    ns = {"k": "http://www.opengis.net/kml/2.2"}
    styles = {f"#{style.get('id')}" for style in root.iterfind(".//k:Style", ns)}
    used = {url.text for url in root.iterfind(".//k:styleUrl", ns)}
    assert used == styles == {"#style-boundary", "#style-road", "#style-pad", "#style-contour_99", "#style-plain"}
    assert root.find(".//k:Data[@name='width_m']/k:value", ns).text == "760.5"
    for line, _, fill in STYLES.values():
        assert len(line) == len(fill) == 8 and int(line + fill, 16) >= 0


def test_gpx_there_and_back():
    track = Feature("walk", shapely.LineString([(-97.51, 46.91), (-97.512, 46.912)]), "track")
    found = read_gpx(write_gpx([*FEATURES[:3], track], "Search"))
    assert [(feature.name, feature.kind, feature.geometry.geom_type) for feature in found] == [
        ("A1", "", "Point"),
        ("Mill lane", "", "LineString"),
        ("Heron Meadow", "track", "LineString"),
        ("Heron Meadow", "track", "LineString"),
        ("walk", "track", "LineString"),
    ]
    assert found[0].geometry.equals(FEATURES[2].geometry)
    assert shapely.LineString(FIELD.exterior).equals_exact(found[2].geometry, 1e-7)
    assert found[2].description == "Mown & dry; width_m: 760.5"


def test_gpx_keeps_the_order_of_its_schema():
    # GPX 1.1 schema, gpxType: a sequence of metadata, wpt, rte, trk
    root = ElementTree.fromstring(write_gpx(FEATURES))
    tags = [child.tag.rpartition("}")[2] for child in root]
    assert tags == sorted(tags, key=["metadata", "wpt", "rte", "trk"].index) and len(set(tags)) == 4
    assert root.tag == "{http://www.topografix.com/GPX/1/1}gpx" and root.get("version") == "1.1" and root.get("creator")


def test_shapes_across_the_antimeridian_are_cut():
    # RFC 7946, section 3.1.9
    across = shapely.box(179.99, -16.8, 180.02, -16.79)
    cut = for_file(across)
    assert cut.geom_type == "MultiPolygon"
    assert sorted(part.bounds for part in cut.geoms) == [
        (-180.0, -16.8, -179.98, -16.79),
        (179.99, -16.8, 180.0, -16.79),
    ]
    again = read_boundary(to_geojson([Feature("x", across)])["features"][0])
    assert again.geometry.area == pytest.approx(across.area, rel=1e-9)
    assert for_file(shapely.LineString([(179.9, 0), (180.1, 0)])).geom_type == "MultiLineString"
    beyond = for_file(shapely.box(180.0, 0.0, 180.02, 0.01))  # touches, does not cross
    assert beyond.geom_type == "Polygon" and beyond.bounds == (-180.0, 0.0, -179.98, 0.01)
    assert for_file(shapely.Point(180.5, 1.0)).equals(shapely.Point(-179.5, 1.0))


KML = '<?xml version="1.0"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document>{}</Document></kml>'
RING = "-97.52,46.91,0 -97.51,46.91,0 -97.508,46.92,0 -97.52,46.91,0"


def test_kml_of_other_hands():
    text = KML.format(
        "<Folder><Placemark><name> Field </name><Polygon><outerBoundaryIs><LinearRing><coordinates>\n"
        f"{RING}\n</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark></Folder>"
        f"<Placemark><LinearRing><coordinates>{RING}</coordinates></LinearRing></Placemark>"
        "<Placemark><MultiGeometry><Point><coordinates>1,2</coordinates></Point></MultiGeometry></Placemark>"
        "<Placemark><name>only a name</name></Placemark>"
    )
    for data in (
        text,
        text.encode(),
        text.replace("2.2", "2.3"),
        text.replace(' xmlns="http://www.opengis.net/kml/2.2"', ""),
    ):
        shapes = kml_shapes(data)
        assert [(name, shape["type"]) for name, shape in shapes] == [
            ("Field", "Polygon"),
            ("", "Polygon"),
            ("", "Point"),
        ]
    assert read_boundary(shapes[0][1]).remarks == []
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("doc.kml", text)
    assert kml_shapes(packed.getvalue()) == shapes


BOMB = '<!DOCTYPE k [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]><kml>&b;</kml>'
OUTSIDE = '<!DOCTYPE k [<!ENTITY a SYSTEM "file:///etc/hostname">]><kml>&a;</kml>'


@pytest.mark.parametrize(
    "text,words",
    [
        (BOMB, "document type"),
        (OUTSIDE, "document type"),
        ("", "no element found"),
        ("hello", "line 1"),
        ("<kml><Document></kml>", "mismatched tag"),
        ("<kml>&undefined;</kml>", "undefined entity"),
        ("<svg/>", "<svg>"),
        (b"\xff\xfe\x00", "line 1"),
        (b'<?xml version="1.0" encoding="klingon"?><kml/>', "encoding"),
        ("<kml>" + "<a>" * 100, "nested too deep"),
        ("<kml>" + " " * 8_000_001, "at most 8,000,000"),
        (b"PK\x03\x04 but no archive", "KMZ"),
        (
            KML.format("<Placemark><name>F</name><Point><coordinates>a,b</coordinates></Point></Placemark>"),
            "/Placemark/0 (F)",
        ),
        (KML.format("<Placemark><Point><coordinates>1;2</coordinates></Point></Placemark>"), "'1;2'"),
        (KML.format("<Placemark><Point><coordinates>1,2 3,4</coordinates></Point></Placemark>"), "2 positions"),
        (KML.format("<Placemark><Point/></Placemark>"), "0 positions"),
    ],
)
def test_broken_and_hostile_kml_is_refused(text, words):
    with pytest.raises(BadFile) as caught:
        kml_shapes(text)
    assert words in str(caught.value)


def test_a_lying_archive_is_refused():
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("doc.kml", "<kml>" + " " * 20_000_000)
    with pytest.raises(BadFile, match="at most"):
        kml_shapes(packed.getvalue())
    empty = io.BytesIO()
    with zipfile.ZipFile(empty, "w") as archive:
        archive.writestr("readme.txt", "nothing")
    with pytest.raises(BadFile, match=r"no \.kml"):
        kml_shapes(empty.getvalue())


def test_kml_numbers_that_are_none_are_caught_by_the_boundary():
    text = KML.format(f"<Placemark><LinearRing><coordinates>nan,1 {RING}</coordinates></LinearRing></Placemark>")
    with pytest.raises(GeoError, match=r"/coordinates/0/0: .*finite"):
        read_boundary(kml_shapes(text)[0][1])


@pytest.mark.parametrize(
    "text,words",
    [
        (BOMB, "document type"),
        ("<kml/>", "<kml>"),
        ('<gpx><wpt lat="1"/></gpx>', "lon None"),
        ('<gpx><wpt lat="x" lon="1"/></gpx>', "'x'"),
        ('<gpx><wpt lat="nan" lon="1"/></gpx>', "numbers"),
        ('<gpx><wpt lat="95" lon="1"/></gpx>', "not on the Earth"),
    ],
)
def test_broken_gpx_is_refused(text, words):
    with pytest.raises(GeoError) as caught:
        read_gpx(text)
    assert words in str(caught.value)


@pytest.mark.parametrize(
    "text,words",
    [
        ("", "line 1"),
        ("[1, 2]", "object with a type"),
        ("{}", "object with a type"),
        ('{"type": 7}', "object with a type"),
        ('{"type": "Point", "coordinates": [NaN, 1]}', "NaN"),
        ('{"type": "Point", "coordinates": [-Infinity, 1]}', "-Infinity"),
        ('{"type": "Point", "coordinates": [1,]}', "line 1, column"),
        (b"\xff\xfe{", "UTF-8"),
        ("[" * 100_000, "nested too deep"),
        ("9" * 5000, "GeoJSON"),
        (" " * 8_000_001, "at most"),
    ],
)
def test_broken_geojson_is_refused(text, words):
    with pytest.raises(BadFile) as caught:
        parse_geojson(text)
    assert words in str(caught.value)


@pytest.mark.parametrize(
    "text,path",
    [
        ('{"type": "FeatureCollection"}', "/features"),
        ('{"type": "FeatureCollection", "features": [7]}', "/features/0/geometry"),
        ('{"type": "FeatureCollection", "features": [{"geometry": null}]}', "/features/0/geometry"),
    ],
)
def test_collections_without_shapes_are_refused(text, path):
    with pytest.raises(BadFile) as caught:
        geojson_shapes(text)
    assert caught.value.path == path


def test_what_json_cannot_hold_is_not_written():
    with pytest.raises(BadFile, match="cannot be written"):
        write_geojson([Feature("x", shapely.Point(0, 0), properties={"chance": float("nan")})])
    with pytest.raises(BadFile, match="GeometryCollection"):
        write_kml([Feature("x", shapely.GeometryCollection([shapely.Point(0, 0)]))])


@settings(max_examples=100, deadline=None)
@given(st.text(max_size=30), st.text(max_size=30))
def test_any_name_and_words_can_be_written_and_read(name, words):
    feature = Feature(name, shapely.Point(1.0, 2.0), description=words, properties={words: name})
    assert len(kml_shapes(write_kml([feature], title=words))) == 1
    assert len(read_gpx(write_gpx([feature], title=words))) == 1
    assert parse_geojson(write_geojson([feature]))["features"][0]["geometry"]["coordinates"] == [1.0, 2.0]


def test_files_are_told_apart_by_how_they_begin():
    point = [("", {"type": "Point", "coordinates": [1.0, 2.0]})]
    geojson = b'\xef\xbb\xbf \n{"type": "Point", "coordinates": [1.0, 2.0]}'
    kml = KML.format("<Placemark><Point><coordinates>1,2</coordinates></Point></Placemark>")
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("doc.kml", kml)
    wide = kml.replace('"1.0"', '"1.0" encoding="UTF-16"').encode("utf-16")
    for data in (geojson, kml.encode(), packed.getvalue(), wide):
        assert read_shapes(data) == point
    for data in (b"", b"lon,lat\n1,2", b"\x89PNG"):
        with pytest.raises(BadFile, match="begins with"):
            read_shapes(data)
