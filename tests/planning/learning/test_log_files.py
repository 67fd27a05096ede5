"""Reading a log: what stands in a cell is what comes out, and every fault is told with its line and column.

Expected values are written out by hand in the rows below.
"""

from __future__ import annotations

import json

import pytest

from service.planning.errors import DocumentRefused
from service.planning.learning.cases import cases_of
from service.planning.learning.log_files import COLUMNS, read_log, write_log
from tests.planning.learning.logs import demo_day, planned

HEADER = "entry,flown_at,pad,happened,apogee_m,landing_lon_deg,landing_lat_deg,temperature_c,pressure_hpa," \
    "relative_humidity,wind,note"  # fmt: skip
ROW = (
    "e-07,2027-05-01T09:00:00-05:00,B1,planned,241.5,-97.5093,46.9183,12.5,978,0.5,2:3.5:220;300:7:235,first of the day"
)


def read(*rows: str, header: str = HEADER):
    return read_log("\n".join([header, *rows]).encode())


def faults(*rows: str, header: str = HEADER):
    with pytest.raises(DocumentRefused) as refused:
        read(*rows, header=header)
    return {fault.pointer: f"{fault.found} {fault.expected}" for fault in refused.value.faults}


def test_a_row_is_read_whole():
    (line,) = read(ROW).flights
    assert (line.entry, line.pad, line.happened, line.apogee_m) == ("e-07", "B1", "planned", 241.5)
    assert line.landing == (-97.5093, 46.9183) and line.note == "first of the day"
    assert line.flown_at.isoformat() == "2027-05-01T09:00:00-05:00" == line.conditions.observed_at.isoformat()
    assert [(w.height_m, w.speed_mps, w.from_deg) for w in line.conditions.wind] == [(2, 3.5, 220), (300, 7, 235)]
    assert line.conditions.temperature_c == 12.5 and line.motor is None and line.estimated_apogee_m is None


def test_the_arc_of_a_variable_wind_is_read_and_written_with_or_without_a_gust():
    log = read(ROW.replace("2:3.5:220;300:7:235", "2:3.5:220::360;50:4:220:6:80;300:7:235:9"))
    (line,) = log.flights
    assert [(w.gust_mps, w.arc_deg) for w in line.conditions.wind] == [(None, 360.0), (6.0, 80.0), (9.0, None)]
    assert read_log(write_log(log).encode()).flights[0].conditions.wind == line.conditions.wind
    for wrong in ("2:3.5:", "2:3.5:220:5:80:1", "2::220"):
        assert "/2/wind" in faults(ROW.replace("2:3.5:220;300:7:235", wrong))


def test_only_four_columns_are_needed():
    (line,) = read("e-07,2027-05-01T09:00:00-05:00,B1,lost", header="entry,flown_at,pad,happened").flights
    assert line.happened == "lost" and line.conditions is None and line.apogee_m is None


def test_csv_and_json_say_the_same():
    log = read(ROW)
    assert (
        read_log(write_log(log).encode()).flights[0].model_copy(update={"conditions": log.flights[0].conditions})
        == log.flights[0]
    )
    assert read_log(log.model_dump_json().encode()) == log


@pytest.mark.parametrize(
    ("find", "put", "where", "said"),
    [
        ("241.5", "high", "/2/apogee_m", "a number written with a point"),
        ("241.5", "nan", "/2/apogee_m", "not a number"),
        ("241.5", "-3", "/2/apogee_m", "from 0 to 150,000"),
        ("planned", "fine", "/2/happened", '"fine"'),
        ("-97.5093", "", "/2/landing_lon_deg", "longitude and latitude, or neither"),
        ("46.9183", "146.9", "/2/landing_lat_deg", "latitude"),
        ("-05:00", "", "/2/flown_at", "RFC 3339"),
        ("978", "", "/2/pressure_hpa", "the whole weather of the flight"),
        ("978", "29.9", "/2/pressure_hpa", "300"),
        ("2:3.5:220", "2:3.5", "/2/wind", "height_m:speed_mps:from_deg"),
        ("2:3.5:220", "400:3.5:220", "/2/wind", "above the level before"),
        (",first", ",,first", "/2", "12, as in the header"),
    ],
)
def test_a_fault_is_told_with_line_and_column(find, put, where, said):
    found = faults(ROW.replace(find, put, 1))
    assert list(found) == [where] and said in found[where]


def test_faults_of_all_lines_are_told_at_once():
    found = faults(ROW, ROW.replace("241.5", "x"), "", ROW.replace("planned", "y"))
    assert set(found) == {"/3/apogee_m", "/5/happened"}


@pytest.mark.parametrize(
    ("header", "said"),
    [
        (HEADER.replace("pad,", ""), 'no column "pad"'),
        (HEADER.replace("note", "remarks"), 'a column "remarks"'),
        (HEADER.replace("note", "pad"), 'the column "pad" 2 times'),
    ],
)
def test_the_header_is_checked_first(header, said):
    found = faults(ROW, header=header)
    assert list(found) == ["/1"] and said in found["/1"]


@pytest.mark.parametrize("data", [b"", b"\xff\xfe", b"{", b'{"flights": 3}', b"[]"])
def test_what_is_no_log_is_refused(data):
    with pytest.raises(DocumentRefused) as refused:
        read_log(data)
    assert refused.value.faults


def test_a_misfire_measured_nothing():
    assert "happened" in next(iter(faults(ROW.replace("planned", "misfire"))))


def test_entries_pads_and_motors_are_those_of_the_day():
    rows = (
        ROW.replace("e-07", "e-99"), ROW.replace("B1", "Z9"),
    )  # fmt: skip
    with pytest.raises(DocumentRefused) as refused:
        cases_of(demo_day(), read(*rows))
    assert [fault.pointer for fault in refused.value.faults] == ["/flights/0/entry", "/flights/1/pad"]
    header, row = HEADER + ",motor,delay_s", ROW + ",tarn-bridge-l720,5"
    with pytest.raises(DocumentRefused) as refused:  # a motor of 75 mm in a mount of 24 mm
        cases_of(demo_day(), read(row, header=header))
    assert {fault.pointer for fault in refused.value.faults} <= {"/flights/0/motor", "/flights/0/delay_s"}
    (case,) = cases_of(demo_day(), read(ROW + ",lantern-c11,4", header=header))
    assert (case.entry.motor, case.entry.delay_s) == ("lantern-c11", 4.0)


def test_weather_is_that_of_the_flight_or_of_its_day_or_unknown():
    bare = ROW.replace("12.5,978,0.5,2:3.5:220;300:7:235", ",,,")
    log = read(ROW, bare.replace("09:00", "11:00"), bare.replace("05-01", "05-15"))
    own, other, same_day = cases_of(demo_day(), log)
    assert own.conditions.temperature_c == 12.5 and same_day.conditions == demo_day().conditions
    assert other.conditions is None and other.why_not == "the weather it flew in was not kept"


def test_every_column_is_written_and_known():
    text = write_log(read(ROW))
    assert tuple(text.splitlines()[0].split(",")) == COLUMNS
    lines = planned("e-07", 1, 1.1, 1)
    document = json.loads(lines[0].model_dump_json())
    assert {"estimated_apogee_m", "estimated_landing", "conditions"} <= set(document)
