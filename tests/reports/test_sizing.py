"""The report on a field's size, read back from the PDF, and its pictures."""

from __future__ import annotations

import dataclasses
import io
import re

import pytest
from pypdf import PdfReader

from reports.drawings.month_hours import month_hours
from reports.drawings.share_grid import inside_words, share_grid
from reports.drawings.site_map import notice_map, site_map
from reports.drawings.wind_rose import wind_rose
from reports.errors import UnknownChoice
from reports.scene import Area, Label, walk
from reports.sentences import DEFERRAL
from reports.sizing import render_sizing
from reports.sizing_data import SitePlan
from tests.reports.golden import page_texts
from tests.reports.held import ON_A_PHONE, held_to_a_phone, held_to_its_frame, held_to_svg
from tests.reports.sizing_sample import CLASSES, LETTERS, MONTHS, PLAN, REPORT, SITE

FORMS = [("A4", "si"), ("A4", "us"), ("letter", "si"), ("letter", "us")]
FEW = dataclasses.replace(  # winds that find room on a phone
    REPORT, winds_mps=REPORT.winds_mps[::3], winds_share=REPORT.winds_share[::3],
    classes=tuple(dataclasses.replace(row, cells=row.cells[::3]) for row in REPORT.classes),
)  # fmt: skip
EMPTY = dataclasses.replace(REPORT, winds_mps=(), winds_share=(), classes=())

PICTURES = {
    f"{name} {width}": draw(width)
    for width in (ON_A_PHONE, 216.0, 520.0)
    for name, draw in {
        "grid si": lambda wide: share_grid(REPORT if wide > ON_A_PHONE else FEW, "si", wide),
        "grid us": lambda wide: share_grid(REPORT if wide > ON_A_PHONE else FEW, "us", wide),
        "grid, nothing": lambda wide: share_grid(EMPTY, "si", wide),
        "hours": lambda wide: month_hours(MONTHS, wide, "America/Chicago"),
        "hours, none": lambda wide: month_hours((), wide, "America/Chicago"),
        "map": lambda wide: site_map(PLAN, SITE, "si", wide, wide),
        "map, nothing found": lambda wide: site_map(PLAN, SitePlan(), "si", wide, wide),
        "notice": lambda wide: notice_map(PLAN, SITE, "us", wide, wide),
        "notice, unknown": lambda wide: notice_map(PLAN, SitePlan(), "si", wide, wide),
        "rose": lambda wide: wind_rose(REPORT.rose, "us", wide, wide),
        "rose, none": lambda wide: wind_rose((), "si", wide, wide),
    }.items()
}
each_picture = pytest.mark.parametrize("scene", PICTURES.values(), ids=PICTURES.keys())


@pytest.fixture(scope="module")
def printed():
    return {form: render_sizing(REPORT, *form) for form in FORMS}


def flat(pdf: bytes) -> str:
    return re.sub(r"\s+", " ", " ".join(page_texts(pdf)).replace("\u00a0", " "))


@pytest.mark.parametrize("form", FORMS)
def test_every_page_defers_and_is_numbered(printed, form):
    pages = page_texts(printed[form])
    for number, text in enumerate(pages, start=1):
        assert f"page {number} of {len(pages)}" in text and DEFERRAL in text
        assert REPORT.engine_version in text and "Invented code" in text


def test_the_same_report_gives_the_same_bytes(printed):
    assert render_sizing(REPORT, "A4", "si") == printed["A4", "si"]


def test_what_is_open_is_loud_and_what_is_known_is_there(printed):
    text = flat(printed["A4", "si"])
    assert "UNKNOWN: to be filled in by hand" in text and "1 NM" in text
    assert "101.27(a)" in text and "name and address" in text
    assert text.count("NOT MET") == 3 and "case by case" in text and "y-site; not in force here" in text
    assert all(letter in text for letter in LETTERS) and "One thing assumed." in text
    assert not re.search(r"\b(un)?safe\b", text, re.IGNORECASE)


def test_amounts_take_the_readers_units(printed):
    assert "it stays under 914 m" in flat(printed["A4", "si"]) and "3 m/s of wind" in flat(printed["A4", "si"])
    assert "it stays under 3,000 ft" in flat(printed["letter", "us"]) and "6.7 mph" in flat(printed["letter", "us"])
    assert "15.2 m (50 ft): met" in flat(printed["A4", "si"])
    assert "50 ft: met" in flat(printed["A4", "us"]) and "50 ft (50 ft)" not in flat(printed["A4", "us"])


def test_fonts_are_embedded(printed):
    fonts = [font for page in PdfReader(io.BytesIO(printed["A4", "si"])).pages for font in _fonts(page)]
    assert fonts and all("/FontFile2" in font for font in fonts)


def _fonts(page):
    for font in page["/Resources"]["/Font"].values():
        font = font.get_object()
        if "/FontDescriptor" in font:
            yield font["/FontDescriptor"]


def test_other_paper_and_units_are_refused():
    with pytest.raises(UnknownChoice):
        render_sizing(REPORT, "A5", "si")  # type: ignore[arg-type]
    with pytest.raises(UnknownChoice):
        render_sizing(REPORT, "A4", "cubits")  # type: ignore[arg-type]


def test_a_report_of_nothing_still_prints():
    bare = dataclasses.replace(
        REPORT, site=SitePlan(), rose=(), winds_mps=(), winds_share=(), classes=(), months=(), dimensions=(),
        distances=(), lists=(), notes=(), answer=(),
    )  # fmt: skip
    text = flat(render_sizing(bare))
    assert "Nothing was flown" in text and "No published code has a figure" in text


def test_many_classes_and_long_names_run_on_to_further_pages():
    many = tuple(dataclasses.replace(CLASSES[1], rockets="a very long name " * 40) for _ in range(24))
    assert len(page_texts(render_sizing(dataclasses.replace(REPORT, classes=many)))) > 4


@each_picture
def test_inside_the_frame_and_no_label_on_another(scene):
    held_to_its_frame(scene)


@pytest.mark.parametrize("name", [name for name in PICTURES if "162" in name])
def test_letters_on_a_phone_are_large_enough(name):
    held_to_a_phone(PICTURES[name])


@each_picture
def test_svg_is_well_formed_and_says_itself_in_words(scene):
    held_to_svg(scene)


def test_a_share_below_the_confidence_stands_out_without_colour():
    scene = PICTURES["grid si 520.0"]
    filled = [each for each in walk(scene.shapes) if each.name == "stays"]
    assert len(filled) == sum(cell.stays is True for row in CLASSES for cell in row.cells)
    bold = [each for each in walk(scene.shapes) if isinstance(each, Label) and each.name == "share" and each.bold]
    framed = [each for each in walk(scene.shapes) if each.name == "stands-out"]
    cells = [cell for row in CLASSES for cell in row.cells]
    assert len(bold) == len(framed) == len(cells) - len(filled)
    assert all(each.look.fill is None and each.look.width > 1.0 for each in framed)
    above = [cell for cell in cells if cell.inside is not None and 0.95 <= cell.inside < 0.99]
    blocks = [each for each in walk(scene.shapes) if each.name == "standing-stop"]
    lozenges = [each for each in walk(scene.shapes) if each.name == "standing-caution"]
    assert len(lozenges) == 2 * (len(above) + 1)  # two parts each, and one in the key
    assert len(blocks) == sum(cell.inside is not None and cell.inside < 0.95 for cell in cells) + 1
    assert "class C: calm all (to 430 m)" in scene.description and "0.4 %, stop" in scene.description
    assert "UNKNOWN" in scene.labels()


def test_the_grid_says_what_it_shows_in_units():
    said = " ".join(PICTURES["grid si 520.0"].labels())
    assert "mean wind of the hour, 10 m above ground" in said and "1.5 m/s" in said and "3 mph" not in said
    assert "at most 1 % of its landings" in said and "more than 5 % outside" in said and "no certainty" in said
    assert "32.8 ft above ground" in " ".join(PICTURES["grid us 520.0"].labels())


def test_the_filled_part_of_an_hour_is_its_share():
    scene = PICTURES["hours 520.0"]
    parts = [each for each in walk(scene.shapes) if isinstance(each, Area) and each.name in ("flyable", "cell")]
    heights = {each.name: each.rings[0][2][1] - each.rings[0][0][1] for each in parts[:2]}
    first = next(cell for cell in MONTHS[0].hours if cell is not None and cell.flyable > 0.0 and cell.dark < 1.0)
    assert heights["flyable"] / heights["cell"] == pytest.approx(first.flyable)
    assert "?" in scene.labels()  # hours without a reading


@pytest.mark.parametrize(
    "share, said",
    [
        (None, "UNKNOWN"), (0.0, "0 %"), (0.0004, "< 0.1 %"), (0.004, "0.4 %"), (0.8999, "89 %"), (0.9, "90.0 %"),
        (0.99999, "99.9 %"),
    ],
)
def test_a_share_is_rounded_down(share, said):
    assert inside_words(share) == said


def test_petals_are_as_long_as_their_share():
    petals = [each for each in walk(PICTURES["rose 520.0"].shapes) if each.name == "petal"]
    assert len(petals) == sum(each.share > 0.0 for each in REPORT.rose)

    def length(petal) -> float:
        (x, y), (a, b) = petal.rings[0][0], petal.rings[0][1]
        return ((a - x) ** 2 + (b - y) ** 2) ** 0.5

    shown = [each for each in REPORT.rose if each.share > 0.0]
    assert length(petals[0]) / shown[0].share == pytest.approx(length(petals[1]) / shown[1].share)
    south = next(petal for petal, each in zip(petals, shown, strict=True) if each.from_deg == 180.0)
    assert south.rings[0][3][1] > south.rings[0][0][1]  # a wind from the south has its petal below the middle
