"""The sheet, read back from the PDF."""

import dataclasses
import datetime as dt
import io
import math
import re

import numpy as np
import pytest
from pypdf import PdfReader

from reports.amounts import Amount
from reports.errors import UnknownChoice
from reports.ground_data import Footprint
from reports.pages.attention import by_attention
from reports.sentences import DEFERRAL, answer
from reports.sheet import render_sheet
from reports.sheet_data import Ruling, Signature
from tests.reports.golden import GOLDEN, golden_text, page_texts
from tests.reports.sample import HERON, NOW, REED, SHEET, WREN

FORMS = [("A4", "si"), ("A4", "us"), ("letter", "si"), ("letter", "us")]
SIZES_MM = {"A4": (210.0, 297.0), "letter": (215.9, 279.4)}  # ISO 216; ANSI/ASME Y14.1, 8.5 by 11 in
SIGNED = Signature("Officer One", "RSO", NOW)


@pytest.fixture(scope="module")
def printed():
    return {form: render_sheet(SHEET, *form) for form in FORMS}


def with_entries(*entries):
    return dataclasses.replace(SHEET, entries=entries)


def test_the_text_is_the_golden_text(printed):
    assert golden_text(printed["A4", "si"]) == GOLDEN.read_text(encoding="utf-8")


@pytest.mark.parametrize("form", FORMS)
def test_every_page_is_marked_numbered_and_defers(printed, form):
    pages = page_texts(printed[form])
    assert len(pages) == 2 + len(SHEET.entries)  # the day, a page an entry, how it was reckoned
    for number, text in enumerate(pages, start=1):
        assert text.count("UNSIGNED") >= 2  # the band, and the word across the page
        assert f"page {number} of {len(pages)}" in text
        assert DEFERRAL in text
        assert "engine 0.1.0" in text and SHEET.day in text and "NFPA 1122, 2018" in text


@pytest.mark.parametrize("form", FORMS)
def test_paper_and_text_keep_their_size(printed, form):
    for page in PdfReader(io.BytesIO(printed[form])).pages:
        wide, tall = (float(x) for x in (page.mediabox.width, page.mediabox.height))
        assert (wide * 25.4 / 72, tall * 25.4 / 72) == pytest.approx(SIZES_MM[form[0]], abs=0.1)
        places = []
        page.extract_text(visitor_text=lambda text, cm, tm, *_rest, to=places: to.append((text, cm, tm)))
        for text, cm, tm in places:
            if text.strip():
                x, y = (tm[4] * cm[i] + tm[5] * cm[i + 2] + cm[i + 4] for i in (0, 1))
                assert 0 <= x <= wide and 0 <= y <= tall, text


def test_what_was_handed_over_is_what_is_printed(printed):
    first, *rest = page_texts(printed["A4", "si"])
    for entry in SHEET.entries:
        for text in (entry.entry_id, entry.rocket, entry.flyer, entry.motor):
            assert text in first
            assert any(text in page for page in rest)
        assert any(f"assessment {entry.assessment_id}" in page for page in rest)
    for text in ("410 ± 30 m", "1,620 ± 90 m", "96 ± 9 m", "97 %", "86 %", "1,500 m AGL = 1,810 m MSL", "12 min old"):
        assert text in first
    heron = next(page for page in rest if "e-11 Grey Heron" in page)
    for text in (
        "Comes down inside the field in 86 of 100 flights",
        "its 99 % contour crosses the edge by 85 m, to the north-east.",
        "14 CFR 101.25; 74 FR 38092, 2009-07-31; law, read",
        "at most 1,500 m",
        "Caution 2: The wind above the pads is from a forecast, not measured.",
        "APPROVED",
        "HELD",
        "REFUSED",
    ):
        assert text in heron
    reed = " ".join(page for page in rest if "e-07" in page)
    for text in ("13.9 ± 1.1 m/s", "at least 14 m/s", "ballistic: nothing deploys"):
        assert text in reed
    for text in ("How this was reckoned", "Errors drawn for the spread", "thrust: 5 % (NFPA 1125, as recalled)."):
        assert text in rest[-1]


def test_us_units_reach_every_corner(printed):
    text = " ".join(page_texts(printed["letter", "us"]))
    assert "1,350 ± 110 ft" in text  # 412.37 m and 32.1 m over 0.3048
    assert "7.8 mph" in text  # 3.5 m/s over 0.44704, as fine as a meter reads
    assert not re.search(r"\d (m|m/s|hPa|kg)\b", text)


def test_the_entries_come_worst_first_and_else_as_handed_over():
    assert [entry.entry_id for entry in by_attention(SHEET.entries)] == ["e-11", "e-15", "e-07", "e-02"]
    alike = [dataclasses.replace(WREN, entry_id=name) for name in ("second", "first")]
    assert [e.entry_id for e in by_attention((*alike, HERON))] == ["e-11", "second", "first"]


def test_the_same_sheet_gives_the_same_bytes(printed):
    render_sheet(with_entries(HERON), "letter", "us")
    assert render_sheet(SHEET, "A4", "si") == printed["A4", "si"]


def test_a_signed_sheet_names_its_signer_and_drops_the_mark():
    pages = page_texts(render_sheet(dataclasses.replace(SHEET, signature=SIGNED)))
    assert all("UNSIGNED" not in page and "Signed by Officer One, RSO, 2027-05-15 09:12" in page for page in pages)


def test_a_recorded_ruling_is_printed():
    ruling = Ruling("held", "wait for the wind", "Officer One", "RSO", NOW)
    text = " ".join(page_texts(render_sheet(with_entries(dataclasses.replace(REED, ruling=ruling)))))
    assert "wait for the wind" in text and "Officer One" in text
    lapsed = dataclasses.replace(REED, ruling=dataclasses.replace(ruling, word="lapsed"))
    assert "LAPSED" in " ".join(page_texts(render_sheet(with_entries(lapsed))))


def test_no_entries_and_many_entries():
    assert "No entry was registered" in page_texts(render_sheet(with_entries()))[0]
    many = tuple(dataclasses.replace(SHEET.entries[i % 4], entry_id=f"e-{i:03d}") for i in range(60))
    pages = page_texts(render_sheet(with_entries(*many)))
    text = " ".join(pages)
    assert all(f"e-{i:03d}" in text for i in range(60))
    assert "I have read this sheet" in pages[0]
    assert f"page {len(pages)} of {len(pages)}" in pages[-1]


def test_histories_may_be_arrays_and_entries_may_be_alike():
    flight = dataclasses.replace(
        REED.flight, time_s=np.array(REED.flight.time_s), height_m=np.array(REED.flight.height_m)
    )
    alike = tuple(dataclasses.replace(REED, flight=flight) for _ in range(2))
    assert len(page_texts(render_sheet(with_entries(*alike)))) == 4  # the day, two entries, how it was reckoned


def test_what_the_day_asks_beyond_its_checklist_stands_below_it_or_alone():
    said = "After a misfire nobody approaches for 300 s on this day."
    first = page_texts(render_sheet(dataclasses.replace(SHEET, beyond_ticks=said)))[0]
    assert first.index("Checklist of the day") < first.index(said) < first.index("Codes used")
    bare = page_texts(render_sheet(dataclasses.replace(SHEET, beyond_ticks=said, ticks=())))[0]
    assert said in bare and "Checklist of the day" not in bare


def test_old_and_missing_conditions_are_loud():
    old = dataclasses.replace(SHEET.conditions, age_min=95.0)
    assert "OLD: 95 min, at most 30 min" in page_texts(render_sheet(dataclasses.replace(SHEET, conditions=old)))[0]
    none = dataclasses.replace(old, age_min=None, temperature_c=math.nan, wind=())
    text = page_texts(render_sheet(dataclasses.replace(SHEET, conditions=none, ceiling=None)))[0]
    for words in ("Age UNKNOWN", "temperature UNKNOWN", "Wind UNKNOWN", "UNKNOWN: none was given"):
        assert words in text


def test_an_entry_of_which_nothing_is_known_still_prints():
    bare = dataclasses.replace(
        REED,
        standing="unknown",
        apogee=Amount(None, "length"),
        footprints=(),
        figures=(),
        findings=(),
        flight=None,
        pad_settings=None,
        risks=(),
        ticks=(),
        cautions=(),
    )
    text = " ".join(page_texts(render_sheet(with_entries(bare)))[1:])
    for words in ("Where it comes down is UNKNOWN", "Figures UNKNOWN", "Flight UNKNOWN", "Pad settings UNKNOWN"):
        assert words in text


AWKWARD = [
    "x" * 3000,
    "two\nlines\tand\x00\x1b[31m",
    "<b>&amp;</b> <script> & \"'",
    "二重の鳥",
    "Журавль",
    "\U0001f680" * 50,
    "",
    " ",
]


@pytest.mark.parametrize(
    "text", AWKWARD, ids=["long", "control", "markup", "japanese", "cyrillic", "emoji", "empty", "blank"]
)
def test_awkward_text_prints_and_crashes_nothing(text):
    def spoil(value):
        if isinstance(value, str):
            return text
        if isinstance(value, tuple) and value and not isinstance(value[0], float):
            return tuple(spoil(item) for item in value)
        if dataclasses.is_dataclass(value) and not isinstance(value, type):
            keep = ("quantity", "standing", "mode", "kind", "shape", "sense", "datum", "word")
            changes = {f.name: spoil(getattr(value, f.name)) for f in dataclasses.fields(value) if f.name not in keep}
            return dataclasses.replace(value, **changes)
        return value

    pages = page_texts(render_sheet(spoil(SHEET)))
    assert all("UNSIGNED" in page and DEFERRAL in page for page in pages)
    if text.startswith("<b>"):
        assert "<b>&amp;</b> <script> & \"'" in pages[0]
    missing = text in ("二重の鳥", "Журавль") or "\U0001f680" in text
    assert all(("stands for a letter" in page) == missing for page in pages)


def test_huge_numbers_print():
    def grow(value):
        if isinstance(value, float):
            return value * 1e12
        if isinstance(value, tuple):
            return tuple(grow(item) for item in value)
        if dataclasses.is_dataclass(value) and not isinstance(value, type):
            return dataclasses.replace(
                value, **{f.name: grow(getattr(value, f.name)) for f in dataclasses.fields(value)}
            )
        return value

    assert len(page_texts(render_sheet(grow(SHEET)))) >= 5


def test_the_word_is_never_printed(printed):
    for pdf in printed.values():
        assert not re.search(r"\b(un)?safe\b", " ".join(page_texts(pdf)), re.IGNORECASE)


def test_paper_that_is_not_offered_is_refused():
    with pytest.raises(UnknownChoice, match="'A5' is not offered; choose one of A4, letter"):
        render_sheet(SHEET, "A5")


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        (1.0, "all of 1,024 simulated flights"),
        (0.9999, "more than 99 of 100"),
        (0.979, "97 of 100"),
        (0.004, "fewer than 1 of 100"),
        (0.0, "none of 1,024 simulated flights"),
    ],
)
def test_the_answer_rounds_against_the_flight(chance, words):
    assert words in answer(Footprint("planned", chance_inside=chance, samples=1024), "si")


def test_links_lead_from_the_table_to_the_entries(printed):
    reader = PdfReader(io.BytesIO(printed["A4", "si"]))
    pages = {page.indirect_reference.idnum: page for page in reader.pages}
    targets = [annotation.get_object()["/Dest"][0].idnum for annotation in reader.pages[0]["/Annots"]]
    for entry, target in zip(by_attention(SHEET.entries), targets, strict=True):
        assert pages[target].extract_text().count(f"{entry.entry_id} {entry.rocket}") >= 1
        assert f"assessment {entry.assessment_id}" in " ".join(pages[target].extract_text().split())
    marks = {mark.title: mark.raw_get("/Page").idnum for mark in reader.outline}
    assert marks["e-07 Reed 41: caution"] == targets[2]


def test_the_date_does_not_depend_on_the_machine():
    sheet = dataclasses.replace(SHEET, date=dt.date(2028, 2, 29))
    assert "Tuesday 29 February 2028" in page_texts(render_sheet(sheet))[0]  # ISO 8601 week 2028-W09-2
