"""The printed sheet, read back with a PDF reader, against the assessment that it prints."""

from __future__ import annotations

import io
import math
import re
from datetime import UTC, datetime
from pathlib import Path

import pytest
from pypdf import PdfReader

from reports.sentences import say
from service.planning.assess import assess_day
from service.planning.check import read_day_file
from service.planning.sheet import range_sheet, sheet_pdf
from tests.planning.quick import MADE_AT, put, quick_day, too_heavy

DOCUMENT = "c0ffee" * 10 + "0123"
FORMS = [("A4", "si"), ("A4", "us"), ("letter", "si"), ("letter", "us")]
STATION = Path(__file__).resolve().parents[1] / "fixtures" / "emberwell_station.json"
FOOT_M = 0.3048  # by definition, 1959 agreement of the English-speaking countries
FOOT_LBF_J = 0.3048 * 0.45359237 * 9.80665  # the pound of the same agreement at standard gravity, 3rd CGPM 1901
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


def in_units(units: str, kind: tuple[str, float, str]) -> tuple[float, str]:
    """Factor from SI and unit."""
    si, factor, us = kind
    return (1.0, si) if units == "si" else (factor, us)


def to_digits(value: float, digits: int = 3) -> str:
    """A number with so many digits that count, whole ones all, closing zeros left out."""
    if value == 0.0:
        return "0"
    place = min(0, math.floor(math.log10(abs(value))) - digits + 1)
    text = f"{round(value, -place):,.{-place}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


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


SPEED, LENGTH, ENERGY = ("m/s", 1.0 / FOOT_M, "ft/s"), ("m", 1.0 / FOOT_M, "ft"), ("J", 1.0 / FOOT_LBF_J, "ft·lbf")
TIME, CALIBERS = ("s", 1.0, "s"), ("cal", 1.0, "cal")
PRINTED = {  # every figure of an entry's page that has a spread: its name there, and its units
    "exit_speed_mps": ("Speed off the guide", SPEED),
    "static_margin_cal": ("Static margin off the guide", CALIBERS),
    "apogee_m": ("Apogee above the field", LENGTH),
    "deploy_speed_mps": ("Airspeed at the first opening", SPEED),
    "deploy_delay_error_s": ("Opening off the apogee by", TIME),
    "best_delay_s": ("Best delay", TIME),
    "drogue_descent_speed_mps": ("Fall under the drogue", SPEED),
    "descent_speed_mps": ("Speed of fall at landing", SPEED),
    "landing_energy_j": ("Landing energy", ENERGY),
    "greatest_speed_mps": ("Greatest speed", SPEED),
    "flight_time_s": ("Flight time", TIME),
}


@pytest.mark.parametrize("form", FORMS)
def test_every_figure_of_every_entry_is_the_assessments_rounded_by_its_spread(case, form):
    _day, result, printed = case
    compared = 0
    for each in result.assessments:
        if each.estimate is None:
            continue
        text = pages_of(printed[form], each)
        for field, (name, units) in PRINTED.items():
            factor, unit = in_units(form[1], units)
            spread = getattr(each.estimate, field)
            if spread.nominal is None and field == "drogue_descent_speed_mps":
                assert name not in text
                continue
            if spread.nominal is None:
                words = "UNKNOWN"
            elif not spread.half_width:
                words = f"{to_digits(spread.nominal * factor)} {unit}"
            else:
                words = f"{rounded(spread.nominal, spread.half_width, factor)} {unit}"
            assert f"{name} {words.replace('-', MINUS)}" in text, (each.entry, field)
            compared += 1
        apogee = rounded(each.estimate.apogee_m.nominal, each.estimate.apogee_m.half_width,
                         in_units(form[1], LENGTH)[0])  # fmt: skip
        assert apogee in printed[form][0]
        assert f"Thrust to weight {to_digits(each.estimate.thrust_to_weight)}" in text
    assert compared >= 2 * (len(PRINTED) - 1)  # two entries are flown


@pytest.mark.parametrize("form", FORMS)
def test_every_measured_figure_of_every_finding_is_printed(case, form):
    """To three digits, or to as many as it takes to stand on its side of the limit."""
    _day, result, printed = case
    units = {"m": LENGTH, "m/s": SPEED, "J": ENERGY, "s": TIME, "cal": CALIBERS}
    compared = 0
    for each in result.assessments:
        text = pages_of(printed[form], each)
        for finding in each.findings:
            plain = isinstance(finding.measured, float) and finding.si_unit in units
            if not plain or finding.quantity in ("surface_wind_mps", "gust_mps", "visibility_m"):
                continue  # winds and far distances have units of their own
            factor, unit = in_units(form[1], units[finding.si_unit])
            value = finding.measured_si * factor
            forms = [f"{to_digits(value, digits)} {unit}".replace("-", MINUS) for digits in range(3, 8)]
            assert any(words in text for words in forms), (each.entry, finding.rule, forms)
            compared += 1
    assert compared > 25


@pytest.mark.parametrize("form", FORMS)
def test_the_ways_of_ending_carry_the_assessments_chances(case, form):
    _day, result, printed = case
    names = {"planned": "recovery as planned", "no_deployment": "ballistic: nothing deploys",
             "drogue_only": "drogue only", "main_at_apogee": "main out at apogee"}  # fmt: skip
    compared = 0
    for each in result.assessments:
        text = pages_of(printed[form], each)
        for footprint in each.footprints:
            if footprint.inside is None or footprint.chance is None:
                continue
            inside = footprint.inside.estimate
            share = f"all {footprint.samples:,}" if inside == 1.0 else f"{int(100.0 * inside)}"
            words = f"{names[footprint.mode]} {100.0 * footprint.chance:.3g} % {share}"
            assert words in text, (each.entry, footprint.mode)
            compared += 1
    assert compared >= 4


def test_a_longer_wait_after_a_misfire_is_printed_below_the_item_that_says_sixty_seconds():
    """60 s: NAR Model Rocket Safety Code item 4, High Power item 5, 2012-08. No assessment changes with the wait."""
    day = quick_day(put("/codes", ["us-model", "us-high-power"]))
    result = assess_day(day, DOCUMENT, entries=["n1"])
    for wait_s, said in ((60.0, ""), (60.5, "for 60.5 s on this day"), (1800.0, "for 1,800 s on this day")):
        longer = day.model_copy(update={"policy": day.policy.model_copy(update={"misfire_wait_s": wait_s})})
        front = page_texts(sheet_pdf(range_sheet(longer, result, made_at=MADE_AT, age_min=None)))[0]
        _before, item, below = front.partition("and nobody approaches for 60 s.")
        assert item and said in below and ("on this day" in below) == bool(said), wait_s


@pytest.mark.parametrize("form", [form for form in FORMS if form[1] == "us"])
def test_a_us_sheet_has_si_figures_only_in_brackets_and_sources(case, form):
    """No limit and no measured figure stands in metres alone where feet were asked for."""
    day, result, _printed = case
    sheet = range_sheet(day, result, made_at=MADE_AT, age_min=7.0)
    spoken = [say(finding.says, "us") for page in sheet.entries for finding in page.findings]
    for page in sheet.entries:
        spoken += [say(words, "us") for words in (*page.cautions, *page.unknowns, page.decides, page.decides_short)]
    spoken += [say(tick.text, "us") for tick in sheet.ticks] + [say(rule, "us") for rule in sheet.local_rules]
    assert any(" ft" in text for text in spoken)
    for text in spoken:
        assert not re.search(r"\d (m|km|m/s|kg|g|J)\b", re.sub(r" \([^()]*\)", "", text)), text


@pytest.mark.parametrize("form", FORMS)
def test_no_word_of_our_own_bookkeeping_is_printed(case, form):
    for text in case[2][form]:
        assert not re.search(r"\b(derived|weak|not re-read|nominal|dispersed|upper 95|lower 5)\b", text), text


def test_all_and_nothing_are_said_of_samples_only_where_they_are_counted(case):
    """A hundred per cent of samples is no certainty."""
    for pages in case[2].values():
        of_entries = " ".join(pages).split("How this was reckoned")[0]
        assert not re.search(r"(?<![\d,.])(100|0) %", of_entries)


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
    assert [each.standing for each in result.assessments] == ["stop", "stop", "unknown"]


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


def test_flights_in_which_nothing_opens_are_told_once(case):
    """Deployment after the ground in some flights: as a finding, and then not as a caution too."""
    late = put("/entries/0/recovery/0/deploy", {"at": "apogee", "delay_s": 8.2})
    day = quick_day(late)
    result = assess_day(day, DOCUMENT, entries=["n1"])
    told = next(c for c in result.assessments[0].cautions if "nothing had opened" in c)
    count = int(told.split()[1])
    text = " ".join(page_texts(sheet_pdf(range_sheet(day, result, made_at=MADE_AT, age_min=None))))
    assert f"{math.ceil(100 * count / 64)} %" in text and "come to the ground with nothing opened" in text
    assert "nothing had opened before" not in text


def test_a_local_rule_and_its_reason_are_printed():
    rule = {
        "id": "our-wind", "protects": "neighbours", "kind": "measured", "weight": "club",
        "quantity": "surface_wind_mps", "unit": "m/s", "at_most": 9.0, "says": "The wind is at most {limit}.",
    }  # fmt: skip
    day = quick_day(put("/local_rules", [rule]))
    result = assess_day(day, DOCUMENT, entries=["n1"])
    text = " ".join(page_texts(sheet_pdf(range_sheet(day, result, made_at=MADE_AT, age_min=None))))
    assert "our-wind: The wind is at most 9 m/s." in text


def test_the_risk_sums_stand_beside_the_yardstick_with_what_they_leave_out():
    """The zone of parked cars has no number of people: each entry's page names it."""
    lot = {"name": "Car park", "kind": "parking", "geometry": {"type": "Polygon", "coordinates": [
        [[-63.199, -32.1], [-63.198, -32.1], [-63.198, -32.099], [-63.199, -32.099], [-63.199, -32.1]]]}}  # fmt: skip
    day = quick_day(lambda document: document["field"]["zones"].append(lot))
    result = assess_day(day, DOCUMENT, entries=["n1"])
    text = " ".join(page_texts(sheet_pdf(range_sheet(day, result, made_at=MADE_AT, age_min=None))))
    assert "All ways of ending: people struck a flight" in text and "upper figure" in text
    assert "14 CFR 450.101(a), is no clearance" in text
    assert "NOT COUNTED, since how many people are there is not stated: Car park." in text


def test_where_the_weather_came_from_is_told_in_words():
    """Not as the one line keeps it. Noon UTC is nine in Córdoba (IANA time zone database)."""
    kept = "meter at the pads; kept RH vis 091200Z; aloft 091100Z FB XQA 60 km"
    day = quick_day(put("/conditions/source", kept))
    sheet = range_sheet(day, assess_day(day, DOCUMENT, entries=["n1"]), made_at=MADE_AT, age_min=7.0)
    front = page_texts(sheet_pdf(sheet))[0]
    assert "humidity and visibility kept from 09:00" in front and "winds aloft from FB XQA 60 km, valid 08:00" in front
    assert "091200Z" not in front
