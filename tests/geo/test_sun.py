"""The sun's times: kept promises between functions, polar days, odd zones, refusals."""

from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from geo.errors import BadPosition
from geo.sun import RISE_ZENITH_DEG, _geometric, sun_is_up, sun_position, sun_times

days = st.dates(date(2000, 1, 1), date(2060, 12, 31))


@settings(max_examples=100, deadline=None)
@given(st.floats(-180.0, 180.0), st.floats(-70.0, 70.0), days)
def test_the_sun_stands_at_its_height_when_an_event_is_called(lon_deg, lat_deg, day):
    found = sun_times(lon_deg, lat_deg, day, timezone(timedelta(hours=round(lon_deg / 15.0))))
    assume(found.sun == found.twilight == "crosses")
    assert found.dawn < found.sunrise < found.sunset < found.dusk
    for event, zenith_deg in (
        ("dawn", 96.0),
        ("sunrise", RISE_ZENITH_DEG),
        ("sunset", RISE_ZENITH_DEG),
        ("dusk", 96.0),
    ):
        elevation_deg, _ = _geometric(lon_deg, lat_deg, getattr(found, event))
        assert elevation_deg == pytest.approx(90.0 - zenith_deg, abs=0.005)
    assert sun_is_up(lon_deg, lat_deg, found.sunrise + timedelta(minutes=1))
    assert not sun_is_up(lon_deg, lat_deg, found.sunset + timedelta(minutes=1))


def test_polar_day_and_night_say_which():
    summer = sun_times(20.0, 78.0, date(2026, 6, 20), "Europe/Oslo")
    assert (summer.sunrise, summer.sunset, summer.sun, summer.twilight) == (
        None,
        None,
        "above all day",
        "above all day",
    )
    winter = sun_times(20.0, 78.0, date(2026, 12, 20), "Europe/Oslo")
    assert (winter.sunrise, winter.dawn, winter.sun, winter.twilight) == (None, None, "below all day", "below all day")
    tromso = sun_times(19.0, 69.6, date(2026, 12, 20), "Europe/Oslo")  # no sun, but twilight
    assert tromso.sun == "below all day" and tromso.twilight == "crosses" and tromso.dawn < tromso.dusk
    white_night = sun_times(25.0, 64.0, date(2026, 6, 20), "Europe/Helsinki")
    assert white_night.sun == "crosses" and white_night.twilight == "above all day" and white_night.dusk is None
    assert sun_times(0.0, 90.0, date(2026, 6, 20), "UTC").sun == "above all day"
    assert sun_times(0.0, -90.0, date(2026, 6, 20), "UTC").sun == "below all day"


@pytest.mark.parametrize("zone,lon_deg", [
    ("Pacific/Kiritimati", -157.4), ("Pacific/Auckland", 178.0), ("Pacific/Pago_Pago", -170.7), ("Asia/Shanghai", 76.0),
    ("UTC", 179.9), ("UTC", -179.9),
])  # fmt: skip
def test_noon_falls_on_the_date_asked_for(zone, lon_deg):
    day = date(2026, 5, 2)
    found = sun_times(lon_deg, 2.0, day, zone)
    noon = found.sunrise + (found.sunset - found.sunrise) / 2
    assert noon.date() == day
    assert 11.5 < (found.sunset - found.sunrise) / timedelta(hours=1) < 12.5  # close to the equator


def test_the_sun_crosses_the_sky_from_east_to_west():
    noon = datetime(2026, 3, 20, 12, 7, tzinfo=UTC)
    for lat_deg, bearing_deg in ((50.0, 180.0), (-50.0, 0.0)):
        elevation, bearing = sun_position(0.0, lat_deg, noon)
        assert elevation == pytest.approx(40.0, abs=0.5)
        assert abs((bearing - bearing_deg + 180.0) % 360.0 - 180.0) < 1.5
        assert sun_position(0.0, lat_deg, noon - timedelta(hours=5))[1] == pytest.approx(90.0, abs=20.0)


@pytest.mark.parametrize("call,words", [
    (lambda: sun_times(0.0, 91.0, date(2026, 1, 1), "UTC"), "not on the Earth"),
    (lambda: sun_times(float("nan"), 1.0, date(2026, 1, 1), "UTC"), "finite"),
    (lambda: sun_times(0.0, 1.0, date(2026, 1, 1), "Mars/Olympus"), "not known"),
    (lambda: sun_times(0.0, 1.0, date(2026, 1, 1), "../etc"), "not known"),
    (lambda: sun_times(0.0, 1.0, date(1500, 1, 1), "UTC"), "1900 to 2099"),
    (lambda: sun_position(0.0, 1.0, datetime(2026, 1, 1)), "no offset"),
])  # fmt: skip
def test_refusals(call, words):
    with pytest.raises(BadPosition, match=words):
        call()
