"""Pictures: one drawing, two writers, nothing outside its frame, no label on another."""

import dataclasses
import io
import math
import xml.etree.ElementTree as ET

import pytest
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas

from reports.amounts import STANDINGS_WORST_FIRST
from reports.drawings.field_map import DayFootprint, day_map, field_map
from reports.drawings.height_time import height_time
from reports.drawings.rocket_outline import Outline, rocket_outline
from reports.drawings.standing_mark import standing_mark
from reports.drawings.wind_profile import wind_profile
from reports.errors import UnevenSeries
from reports.ground_data import Contour, FieldPlan, Footprint, PadMark, Zone
from reports.pdf import draw_scene
from reports.scene import Area, Cut, Label, Scene, overlap, walk
from reports.sheet_data import Event, Flight, WindLayer
from reports.svg import style_sheet, svg_file, write_svg
from tests.reports.held import held_to_a_phone, held_to_its_frame
from tests.reports.sample import CONDITIONS, FIELD, HERON, PLOVER, REED, WREN, ellipse

SVG = "{http://www.w3.org/2000/svg}"
WIND = CONDITIONS.wind[0]
FASTER = WindLayer(10.0, 11.8, 247.0, 15.6)
DAY = tuple(DayFootprint(entry.entry_id, entry.standing, entry.footprints[0]) for entry in (HERON, PLOVER, REED, WREN))
FAR_OFF = Footprint("planned", (Contour(0.95, (ellipse(9000, 9000, 800, 300, 40),)),), chance_inside=0.0)
NAN_FIELD = FieldPlan(
    "Broken",
    (((0, 0), (math.nan, 5), (400, 0), (400, 300), (0, 300)),),
    (Zone("x" * 200, "trees", (((10, 10), (20, 10), (math.inf, 20)),)), Zone("nowhere", "water", ((),))),
    (PadMark("p" * 90, (math.nan, 0.0)), PadMark("p" * 90, (50.0, 50.0))),
)


def pictures() -> dict[str, Scene]:
    flight = Flight((0.0, 3.0, 40.0), (0.0, 4000.0, 0.0), tuple(Event("e" * 80, 1.0 * i, 10.0) for i in range(30)))
    layers = tuple(WindLayer(10.0 * i, 3.0 + i % 4, 200.0 + 7 * i, 9.0) for i in range(40))
    return {
        "entry map": field_map(FIELD, REED.footprints, WIND, "si", 270, 230, "A1"),
        "entry map, outside": field_map(FIELD, HERON.footprints, WIND, "us", 270, 230, "C1"),
        "map without footprint": field_map(FIELD, PLOVER.footprints, None, "si", 270, 230, "B1"),
        "map with a footprint far off": field_map(FIELD, (FAR_OFF,), WIND, "si", 270, 230),
        "map of a broken field": field_map(NAN_FIELD, (), WindLayer(2.0, math.nan, 0.0), "si", 200, 160),
        "map of nothing": field_map(FieldPlan("Empty", ()), (), None, "us", 200, 160),
        "day map": day_map(FIELD, DAY, WIND, "si", 290, 260),
        "day map, sixty": day_map(FIELD, DAY * 15, WIND, "us", 290, 260),
        "day map, none": day_map(FIELD, (), WIND, "si", 290, 260),
        "entry map, narrow": field_map(FIELD, REED.footprints, FASTER, "us", 162, 240, "A1"),
        "day map, narrow": day_map(FIELD, DAY, WIND, "si", 162, 240),
        "flight, narrow": height_time(REED.flight, 1500.0, "us", 162, 190),
        "flight, narrow, many moments": height_time(flight, 5000.0, "si", 162, 190),
        "wind, narrow": wind_profile(CONDITIONS.wind, "us", 162, 190),
        "wind, narrow, forty": wind_profile(layers, "us", 162, 190),
        "no wind, narrow": wind_profile((), "si", 162, 190),
        "outline, narrow": rocket_outline(Outline(((0.0, 0.0), (0.9, 0.02)), (), None, 0.5, 0.6, 1.6), "us", 208, 125),
        "day map, narrow, sixty": day_map(FIELD, DAY * 15, WIND, "us", 162, 240),
        "flight": height_time(REED.flight, 1500.0, "si", 330, 105),
        "flight over the ceiling": height_time(HERON.flight, 1500.0, "us", 330, 105),
        "flight, many moments": height_time(flight, math.nan, "si", 330, 105),
        "no flight": height_time(None, 1500.0, "si", 330, 105, "w" * 300),
        "wind": wind_profile(CONDITIONS.wind, "si", 180, 105, 412.0),
        "wind, forty layers": wind_profile(layers, "us", 180, 105, math.nan),
        "no wind": wind_profile((), "si", 180, 105),
        **{standing: standing_mark(standing, 12.0) for standing in STANDINGS_WORST_FIRST},
    }


PICTURES = pictures()
each_picture = pytest.mark.parametrize("scene", PICTURES.values(), ids=PICTURES.keys())


@each_picture
def test_nothing_is_drawn_outside_the_picture(scene):
    left, top, right, bottom = scene.bounds()
    assert left >= -0.01 and top >= -0.01
    assert right <= scene.width + 0.01 and bottom <= scene.height + 0.01


@each_picture
def test_svg_is_well_formed_named_and_holds_every_label(scene):
    root = ET.fromstring(write_svg(scene, "p1"))
    assert root.find(f"{SVG}title").text == scene.title
    assert root.get("role") == "img" and root.get("aria-labelledby") == "p1-title p1-desc"
    assert [text.text for text in root.iter(f"{SVG}text")] == scene.labels()
    assert "nan" not in "".join(root.itertext()).lower().split() and "inf" not in write_svg(scene).split('"')


@each_picture
def test_paper_holds_the_same_labels(scene):
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(scene.width, scene.height), invariant=1)
    draw_scene(scene, canvas, 0.0, 0.0)
    canvas.save()
    text = "".join(PdfReader(out).pages[0].extract_text().split())
    for label in scene.labels():
        assert "".join(label.split()) in text


@pytest.mark.parametrize("name", [name for name in PICTURES if "narrow" in name])
def test_letters_on_a_phone_are_large_enough_and_apart(name):
    held_to_its_frame(PICTURES[name])
    held_to_a_phone(PICTURES[name])


def test_on_a_phone_moments_stand_under_the_plot_and_the_wind_is_whole():
    labels = PICTURES["flight, narrow"].labels()
    assert any(label.startswith("apogee, ") for label in labels) and "ceiling 4,921 ft: above this plot" in labels
    wind = PICTURES["entry map, narrow"].labels()
    assert "wind 26.4 mph" in wind and "from 247° (SW)" in wind
    assert any(text.startswith("at ") and text.endswith(" mph") for text in wind)
    assert "3, 4" in labels and "1\N{EN DASH}12" in PICTURES["flight, narrow, many moments"].labels()  # close together


def test_on_a_phone_the_key_names_the_people_for_whom_the_map_has_no_room():
    """By construction: benches so near to one another that one name at most finds a place beside them."""
    side = 3000.0
    people = tuple(
        Zone(f"Benches {number}", "people", (((x, 0.0), (x + 5.0, 0.0), (x + 5.0, 5.0), (x, 5.0)),))
        for number, x in enumerate((0.0, 12.0, 24.0, 36.0, 48.0, 60.0))
    )
    corners = ((-side, -side), (side, -side), (side, side), (-side, side))
    for width, height in ((162.0, 150.0), (162.0, 240.0)):
        scene = field_map(
            FieldPlan("Field", (corners,), people, (PadMark("A1", (30.0, 60.0)),)), (), WIND, "si", width, height
        )
        on_map = {label for label in scene.labels() if label.startswith("Benches")}
        (key,) = (label for label in scene.labels() if label.startswith("people"))
        assert on_map and len(on_map) < len(people) and next(z.name for z in people if z.name not in on_map) in key
        held_to_its_frame(scene)


@pytest.mark.parametrize("name", [name for name in PICTURES if "map" in name])
def test_no_label_of_a_map_covers_another(name):
    labels = [shape for shape in walk(PICTURES[name].shapes) if isinstance(shape, Label)]
    for i, one in enumerate(labels):
        for other in labels[i + 1 :]:
            assert not overlap(one.box(-0.6), other.box(-0.6)), (one.text, other.text)


def test_the_map_says_what_the_range_officer_looks_for():
    labels = PICTURES["entry map"].labels()
    for words in ("wind 3.5 m/s from 220° (SW)", "N", "200 m", "pad A1", "140 m to edge, NE", "Flight line (60)"):
        assert words in labels
    assert "85 m outside, NE" in field_map(FIELD, HERON.footprints, WIND, "si", 270, 230).labels()
    assert "footprint UNKNOWN" in PICTURES["map without footprint"].labels()
    assert "wind UNKNOWN" in PICTURES["map without footprint"].labels()
    assert "contours run on beyond this map" in PICTURES["map with a footprint far off"].labels()
    assert "footprint UNKNOWN: e-15" in PICTURES["day map"].labels()


def test_a_ballistic_contour_is_drawn_in_a_line_of_its_own():
    shapes = [s for s in walk(PICTURES["entry map"].shapes) if isinstance(s, Area) and "contour" in s.name]
    dashes = {s.name.split("-")[-1]: s.look.dash for s in shapes}
    assert dashes.keys() == {"planned", "ballistic"}
    assert dashes["ballistic"] not in {s.look.dash for s in shapes if s.name.endswith("planned")}


def test_standings_differ_in_outline_not_only_in_colour():
    def outline(standing):
        shapes = [s for s in walk(standing_mark(standing).shapes) if not isinstance(s, Label)]
        return [(type(s).__name__, bool(s.look.fill), bool(s.look.stroke)) for s in shapes if not isinstance(s, Cut)]

    outlines = [tuple(outline(standing)) for standing in STANDINGS_WORST_FIRST]
    assert len(set(outlines)) == len(outlines)


def test_markup_in_names_stays_text():
    plan = dataclasses.replace(FIELD, pads=(PadMark("<b>&\x00\"'", (0, 0)),), zones=())
    svg = write_svg(field_map(plan, (), WIND, "si", 270, 230))
    assert any("<b>&" in (text.text or "") for text in ET.fromstring(svg).iter(f"{SVG}text"))


def test_a_page_can_carry_the_colours_once():
    scene = PICTURES["flight"]
    assert "<style>" not in write_svg(scene, standalone=False)
    assert "prefers-color-scheme:dark" in style_sheet() and "var(--rh-ink," in style_sheet()
    assert 'fill="#' in write_svg(scene, standalone=False)  # readable where no style sheet comes along


def test_why_a_margin_is_not_known_is_told_whole():
    why = "the normal force of the whole airframe is not above zero; look at the fins, which are behind the tail"
    rocket = Outline(((0.0, 0.0), (0.14, 0.02), (0.86, 0.02)), cp_from_nose_m=0.62, why_unknown=why)
    for wide, tall in ((270.0, 150.0), (520.0, 170.0)):
        scene = rocket_outline(rocket, "si", wide, tall)
        words = " ".join(s.text for s in walk(scene.shapes) if isinstance(s, Label) and s.name == "margin")
        assert words == f"static margin UNKNOWN: {why}"
        left, top, right, bottom = scene.bounds()
        assert left >= 0.0 and top >= 0.0 and right <= wide and bottom <= tall


def test_times_and_heights_that_do_not_belong_together_are_refused():
    with pytest.raises(UnevenSeries, match="3 times and 2 heights"):
        height_time(Flight((0.0, 1.0, 2.0), (0.0, 1.0)), None, "si", 330, 105)


def test_a_file_of_its_own_has_paper_under_all_of_it():
    """Ink and paper turn dark together: a viewer that lays white under a picture shows no light ink on it."""
    scene = field_map(FIELD, (), WIND, "si", 270, 230)
    root = ET.fromstring(svg_file(scene, "map"))
    style, paper = root.find(f"{SVG}style"), root.find(f"{SVG}rect")
    assert style is not None and paper is not None and ".rh-fill-paper{" in (style.text or "")
    shown = [float(each) for each in root.get("viewBox").split()]
    covered = [float(paper.get(each)) for each in ("x", "y", "width", "height")]
    assert paper.get("class") == "rh-fill-paper" and covered == shown == [-10, -10, 290, 250]
    first = list(root)[3]
    assert first is paper, "before everything that is drawn"
    assert (root.get("width"), root.get("height")) == ("290", "250")
    inside = ET.fromstring(write_svg(scene, "map", standalone=False))
    assert inside.find(f"{SVG}rect") is None and inside.get("viewBox") == "0 0 270 230"
