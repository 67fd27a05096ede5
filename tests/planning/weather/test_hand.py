"""Readings by hand: units, compass, humidity, both kinds of pressure, and every slip in a sentence."""

import math
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.planning.weather.errors import WeatherRefused
from service.planning.weather.hand import FIELDS, read_hand

AT = datetime(2027, 5, 15, 14, 0, tzinfo=UTC)


def read(elevation_m=310.0, declination_deg=None, **fields):
    return read_hand(
        {"wind_speed": "3.5", "wind_from_deg": "220", **fields},
        at=AT,
        elevation_m=elevation_m,
        declination_deg=declination_deg,
    )


def test_a_wind_that_turned_about():
    assert read(wind_arc_deg="80").arc_deg == 80.0 and read(wind_arc_deg="0").arc_deg is read().arc_deg is None
    with pytest.raises(WeatherRefused, match="wind_arc_deg: found 361"):
        read(wind_arc_deg="361")


@pytest.mark.parametrize(
    "speed, unit, speed_mps",
    [
        ("3.5", "m/s", 3.5),
        ("10", "kt", 18520.0 / 3600.0),  # nautical mile 1852 m, 1929
        ("20", "mph", 20 * 1609.344 / 3600.0),  # mile 1609.344 m, 1959
        ("18", "km/h", 5.0),
        (7, "m/s", 7.0),
    ],
)
def test_wind_in_the_unit_of_the_meter(speed, unit, speed_mps):
    found = read(wind_speed=speed, wind_unit=unit, wind_gust=speed)
    assert found.speed_mps == pytest.approx(speed_mps)
    assert found.gust_mps == pytest.approx(speed_mps)


def test_a_hand_is_held_up_two_metres():
    assert read().wind_height_m == 2.0
    assert read(wind_height="10", height_unit="ft").wind_height_m == pytest.approx(3.048)


def test_a_compass_bearing_is_turned_by_the_declination():
    """True = magnetic + declination, east positive."""
    assert read(wind_from_by="magnetic", declination_deg=4.5).from_deg == 224.5
    assert read(wind_from_deg="3", wind_from_by="magnetic", declination_deg=-7.0).from_deg == 356.0
    with pytest.raises(WeatherRefused, match="the declination here is not known"):
        read(wind_from_by="magnetic")


def test_a_calm_needs_no_direction_and_a_wind_does():
    assert read(wind_speed="0", wind_from_deg="").speed_mps == 0.0
    with pytest.raises(WeatherRefused, match="wind_from_deg: found nothing"):
        read(wind_from_deg=None)


@pytest.mark.parametrize(
    "given_, unit, temperature_c", [("18", "C", 18.0), ("68", "F", 20.0), ("-40", "F", -40.0), ("-5", "C", -5.0)]
)
def test_temperature(given_, unit, temperature_c):
    assert read(temperature=given_, temperature_unit=unit).temperature_c == pytest.approx(temperature_c)


def test_humidity_from_either():
    """Bolton 1980: e(20 °C) = 2336.95 Pa, e(10 °C) = 1227.1 Pa."""
    assert read(humidity_percent="45").relative_humidity == 0.45
    dew = read(temperature="68", dew_point="50", temperature_unit="F")
    assert dew.relative_humidity == pytest.approx(1227.1 / 2336.95, abs=1e-4)


@pytest.mark.parametrize(
    "pressure, unit", [("978", "hPa"), ("97.8", "kPa"), ("28.880", "inHg"), ("733.56", "mmHg")]
)  # 1 inHg = 33.86389 hPa
def test_station_pressure(pressure, unit):
    assert read(pressure=pressure, pressure_unit=unit).pressure_hpa == pytest.approx(978.0, abs=0.02)


def test_altimeter_setting():
    """30.10 inHg at 1,655 m is 83,474.9 Pa by the pressure-height relation of the standard atmosphere."""
    found = read(elevation_m=1655.0, pressure="30.10", pressure_unit="inHg", pressure_is="altimeter")
    assert found.pressure_hpa == pytest.approx(834.749, abs=0.001)


def test_sea_level_pressure_given_for_a_high_field_is_asked_about():
    with pytest.raises(WeatherRefused, match="is this the altimeter setting"):
        read(elevation_m=1655.0, pressure="1019.3")


def test_cloud_and_visibility():
    found = read(cloud_oktas="4", cloud_base="3000", height_unit="ft", visibility="10", visibility_unit="mi")
    assert (found.cloud_cover, found.cloud_base_m) == (0.5, pytest.approx(914.4))
    assert found.visibility_m == pytest.approx(16093.44)


def test_what_was_not_measured_is_not_known():
    found = read(temperature="", humidity_percent=" ", pressure=None)
    told = (found.temperature_c, found.pressure_hpa, found.relative_humidity, found.cloud_cover, found.visibility_m)
    assert told == (None,) * 5


@pytest.mark.parametrize(
    "fields, where, told",
    [
        ({"wind_speed": ""}, "wind_speed", "nothing"),
        ({"wind_speed": "3,5"}, "wind_speed", "a point before decimals"),
        ({"wind_speed": "nan"}, "wind_speed", "a number"),
        ({"wind_speed": math.inf}, "wind_speed", "a number"),
        ({"wind_speed": True}, "wind_speed", "a number"),
        ({"wind_speed": 10**400}, "wind_speed", "a number"),
        ({"wind_speed": "-1"}, "wind_speed", "from 0 to 60 m/s"),
        ({"wind_speed": "200", "wind_unit": "kt"}, "wind_speed", "200 kt (102.9 m/s)"),
        ({"wind_unit": "Bft"}, "wind_speed", "one of m/s, kt, mph, km/h"),
        ({"wind_gust": "2"}, "wind_gust", "at least the mean wind, 3.5 m/s"),
        ({"wind_from_deg": "361"}, "wind_from_deg", "from 0 to 360"),
        ({"wind_from_by": "grid"}, "wind_from_by", "true or magnetic"),
        ({"wind_height": "80"}, "wind_height", "from 0.5 to 20 m"),
        ({"temperature": "68"}, "temperature", "is the unit right?"),
        ({"temperature": "10", "dew_point": "12"}, "dew_point", "at most the temperature, 10"),
        ({"dew_point": "12"}, "temperature", "goes with the dew point"),
        ({"temperature": "20", "dew_point": "12", "humidity_percent": "50"}, "dew_point", "one of the two"),
        ({"humidity_percent": "101"}, "humidity_percent", "from 0 to 100"),
        ({"pressure": "28.88"}, "pressure", "from 300 to 1,100 hPa"),
        ({"pressure": "28.88", "pressure_unit": "inHg", "pressure_is": "QNH"}, "pressure_is", "station or altimeter"),
        ({"pressure": "834", "pressure_is": "altimeter"}, "pressure", "from 870 to 1,085"),
        ({"cloud_oktas": "9"}, "cloud_oktas", "from 0 to 8"),
        ({"cloud_oktas": "0", "cloud_base": "500"}, "cloud_base", "clear sky"),
        ({"visibility": "-3"}, "visibility", "from 0 to 500,000 m"),
        ({"wnd": "3"}, '"wnd"', "one of wind_speed"),
    ],
)
def test_a_slip_is_refused_beside_its_field(fields, where, told):
    with pytest.raises(WeatherRefused) as refusal:
        read(**fields)
    assert where in [fault.where for fault in refusal.value.faults]
    assert told in str(refusal.value)


def test_all_slips_at_once():
    with pytest.raises(WeatherRefused) as refusal:
        read(wind_speed="x", temperature="99", cloud_oktas="9", visibility="far")
    assert len(refusal.value.faults) == 4


def test_no_object_and_no_offset():
    with pytest.raises(WeatherRefused, match="an object of fields"):
        read_hand([1], at=AT, elevation_m=0.0)
    with pytest.raises(WeatherRefused, match="offset from UTC"):
        read_hand({"wind_speed": "0"}, at=datetime(2027, 5, 15), elevation_m=0.0)


_VALUES = st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=6) | st.sampled_from(
    ["3.5", "kt", "mph", "magnetic", "altimeter", "inHg", "F", "ft", "29.92", "1013", "270", "0"]
)  # fmt: skip


@given(
    st.dictionaries(st.sampled_from(sorted(FIELDS)) | st.text(max_size=4), _VALUES | st.lists(st.integers())),
    st.floats(),
    st.none() | st.floats(),
)
@settings(max_examples=250, deadline=timedelta(seconds=2))
def test_any_form_is_read_or_refused(fields, elevation_m, declination_deg):
    try:
        found = read_hand(fields, at=AT, elevation_m=elevation_m, declination_deg=declination_deg)
    except WeatherRefused as refusal:
        assert refusal.faults
    else:
        assert 0.0 <= found.speed_mps <= 60.0 and 0.0 <= found.from_deg <= 360.0
