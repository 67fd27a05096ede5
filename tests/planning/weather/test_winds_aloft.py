"""Whole winds-aloft bulletins: columns, times, heights above the field, between stations. All rows are invented."""

import math
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.planning.weather.errors import WeatherRefused
from service.planning.weather.fb_bulletin import read_bulletin
from service.planning.weather.winds_aloft import Pick, read_winds_aloft, winds_over_field

NEAR = datetime(2027, 5, 15, 16, 0, tzinfo=UTC)
KT = 1852.0 / 3600.0  # exact, 1929
FT = 0.3048  # exact, 1959

# The layout of the real bulletins (from memory, not re-read): 4 signs for the lowest level, then 7, then 6.
BULLETIN = """\
DATA BASED ON 151200Z
VALID 151800Z   FOR USE 1400-2100Z. TEMPS NEG ABV 24000

FT  3000    6000    9000   12000   18000   24000  30000  34000  39000
XQA 2030 2130+13 2226+08 2326+03 2330-11 2339-23 244038 245048 246358
XQB      9900    2725+05 2732+00 2751-12 2763-24 278039 279148 780158
XQC              3510+09 3415+02 3330-13 3245-25 316040 317049 327799
"""


def test_columns_tell_the_level():
    bulletin = read_bulletin(BULLETIN, NEAR)
    assert bulletin.levels_ft == (3000, 6000, 9000, 12000, 18000, 24000, 30000, 34000, 39000)
    assert bulletin.stations == ("XQA", "XQB", "XQC")
    heights = {name: [ft for ft, wind in zip(bulletin.levels_ft, row) if wind] for name, row in bulletin.rows.items()}
    assert [min(each) for each in heights.values()] == [3000, 6000, 9000]
    assert bulletin.rows["XQB"][1].light_variable
    assert bulletin.rows["XQB"][8].speed_kt == 101.0  # 780158: 280 degrees, 101 kt, -58
    assert bulletin.rows["XQA"][4].temperature_c == -11.0


def test_times_get_their_month_and_the_use_period_its_days():
    bulletin = read_bulletin(BULLETIN, NEAR)
    assert bulletin.based_on == datetime(2027, 5, 15, 12, tzinfo=UTC)
    assert bulletin.valid_at == datetime(2027, 5, 15, 18, tzinfo=UTC)
    assert (bulletin.use_from, bulletin.use_until) == (
        datetime(2027, 5, 15, 14, tzinfo=UTC),
        datetime(2027, 5, 15, 21, tzinfo=UTC),
    )
    over = BULLETIN.replace("151200Z", "311800Z").replace("151800Z", "010000Z").replace("1400-2100Z", "2000-0300Z")
    bulletin = read_bulletin(over, datetime(2027, 5, 31, 21, tzinfo=UTC))
    assert bulletin.based_on == datetime(2027, 5, 31, 18, tzinfo=UTC)
    assert bulletin.valid_at == datetime(2027, 6, 1, tzinfo=UTC)
    assert bulletin.use_from == datetime(2027, 5, 31, 20, tzinfo=UTC)
    assert bulletin.use_until == datetime(2027, 6, 1, 3, tzinfo=UTC)


def test_heights_above_the_field_in_metres_and_knots_in_metres_per_second():
    aloft = read_winds_aloft(BULLETIN, [Pick("XQA", 40.0)], near=NEAR, elevation_m=1000.0)
    first = aloft.levels[0]
    assert first.height_m == pytest.approx(6000 * FT - 1000.0)  # 3,000 ft lies below this field
    assert (first.speed_mps, first.from_deg) == (pytest.approx(30 * KT), 210.0)
    assert any("3,000 ft is not above the field" in note for note in aloft.notes)
    assert aloft.source == "FB XQA 40 km" and aloft.valid_at == datetime(2027, 5, 15, 18, tzinfo=UTC)


def test_light_and_variable_counts_as_calm_and_says_so():
    aloft = read_winds_aloft(BULLETIN, [Pick("XQB", 10.0)], near=NEAR, elevation_m=100.0)
    assert aloft.levels[0].speed_mps == 0.0
    assert any("light and variable" in note and "XQB" in note for note in aloft.notes)


def test_199_or_more_is_no_figure():
    text = BULLETIN.replace("327799", "829948")
    aloft = read_winds_aloft(text, [Pick("XQC", 10.0)], near=NEAR, elevation_m=100.0)
    assert aloft.levels[-1].height_m == pytest.approx(34000 * FT - 100.0)
    assert any("39,000 ft is left out" in note for note in aloft.notes)


def test_between_two_stations_the_parts_are_weighted_not_the_angles():
    """350 degrees 10 kt and 010 degrees 20 kt half way: the closed form gives 3.3637 degrees, 14.7976 kt."""
    text = "VALID 151800Z FOR USE 1400-2100Z\nFT  3000    6000\nXQA 3510 2130+13\nXQB 0120 2130+13\n"
    aloft = read_winds_aloft(text, [Pick("XQA", 30.0), Pick("XQB", 30.0)], near=NEAR, elevation_m=0.0)
    assert aloft.levels[0].from_deg == pytest.approx(3.3637, abs=1e-4)
    assert aloft.levels[0].speed_mps / KT == pytest.approx(14.7976, abs=1e-4)
    nearer = read_winds_aloft(text, [Pick("XQA", 10.0), Pick("XQB", 30.0)], near=NEAR, elevation_m=0.0)
    east = 0.75 * 10 * math.sin(math.radians(170)) + 0.25 * 20 * math.sin(math.radians(190))
    north = 0.75 * 10 * math.cos(math.radians(170)) + 0.25 * 20 * math.cos(math.radians(190))
    assert nearer.levels[0].speed_mps == pytest.approx(math.hypot(east, north) * KT)
    on_the_spot = read_winds_aloft(text, [Pick("XQA", 0.0), Pick("XQB", 30.0)], near=NEAR, elevation_m=0.0)
    assert on_the_spot.levels[0].from_deg == 350.0


def test_a_level_of_one_station_only_is_told():
    aloft = read_winds_aloft(BULLETIN, [Pick("XQA", 30.0), Pick("XQC", 60.0)], near=NEAR, elevation_m=100.0)
    assert any(note == "6,000 ft is of XQA only." for note in aloft.notes)


@pytest.mark.parametrize(
    "spoil, told",
    [
        (lambda text: " ".join(text.split(" ")).replace("     ", " "), "keep the spaces"),
        (lambda text: text.replace("XQB      9900    2725+05", "XQB 9900 2725+05"), "keep the spaces"),
        (lambda text: text.replace("2326+03", "       "), "nothing at 12000 ft"),
        (lambda text: text.replace("246358", "      "), "nothing at 39000 ft"),
        (lambda text: text.replace("2326+03", "2326103"), "tens of degrees"),
        (lambda text: text.replace("2326+03", "232603 "), "without a sign"),
        (lambda text: text.replace("VALID 151800Z", ""), "VALID: found nothing"),
        (lambda text: text.replace("VALID 151800Z", "VALID 351800Z"), 'VALID: found "351800Z"'),
        (lambda text: text.replace("VALID 151800Z", "VALID 011800Z"), "within 5 days"),
        (lambda text: text.replace("1400-2100Z", "2500-2100Z"), "FOR USE: found"),
        (lambda text: text.replace("FT  3000", "    3000"), "no line of heights"),
        (lambda text: text + text, "2 lines of heights"),
        (lambda text: text.replace("XQB  ", "XQA  "), "XQA again"),
        (lambda text: text.replace("XQB ", "XQB\t"), "a tab"),
        (lambda text: text.split("XQA")[0], "no station"),
        (lambda text: text.replace("XQA", "XQ\u00c5"), "U+00C5"),
        (lambda text: "", "found nothing"),
        (lambda text: None, "a text"),
    ],
)
def test_a_spoilt_bulletin_is_refused_in_a_sentence(spoil, told):
    with pytest.raises(WeatherRefused) as refusal:
        read_bulletin(spoil(BULLETIN), NEAR)
    assert told in str(refusal.value)


@pytest.mark.parametrize(
    "picks, elevation_m, told",
    [
        ([], 100.0, "1 to 4"),
        ([Pick("ZZZ", 10.0)], 100.0, "one of the bulletin's: XQA, XQB, XQC"),
        ([Pick("XQA", 10.0), Pick("XQA", 20.0)], 100.0, "the same station twice"),
        ([Pick("XQA", math.nan)], 100.0, "from 0 to 1000 km"),
        ([Pick("XQA", -1.0)], 100.0, "from 0 to 1000 km"),
        ([Pick("XQA", 1.0)], math.nan, "above sea level"),
        ([Pick("XQA", 1.0)], 7000.0, "above sea level"),
    ],
)
def test_a_choice_that_makes_no_sense(picks, elevation_m, told):
    with pytest.raises(WeatherRefused) as refusal:
        winds_over_field(read_bulletin(BULLETIN, NEAR), picks, elevation_m)
    assert told in str(refusal.value)


@given(st.data())
@settings(max_examples=150, deadline=timedelta(seconds=2))
def test_a_bulletin_with_signs_changed_is_read_or_refused(data):
    letters = list(BULLETIN)
    for _ in range(data.draw(st.integers(1, 6))):
        place = data.draw(st.integers(0, len(letters) - 1))
        letters[place] = data.draw(st.sampled_from([*" \n0123456789+-ZFT/\t", "", "XQD", "\u0661"]))
    try:
        aloft = read_winds_aloft("".join(letters), [Pick("XQA", 5.0)], near=NEAR, elevation_m=300.0)
    except WeatherRefused as refusal:
        assert refusal.faults and all(each.where and each.found and each.expected for each in refusal.faults)
    else:
        heights = [level.height_m for level in aloft.levels]
        assert heights == sorted(heights) and heights[0] > 0.0
