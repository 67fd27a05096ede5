"""Hourly forecasts: CSV there and back, JSON, and every fault at once by line and column."""

import json
from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.models.conditions import Conditions, WindLevel
from service.planning.weather.errors import WeatherRefused
from service.planning.weather.forecast import read_forecast_json
from service.planning.weather.forecast_csv import COLUMNS, read_forecast_csv, write_forecast_csv

TEXT = """\
time,height_m,speed_mps,from_deg,gust_mps,temperature_c,pressure_hpa,relative_humidity,cloud_cover,cloud_base_m,visibility_m
2027-05-15T09:00:00-05:00,10,3.5,220,6,18,978,0.5,0.3,1800,16000
2027-05-15T09:00:00-05:00,600,8,240,,,,,,,
2027-05-15T10:00:00-05:00,600,9,245,,20,977.5,,,,
2027-05-15T10:00:00-05:00,10,4,225,,20,,,,,
"""


def test_rows_become_hours():
    first, second = read_forecast_csv(TEXT.encode(), source="regional model")
    assert first.observed_at == datetime(2027, 5, 15, 14, tzinfo=UTC)
    assert first.source == "regional model"
    assert (first.temperature_c, first.pressure_hpa, first.cloud_base_m) == (18.0, 978.0, 1800.0)
    assert [(level.height_m, level.gust_mps) for level in first.wind] == [(10.0, 6.0), (600.0, None)]
    assert [level.height_m for level in second.wind] == [10.0, 600.0]  # rows in any order
    assert second.relative_humidity is None and second.visibility_m is None


def test_optional_columns_may_be_missing_and_stand_in_any_order():
    text = "pressure_hpa,temperature_c,from_deg,speed_mps,height_m,time\n\n978,18,220,3.5,10,2027-05-15T09:00:00Z\n"
    (hour,) = read_forecast_csv("\ufeff" + text.replace("\n", "\r\n"))
    assert (hour.wind[0].from_deg, hour.pressure_hpa, hour.cloud_cover) == (220.0, 978.0, None)


def line(number: int, old: str, new: str) -> str:
    lines = TEXT.split("\n")
    assert old in lines[number - 1]
    lines[number - 1] = lines[number - 1].replace(old, new, 1)
    return "\n".join(lines)


@pytest.mark.parametrize(
    "text, where, told",
    [
        ("", "the forecast", "empty file"),
        (TEXT.split("\n")[0], "line 2", "no rows"),
        (TEXT.replace(",", ";"), "line 1", "semicolons"),
        (line(1, "speed_mps", "speed"), "line 1", "speed_mps?"),
        (line(1, "speed_mps", "height_m"), "line 1", "the column height_m twice"),
        (line(1, "speed_mps", "source"), "line 1", "no column speed_mps"),
        (line(2, "2027-05-15T09:00:00-05:00", "2027-05-15 09:00"), "line 2, time", "RFC 3339"),
        (line(2, "10,3.5", ",3.5"), "line 2, height_m", "found nothing"),
        (line(2, "10,3.5", "10,"), "line 2, speed_mps", "found nothing"),
        (line(2, "3.5", "3.5kt"), "line 2, speed_mps", "a number with a point"),
        (line(2, "3.5", "nan"), "line 2, speed_mps", "a number with a point"),
        (line(3, "8,240", "8,400"), "line 3, from_deg", "from 0 to 360"),
        (line(3, "600", "10"), "line 3, height_m", "above the level before"),
        (line(2, ",6,", ",2,"), "line 2, gust_mps", "at least the mean speed"),
        (line(2, ",18,", ",180,"), "line 2, temperature_c", "from -60 to 60"),
        (line(5, ",20,", ",21,"), "line 5, temperature_c", "20.0 in line 4"),
        (line(4, "977.5", ""), "line 4, pressure_hpa", "found nothing"),
        (line(2, "0.5,0.3", "50,0.3"), "line 2, relative_humidity", "from 0 to 1"),
        (line(2, "0.5,0.3", "0.5,0"), "line 2, cloud_base_m", "cloud cover of 0"),
        (line(3, ",,,,,,,", ",,,"), "line 3", "cells"),
        (line(3, "600", '"600'), "line 5", "no CSV"),
        (b"time\xff", "line 1", "byte 0xFF"),
        (42, "the forecast", "a CSV file"),
    ],
)
def test_a_fault_names_its_line_and_column(text, where, told):
    with pytest.raises(WeatherRefused) as refusal:
        read_forecast_csv(text)
    assert where in [fault.where for fault in refusal.value.faults], str(refusal.value)
    assert told in str(refusal.value)


def test_all_faults_at_once_in_order():
    text = line(2, "3.5", "fast").replace("8,240", "800,240").replace("977.5", "9775")
    with pytest.raises(WeatherRefused) as refusal:
        read_forecast_csv(text)
    assert [fault.where for fault in refusal.value.faults] == [
        "line 2, speed_mps",
        "line 3, speed_mps",
        "line 4, pressure_hpa",
    ]


def test_a_flood_of_faults_is_counted():
    rows = "\n".join(f"2027-05-15T09:00:00Z,{height},x,220,18,978" for height in range(1, 180))
    with pytest.raises(WeatherRefused) as refusal:
        read_forecast_csv("time,height_m,speed_mps,from_deg,temperature_c,pressure_hpa\n" + rows)
    assert len(refusal.value.faults) == 101 and "79 more faults" in refusal.value.faults[-1].found


def figures(low: float, high: float):
    """Numbers to a billionth of their unit, which is as fine as the file is written to."""
    return st.floats(low, high).map(lambda value: round(value, 9))


_LEVEL = st.fixed_dictionaries(
    {
        "speed_mps": figures(0.0, 55.0),
        "from_deg": figures(0.0, 360.0),
        "gust_mps": st.none() | figures(55.0, 140.0),
    }
)


@st.composite
def hours(draw):
    start = datetime(2027, 5, 15, tzinfo=timezone(timedelta(hours=draw(st.integers(-11, 12)))))
    found = []
    for hour in range(draw(st.integers(1, 3))):
        heights = sorted(draw(st.sets(figures(0.0, 30_000.0), min_size=1, max_size=3)))
        cover = draw(st.none() | figures(0.001, 1.0))
        found.append(
            Conditions(
                observed_at=start + timedelta(hours=hour, seconds=draw(st.integers(0, 3000))),
                source=draw(st.sampled_from(["hourly model", 'a, "quoted" name', "café"])),
                temperature_c=draw(figures(-60.0, 60.0)),
                pressure_hpa=draw(figures(300.0, 1100.0)),
                relative_humidity=draw(st.none() | figures(0.0, 1.0)),
                cloud_cover=cover,
                cloud_base_m=draw(st.none() | figures(0.0, 25_000.0)),
                visibility_m=draw(st.none() | figures(0.0, 500_000.0)),
                wind=tuple(WindLevel(height_m=height, **draw(_LEVEL)) for height in heights),
            )
        )
    return tuple(found)


@given(hours())
@settings(max_examples=60, deadline=timedelta(seconds=2))
def test_written_and_read_back_it_is_the_same(forecast):
    assert read_forecast_csv(write_forecast_csv(forecast)) == forecast


@given(st.data())
@settings(max_examples=120, deadline=timedelta(seconds=2))
def test_a_spoilt_file_is_read_or_refused(data):
    letters = list(TEXT)
    for _ in range(data.draw(st.integers(1, 8))):
        place = data.draw(st.integers(0, len(letters) - 1))
        letters[place] = data.draw(st.sampled_from([*'",\n\r;0123456789.-eTZ+', "", "\0", "\u0663"]))
    try:
        read_forecast_csv("".join(letters))
    except WeatherRefused as refusal:
        assert refusal.faults and all(each.where and each.found and each.expected for each in refusal.faults)


@given(st.binary(max_size=60))
@settings(max_examples=100, deadline=timedelta(seconds=2))
def test_any_bytes_are_read_or_refused(data):
    for read in (read_forecast_csv, read_forecast_json):
        for whole in (data, ",".join(COLUMNS).encode() + b"\n" + data):
            with pytest.raises(WeatherRefused):
                read(whole)


def as_json() -> list:
    return [json.loads(hour.model_dump_json()) for hour in read_forecast_csv(TEXT)]


def test_json_as_a_list_or_as_in_the_document():
    same = read_forecast_csv(TEXT)
    assert read_forecast_json(json.dumps(as_json()).encode()) == same
    assert read_forecast_json(json.dumps({"forecast": as_json()}).encode()) == same


@pytest.mark.parametrize(
    "spoil, where, told",
    [
        (lambda hours: hours[1].update(temperature_c="20"), "/1/temperature_c", "from -60 to 60"),
        (lambda hours: hours[1].pop("pressure_hpa"), "/1/pressure_hpa", "station pressure"),
        (lambda hours: hours[0]["wind"][1].update(from_deg=400), "/0/wind/1/from_deg", "from 0 to 360"),
        (lambda hours: hours[0].update(temprature_c=1), "/0/temprature_c", 'did you mean "temperature_c"'),
        (lambda hours: hours.reverse(), "/1/observed_at", "later than the hour before"),
        (lambda hours: hours.clear(), "the forecast", "1 to 400"),
    ],
)
def test_a_fault_in_json_names_its_pointer(spoil, where, told):
    hours = as_json()
    spoil(hours)
    with pytest.raises(WeatherRefused) as refusal:
        read_forecast_json(json.dumps(hours).encode())
    assert where in [fault.where for fault in refusal.value.faults], str(refusal.value)
    assert told in str(refusal.value)


@pytest.mark.parametrize("data", [b"", b"{", b"3", b"null", b'"x"', b"{}", b'{"forecast": 3}', b"[NaN]", b"[1]"])
def test_json_that_is_no_forecast(data):
    with pytest.raises(WeatherRefused):
        read_forecast_json(data)
