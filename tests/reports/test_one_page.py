"""One page an entry, with the ruling on it, read back from the PDF."""

import dataclasses
import io

import pytest
from pypdf import PdfReader

from reports.sheet import render_sheet
from tests.reports.crowds import crowded
from tests.reports.golden import page_texts
from tests.reports.sample import REED, SHEET

FORMS = [("A4", "si"), ("A4", "us"), ("letter", "si"), ("letter", "us")]


def with_entries(*entries):
    return dataclasses.replace(SHEET, entries=entries)


def pages_of_entries(pdf: bytes) -> dict[str, list[str]]:
    """Texts of the pages of each entry, by the outline of the file."""
    reader = PdfReader(io.BytesIO(pdf))
    number = {page.indirect_reference.idnum: i for i, page in enumerate(reader.pages)}
    starts = [(mark.title.split()[0], number[mark.raw_get("/Page").idnum]) for mark in reader.outline]
    texts = page_texts(pdf)
    ends = [at for _, at in starts[1:]] + [len(texts)]
    return {name: texts[at:end] for (name, at), end in zip(starts, ends, strict=True) if name.startswith("e-")}


@pytest.mark.parametrize("form", FORMS)
def test_the_sample_takes_one_page_an_entry(form):
    pages = pages_of_entries(render_sheet(SHEET, *form))
    assert [len(pages[entry.entry_id]) for entry in SHEET.entries] == [1] * len(SHEET.entries)


@pytest.mark.parametrize("form", FORMS)
def test_forty_clear_findings_and_six_that_are_not_take_one_page(form):
    [page] = pages_of_entries(render_sheet(with_entries(crowded(40, 6)), *form))["e-40"]
    for text in ("Ruling of the range safety officer", "Clear: 40 checks", "height above the field", "Flight line"):
        assert text in page
    assert all(f"number {i}. " in page for i in range(6))
    assert all(f", part {i} " in page for i in range(40))


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_more_than_a_page_holds_goes_on_and_the_ruling_stays_on_the_first(paper):
    first, *others = pages_of_entries(render_sheet(with_entries(crowded(60, 50, ticks=40)), paper))["e-40"]
    assert "Ruling of the range safety officer" in first and "APPROVED" in first
    assert "more stand against it: see the next page" in first
    assert not any("Ruling of the range safety officer" in page for page in others)
    everything = " ".join([first, *others])
    assert all(f"number {i}. " in everything for i in range(50))
    assert all(f", part {i} " in everything for i in range(60))
    assert everything.count("Motors certified, unaltered") == 40


def test_more_clear_findings_than_fit_alone_go_to_the_next_page():
    first, second = pages_of_entries(render_sheet(with_entries(crowded(100, 3))))["e-40"]
    assert "Ruling of the range safety officer" in first and "height above the field" in first
    assert "Clear: 100 checks" in second and all(f", part {i} " in second for i in range(100))


def test_the_same_words_from_several_sources_stand_once():
    one = crowded(0, 1).findings[0]
    other = dataclasses.replace(one, rule_id="other", clause="Another code, item 9")
    entry = dataclasses.replace(REED, entry_id="e-41", findings=(one, other))
    [page] = pages_of_entries(render_sheet(with_entries(entry)))["e-41"]
    assert page.count("number 0. ") == 1
    assert "Code of a Rocketry Body, item 0" in page and "Another code, item 9" in page


def test_the_sentence_and_the_tables_round_a_chance_the_same_way():
    planned = dataclasses.replace(REED.footprints[0], chance_inside=0.5878)
    entry = dataclasses.replace(REED, footprints=(planned, *REED.footprints[1:]))
    front, page, _ = page_texts(render_sheet(with_entries(entry)))
    assert "in 58 of 100 flights" in page and " 58 % " in page and " 58 % " in front
    assert " 59 %" not in front and " 59 %" not in page


def test_no_sentence_ends_twice():
    entry = dataclasses.replace(REED, decides="The chance is at most 5 %. Found: 41.5 %.")
    for text in page_texts(render_sheet(with_entries(entry))):
        assert ".." not in text and ". ." not in text


def test_the_front_page_cuts_what_decides_to_two_lines():
    entry = dataclasses.replace(REED, decides="word " * 80)
    front, *_ = page_texts(render_sheet(with_entries(entry)))
    assert "word…" in front and front.count("word") < 30
    short = dataclasses.replace(entry, decides_short="apogee over the ceiling")
    assert "apogee over the ceiling." in page_texts(render_sheet(with_entries(short)))[0]
