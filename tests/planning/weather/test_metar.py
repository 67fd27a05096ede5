"""METARs: groups against worked examples in public handbooks; then what reaches the field, and what is refused.

Examples marked P-304 and FAA are as they circulate from US Navy CNATRA P-304 and FAA aviation weather texts;
"rules" follow from FMH-1 and WMO-No. 306 by hand (from memory, not re-read). Station names are invented.
"""

import time
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.planning.weather.errors import WeatherRefused
from service.planning.weather.merge import conditions_from
from service.planning.weather.metar import read_metar
from service.planning.weather.metar_groups import decode_metar

NEAR = datetime(2027, 6, 1, 17, 0, tzinfo=UTC)
KT = 1852.0 / 3600.0  # exact, 1929
FT = 0.3048  # exact, 1959
PLAIN = "METAR KXQA 011651Z 14015G28KT 10SM FEW030 SCT120 12/08 A2997 RMK AO2 SLP149 T01280083"


def groups(text: str):
    return decode_metar(f"KXQA 011651Z {text}", NEAR)


def reading(text: str, **more):
    return read_metar(f"KXQA 011651Z {text}", near=NEAR, **{"elevation_m": 300.0, **more})


@pytest.mark.parametrize(
    "text, from_deg, speed_kt, gust_kt",
    [
        ("14015G28KT", 140, 15, 28),  # P-304
        ("33065G105KT", 330, 65, 105),  # P-304
        ("VRB04KT", None, 4, None),  # FAA
        ("21012KT 160V250", 210, 12, None),  # FAA
        ("00000KT", 0, 0, None),  # rules
        ("05006MPS", 50, 11.663, None),  # rules; 1 m/s = 3600/1852 kt
        ("05036KMH", 50, 19.438, None),  # rules
    ],
)
def test_wind(text, from_deg, speed_kt, gust_kt):
    found = groups(text)
    assert (found.from_deg, found.gust_kt) == (from_deg, gust_kt)
    assert found.speed_kt == pytest.approx(speed_kt, abs=5e-4)
    assert found.variable == text.startswith("VRB")
    assert not found.more_than and not found.unread


def test_a_wind_that_turns():
    found = groups("21012KT 160V250")  # FAA
    assert (found.turns_from_deg, found.turns_to_deg) == (160, 250)
    assert any("160°" in note and "250°" in note for note in reading("21012KT 160V250").notes)


@pytest.mark.parametrize(
    "text, temperature_c, dew_point_c",
    [
        ("12/08 A2997 RMK T01280083", 12.8, 8.3),  # P-304
        ("M01/M02 A2997 RMK AO2 T10061017", -0.6, -1.7),  # rules
        ("M02/M07", -2, -7),  # rules
        ("M00/M01", 0, -1),  # rules
        ("12/", 12, None),  # rules
        ("10///", 10, None),  # rules
        ("/////", None, None),  # rules
    ],
)
def test_temperature_and_dew_point(text, temperature_c, dew_point_c):
    found = groups(f"14015KT {text}")
    assert (found.temperature_c, found.dew_point_c) == (temperature_c, dew_point_c)


def test_pressure():
    assert groups("14015KT A2997").altimeter_hpa == pytest.approx(1014.9, abs=0.05)  # 1 inHg = 33.86389 hPa
    assert groups("14015KT Q1013").altimeter_hpa == 1013.0  # rules
    assert groups("14015KT A2997 RMK SLP149").sea_level_hpa == pytest.approx(1014.9)  # rules
    assert groups("14015KT A2997 RMK SLP982").sea_level_hpa == pytest.approx(998.2)  # rules


def test_the_altimeter_setting_is_never_taken_as_station_pressure():
    """30.10 inHg at 1,655 m is 83,474.9 Pa by the pressure-height relation of the standard atmosphere."""
    found = reading("14015KT A3010", elevation_m=1655.0)
    assert found.pressure_hpa == pytest.approx(834.749, abs=0.001)
    assert any("834.7 hPa at the field" in note for note in found.notes)


def test_sea_level_pressure_alone_gives_no_station_pressure():
    assert reading("14015KT 12/08 RMK SLP149").pressure_hpa is None


@pytest.mark.parametrize(
    "text, visibility_m",
    [
        ("10SM", 16093.44),  # statute mile 1609.344 m, exact
        ("1 1/2SM", 1.5 * 1609.344),
        ("M1/4SM", 0.25 * 1609.344),
        ("P6SM", 6 * 1609.344),
        ("9999", 10000.0),  # 10 km or more
        ("0800", 800.0),
        ("4000 1500NW", 1500.0),  # the least one counts
        ("CAVOK", 10000.0),
        ("////", None),
        ("////SM", None),
    ],
)
def test_visibility(text, visibility_m):
    found = groups(f"14015KT {text} 12/08 A2997")
    assert found.visibility_m == (None if visibility_m is None else pytest.approx(visibility_m))


def test_a_bound_on_the_visibility_is_told():
    assert any("or more" in note for note in groups("14015KT P6SM").notes)
    assert any("or more" in note for note in groups("14015KT 9999").notes)
    assert any("less than" in note for note in groups("14015KT M1/4SM").notes)


@pytest.mark.parametrize(
    "text, cover, base_ft",
    [
        ("SKC", 0.0, None),
        ("CLR", 0.0, None),
        ("FEW030", 0.25, 3000),  # 1 to 2 eighths
        ("FEW030 SCT120", 0.5, 3000),  # 3 to 4
        ("BKN005CB OVC010", 1.0, 500),
        ("BKN025", 0.875, 2500),  # 5 to 7
        ("VV002", 1.0, 200),
        ("OVC///", 1.0, None),
        ("///015", None, 1500),
        ("NSC", None, None),
        ("NCD", None, None),
        ("", None, None),
    ],
)
def test_cloud(text, cover, base_ft):
    found = reading(f"14015KT 10SM {text} 12/08 A2997")
    assert found.cloud_cover == cover
    assert found.cloud_base_m == (None if base_ft is None else pytest.approx(base_ft * FT))


def test_cloud_heights_are_above_the_airfield():
    text = "14015KT 10SM SCT030 12/08 A2997"
    found = reading(text, elevation_m=500.0, station_elevation_m=200.0)
    assert found.cloud_base_m == pytest.approx(3000 * FT - 300.0)
    assert reading(text, elevation_m=2000.0, station_elevation_m=200.0).cloud_base_m == 0.0
    assert any("elevation was not given" in note for note in reading(text).notes)


def test_towering_cloud_and_weather_are_told():
    notes = " ".join(reading("14015KT 3SM +TSRA BKN030CB 12/08 A2997").notes)
    assert "thunderstorm" in notes and "cumulonimbus" in notes


def test_weather_that_is_half_a_group_is_no_reason_to_fail():
    assert any("cannot be put into words" in note for note in reading("14015KT 3SM BR/ BKN030 12/08 A2997").notes)


def test_humidity_from_the_dew_point():
    """Bolton 1980: e(20 °C) = 2336.95 Pa, e(10 °C) = 611.2 exp(176.7/253.5) = 1227.1 Pa."""
    assert reading("14015KT 20/10 A2997").relative_humidity == pytest.approx(1227.1 / 2336.95, abs=1e-4)
    assert reading("14015KT 20/20 A2997").relative_humidity == 1.0
    odd = reading("14015KT 20/21 A2997")
    assert odd.relative_humidity is None and any("dew point is above" in note for note in odd.notes)


def test_the_whole_report_at_the_field():
    found = read_metar(PLAIN, near=NEAR, elevation_m=300.0, distance_km=12.4)
    assert found.observed_at == datetime(2027, 6, 1, 16, 51, tzinfo=UTC)
    assert found.source == "METAR KXQA, 12 km away"
    assert (found.speed_mps, found.gust_mps) == (pytest.approx(15 * KT), pytest.approx(28 * KT))
    assert (found.from_deg, found.wind_height_m, found.temperature_c) == (140.0, 10.0, 12.8)


@pytest.mark.parametrize(
    "stamp, near, when",
    [
        ("311651Z", datetime(2027, 6, 1, 2, tzinfo=UTC), datetime(2027, 5, 31, 16, 51, tzinfo=UTC)),
        ("010010Z", datetime(2027, 12, 31, 23, 50, tzinfo=UTC), datetime(2028, 1, 1, 0, 10, tzinfo=UTC)),
        ("290000Z", datetime(2028, 3, 1, 0, tzinfo=UTC), datetime(2028, 2, 29, tzinfo=UTC)),
    ],
)
def test_the_time_gets_its_month_and_year(stamp, near, when):
    assert decode_metar(f"KXQA {stamp} 14015KT", near).observed_at == when


def test_a_trend_forecast_is_not_the_weather():
    found = reading("14015KT 9999 SCT030 12/08 Q1013 TEMPO 30040G60KT 0800 +TSRA BKN005CB")
    assert found.speed_mps == pytest.approx(15 * KT) and found.gust_mps is None
    assert found.visibility_m == 10000.0 and found.cloud_base_m == pytest.approx(3000 * FT)


def test_nothing_is_guessed():
    """No unit, letter O for nought, a bare pressure, a missing visibility: each is named, none becomes a figure."""
    found = groups("14015KT //// FEWO30 12/08 2992 XYZZY")
    assert (found.visibility_m, found.altimeter_hpa, found.layers) == (None, None, ())
    assert set(found.unread) == {"////", "FEWO30", "2992", "XYZZY"}
    notes = reading("14015KT //// FEWO30 12/08 2992 XYZZY").notes
    assert any(note.startswith("Not read:") and "2992" in note for note in notes)
    for missing in ("pressure", "cloud", "visibility"):
        assert f"The report tells no {missing}." in notes


def test_a_variable_wind_needs_a_direction_to_reckon_with():
    with pytest.raises(WeatherRefused) as refusal:
        reading("VRB04KT 12/08 A2997")
    assert refusal.value.faults[0].where == "variable_from_deg"
    found = reading("VRB04KT 12/08 A2997", variable_from_deg=80.0)
    assert (found.from_deg, found.speed_mps) == (80.0, pytest.approx(4 * KT))
    assert any("reckoned from 80°" in note and "anywhere" in note for note in found.notes)
    assert "variable direction, reckoned from 80°" in found.source and found.arc_deg == 360.0
    assert reading("00000KT 12/08 A2997").speed_mps == 0.0


@pytest.mark.parametrize(
    "wind, arc_deg, told",
    [
        # WMO-No. 306, FM 15: the two ends of the arc stand clockwise, the mean within (from memory, not re-read)
        ("14015KT", None, ""),
        ("14015KT 110V170", 60.0, "drawn over 60° about 140°"),
        ("14015KT 120V180", 80.0, "drawn over 80° about 140°"),  # the far end is 40° from the mean: as much either side
        ("35008KT 320V040", 100.0, "drawn over 100° about 350°"),
        ("31010KT 200V100", 300.0, "drawn over 300° about 310°"),
        ("20010KT 190V350", 300.0, "drawn over 300° about 200°"),
        ("14015KT 300V030", 360.0, "lies outside that"),
        ("00000KT", None, ""),
        ("VRB02KT", 360.0, "from every direction alike"),
        ("///04KT", 360.0, "from every direction alike"),
    ],
)
def test_the_arc_holds_all_that_the_report_tells_of_the_direction(wind, arc_deg, told):
    found = reading(f"{wind} 12/08 A2997", variable_from_deg=80.0)
    assert found.arc_deg == arc_deg
    assert told in " ".join(found.notes)
    assert conditions_from(replace(found, pressure_hpa=980.0)).conditions.wind[0].arc_deg == arc_deg


@pytest.mark.parametrize(
    "text, told",
    [
        ("", "nothing"),
        (None, "a text"),
        ("hello", "station"),
        ("METAR KXQA", "time: found nothing"),
        ("KXQA 011651 14015KT", "such as 011651Z"),
        ("KXQA 321651Z 14015KT", "that exist"),
        ("KXQA 012461Z 14015KT", "that exist"),
        ("KXQA 151651Z 14015KT", "within 3 days"),
        ("KXQA 011651Z NIL", "made no report"),
        ("KXQA 011651Z", "no wind that can be read"),
        ("KXQA 011651Z 14015 10SM", "no wind that can be read (14015)"),
        ("KXQA 011651Z 14O15KT 10SM", "no wind that can be read (14O15KT)"),
        ("KXQA 011651Z /////KT 10SM", "no wind that can be read"),
        ("KXQA 011651Z ///15KT 10SM", "no direction at 15 kt"),
        ("KXQA 011651Z 40015KT 10SM", "direction 400"),
        ("KXQA 011651Z 00015KT 10SM", "direction 000 with 15 kt"),
        ("KXQA 011651Z 14015G10KT 10SM", "at least the wind, 15 kt"),
        ("KXQA 011651Z 140P99KT 10SM", "more than 99"),
        ("KXQA 011651Z 14060GP99KT 10SM", "more than 99"),
        ("KXQA 011651Z 14015KT 20015KT", "more than one wind"),
        ("KXQA 011651Z 14015KT A1100", "altimeter: found"),
        ("KXQA 011651Z 14015KT Q1013 A3010", "settings of 1013.0 and"),
        ("KXQA 011651Z 14015KT= KXQB 011651Z 14015KT=", "more than one report"),
        ("KXQA 011651Z 14015KT KXQB 011651Z 15015KT", "a second report"),
        ("TAF KXQA 011720Z 0118/0218 14015KT", "a forecast for an airfield"),
        ("KXQA 011651Z 14015KT \u2603", "U+2603"),
        ("KXQA 011651Z " + "14015KT " * 400, "characters"),
        ("KXQA 011651Z " + "A " * 200, "groups"),
        ("KXQA 011651Z " + "E" * 40, "groups of at most"),
    ],
)
def test_a_report_that_cannot_be_used_is_refused_in_a_sentence(text, told):
    with pytest.raises(WeatherRefused) as refusal:
        read_metar(text, near=NEAR, elevation_m=300.0)
    assert told in str(refusal.value)


@pytest.mark.parametrize("more", [{"distance_km": float("nan")}, {"distance_km": -1.0}, {"variable_from_deg": 400.0}])
def test_a_circumstance_that_makes_no_sense_is_refused(more):
    with pytest.raises(WeatherRefused, match="from 0 to"):
        reading("VRB04KT 12/08 A2997", **{"variable_from_deg": 90.0, **more})


def test_a_field_outside_the_atmosphere_is_refused():
    with pytest.raises(WeatherRefused):
        reading("14015KT A2997", elevation_m=float("nan"))


def test_a_hostile_remark_costs_no_time():
    """The library tries every way to part a row of compass letters in a remark: this one takes it some seconds."""
    start = time.thread_time()
    groups("14015KT A2997 RMK " + "TS EEEEEEEEEEEEEEEEEEEEEEE! " * 55)
    assert time.thread_time() - start < 1.0


_PIECES = st.sampled_from(
    "METAR SPECI KXQA 011651Z 14015G28KT VRB04KT 00000KT 140P99KT 160V250 10SM 1 1/2SM //// 9999 CAVOK +TSRA BR FEW030 "
    "OVC///CB VV002 ///015 12/08 M02/ A2997 Q1013 A//// RMK SLP149 T10061017 T0 TEMPO NOSIG = $ NIL COR R24L/1200FT // "
    "R06/CLRD70 RETS WS ALL RWY BLU 99999 1/0SM M A Q P TS OHD AND LTG VRB 99/99 /////KT 360V999 010V 9999NDV".split()
)


@given(st.lists(_PIECES | st.text("0123456789/MVGKTAQ+-", min_size=1, max_size=9), max_size=14), st.booleans())
@settings(max_examples=300, deadline=timedelta(seconds=2))
def test_any_row_of_groups_is_read_or_refused(pieces, headed):
    text = " ".join((["KXQA", "011651Z", "14015KT"] if headed else []) + pieces)
    try:
        found = read_metar(text, near=NEAR, elevation_m=300.0, variable_from_deg=10.0)
    except WeatherRefused as refusal:
        assert refusal.faults and all(each.where and each.found and each.expected for each in refusal.faults)
    else:
        assert 0.0 <= found.speed_mps <= 60.0 and 0.0 <= found.from_deg <= 360.0


@given(st.text(max_size=80))
@settings(max_examples=150, deadline=timedelta(seconds=2))
def test_any_text_is_read_or_refused(text):
    for whole in (text, "KXQA 011651Z 14015KT " + text):
        try:
            read_metar(whole, near=NEAR, elevation_m=300.0)
        except WeatherRefused:
            pass
