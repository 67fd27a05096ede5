"""The printed sheet, read back with a PDF reader, against the assessment that it prints."""

from __future__ import annotations

import io
import re
from datetime import UTC, datetime
from pathlib import Path

import pytest
from pypdf import PdfReader

from service.planning.assess import assess_day
from service.planning.check import read_day_file
from service.planning.sheet import range_sheet, sheet_pdf
from tests.planning.quick import MADE_AT, put, quick_day, too_heavy

DOCUMENT = "c0ffee" * 10 + "0123"
FORMS = [("A4", "si"), ("A4", "us"), ("letter", "si"), ("letter", "us")]
STATION = Path(__file__).resolve().parents[1] / "fixtures" / "emberwell_station.json"
FOOT_M = 0.3048  # by definition, 1959 agreement of the English-speaking countries
MINUS = "\N{MINUS SIGN}"


def page_texts(pdf: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages]


@pytest.fixture(scope="module")
def case():
    def spoil(document):
        too_heavy(document)
        document["ceiling"] = {"height_m": 780.0, "datum": "msl"}  # 600 m of air: the second entry goes over

    day = quick_day(spoil)
    result = assess_day(day, DOCUMENT)
    sheet = range_sheet(day, result, made_at=MADE_AT, age_min=7.0)
    return day, result, {form: page_texts(sheet_pdf(sheet, *form)) for form in FORMS}


def pages_of(pages, entry) -> str:
    """Everything printed of one entry: from its page on, to the next entry's."""
    return " ".join(page for page in pages if f"assessment {entry.id}" in page)


def rounded(nominal: float, half: float, factor: float = 1.0) -> str:
    """Value and spread as common practice writes them: the spread to one digit, to two where the first is a 1."""
    value, spread = nominal * factor, half * factor
    exponent = int(f"{spread:e}".split("e")[1])
    place = exponent - (1 if f"{spread:e}"[0] == "1" else 0)
    digits = max(0, -place)
    step = 10.0**place
    return f"{round(value / step) * step:,.{digits}f} ± {round(spread / step) * step:,.{digits}f}"


@pytest.mark.parametrize("form", FORMS)
def test_every_page_is_unsigned_numbered_and_defers(case, form):
    _day, result, printed = case
    pages = printed[form]
    assert len(pages) >= 1 + len(result.assessments)
    for number, text in enumerate(pages, start=1):
        assert text.count("UNSIGNED") >= 2  # in words at the foot, and across the page
        assert f"page {number} of {len(pages)}" in text
        assert "Local code, the authority having jurisdiction and the range safety officer come first" in text
        assert not re.search(r"\b(un)?safe\b", text, re.IGNORECASE)


@pytest.mark.parametrize("form", FORMS)
def test_ids_engine_and_document_are_those_of_the_assessment(case, form):
    _day, result, printed = case
    everything = " ".join(printed[form])
    assert DOCUMENT in everything and result.engine in everything
    for each in result.assessments:
        assert pages_of(printed[form], each)
        assert each.rocket in printed[form][0] and each.flyer in printed[form][0]


@pytest.mark.parametrize("form", FORMS)
def test_figures_are_those_of_the_assessment_rounded_by_their_spread(case, form):
    _day, result, printed = case
    factor, length, speed = (1.0, "m", "m/s") if form[1] == "si" else (1.0 / FOOT_M, "ft", "ft/s")
    for each in result.assessments:
        if each.estimate is None:
            continue
        text, first = pages_of(printed[form], each), printed[form][0]
        apogee = each.estimate.apogee_m
        words = f"{rounded(apogee.nominal, apogee.half_width, factor)} {length}"
        assert words in text and words in first
        for name in ("exit_speed_mps", "descent_speed_mps", "greatest_speed_mps"):
            spread = getattr(each.estimate, name)
            assert f"{rounded(spread.nominal, spread.half_width, factor)} {speed}" in text, name
        best = each.estimate.best_delay_s
        assert f"{rounded(best.nominal, best.half_width)} s" in text
        margin = each.estimate.static_margin_cal
        if margin.nominal is not None:
            assert f"{rounded(margin.nominal, margin.half_width).replace('-', MINUS)} cal" in text


@pytest.mark.parametrize("form", FORMS)
def test_standings_are_counted_and_said(case, form):
    _day, result, printed = case
    first = printed[form][0]
    for standing, count in result.standings.items():
        assert f"{count} {standing.upper()}" in first
    for each in result.assessments:
        assert each.standing.upper() in pages_of(printed[form], each)
    order = [first.index(f" {each.entry} {each.rocket}") for each in result.assessments]
    assert order == sorted(order)  # those that need attention most come first
    assert [each.standing for each in result.assessments] == ["stop", "unknown", "unknown"]


def normal(text: str) -> str:
    """Letters and digits only: line ends, thin spaces and units tied to numbers do not matter."""
    return re.sub(r"\W+", "", text)


@pytest.mark.parametrize("form", FORMS)
def test_every_finding_that_is_not_clear_is_printed_in_full(case, form):
    _day, result, printed = case
    checked = 0
    for each in result.assessments:
        text = normal(pages_of(printed[form], each))
        for finding in each.findings:
            if finding.standing != "clear":
                if "CFR" in finding.source.clause:  # a published source by its clause; what is ours may be shortened
                    assert normal(finding.source.clause.split(",")[0]) in text, finding.rule
                opening = re.split(r"\d", finding.statement)[0]  # figures print in the reader's units
                assert normal(opening) in text, finding.rule
                checked += 1
    assert checked > 10


@pytest.mark.parametrize("form", FORMS)
def test_no_inner_name_of_a_quantity_is_printed(case, form):
    for text in case[2][form]:
        assert not re.search(r"\b[a-z]+_[a-z_]+\b", text.replace("America/Argentina", "")), text


def test_what_could_not_be_flown_says_so_and_shows_no_figure(case):
    _day, result, printed = case
    lost = next(each for each in result.assessments if each.estimate is None)
    text = pages_of(printed["A4", "si"], lost)
    assert "never carries the rocket" in text
    assert "Where it comes down is UNKNOWN" in text and "±" not in text.split("Errors drawn")[0]


def test_chance_inside_is_the_assessments(case):
    def smaller(document):
        """A field that the ribbon's drift leaves now and then."""
        ring = document["field"]["boundary"]["coordinates"][0]
        north = document["field"]["pads"][0]["position"][1] + 0.0007
        for position in ring:
            position[1] = min(position[1], north)
        document["field"]["zones"] = document["field"]["zones"][:1]
        document["entries"] = document["entries"][:1]

    day = quick_day(smaller)
    result = assess_day(day, DOCUMENT)
    inside = result.assessments[0].footprint("planned").inside.estimate
    assert 0.1 < inside < 0.9  # a case that can be got wrong
    pages = page_texts(sheet_pdf(range_sheet(day, result, made_at=MADE_AT, age_min=None)))
    percent = int(100.0 * inside + 1e-9)
    assert f"{percent} of 100 flights" in pages_of(pages, result.assessments[0])
    assert f"{percent} %" in pages[0] or f"{percent + 1} %" in pages[0]  # down or to the nearest
    assert f"{percent} of 100 flights" in result.assessments[0].answer


def test_the_ceiling_printed_is_the_one_the_findings_were_held_against():
    """At 10:00 a higher window is open at the station, but hangs on a call to the controller."""
    day = read_day_file(STATION)
    result = assess_day(day, DOCUMENT, entries=["s-01"])
    first = page_texts(sheet_pdf(range_sheet(day, result, made_at=MADE_AT, age_min=None)))[0]
    assert "1,055 m AGL = 1,200 m MSL" in first  # 1200 m less the paddock's 145 m
    assert "2,400 m MSL from 09:30 until 11:30 (call the area controller" in first
    ceiling = next(f for f in result.assessments[0].findings if f.rule == "club-ceiling")
    assert ceiling.limit_si == pytest.approx(1055.0)


def test_windows_print_in_the_clock_of_the_field():
    day = quick_day(put("/ceiling/1/from", "2028-07-09T13:00:00Z"), put("/ceiling/1/to", "2028-07-09T15:00:00Z"))
    result = assess_day(day, DOCUMENT, entries=[])
    first = page_texts(sheet_pdf(range_sheet(day, result, made_at=MADE_AT, age_min=None)))[0]
    assert "from 10:00 until 12:00" in first


def test_age_and_time_of_making(case):
    day, result, printed = case
    assert "7 min old" in printed["A4", "si"][0]
    old = range_sheet(day, result, made_at=datetime(2028, 7, 9, 14, 0, tzinfo=UTC), age_min=95.0)
    text = " ".join(page_texts(sheet_pdf(old)))
    assert "OLD: 95 min, at most 30 min" in text and "2028-07-09 11:00" in text  # three hours behind Greenwich


def test_flights_in_which_nothing_opens_are_told(case):
    """Deployment after the ground in some flights: a caution that is no finding."""
    late = put("/entries/0/recovery/0/deploy", {"at": "apogee", "delay_s": 8.2})
    day = quick_day(late)
    result = assess_day(day, DOCUMENT, entries=["n1"])
    told = next(c for c in result.assessments[0].cautions if "nothing had opened" in c)
    text = " ".join(page_texts(sheet_pdf(range_sheet(day, result, made_at=MADE_AT, age_min=None))))
    assert told in text


def test_a_local_rule_and_its_reason_are_printed():
    rule = {
        "id": "our-wind", "protects": "neighbours", "kind": "measured", "weight": "club",
        "quantity": "surface_wind_mps", "unit": "m/s", "at_most": 9.0, "says": "The wind is at most {limit}.",
    }  # fmt: skip
    day = quick_day(put("/local_rules", [rule]))
    result = assess_day(day, DOCUMENT, entries=["n1"])
    text = " ".join(page_texts(sheet_pdf(range_sheet(day, result, made_at=MADE_AT, age_min=None))))
    assert "our-wind: The wind is at most 9 m/s." in text
