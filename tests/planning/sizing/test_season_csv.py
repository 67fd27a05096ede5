"""A season's CSV: what is read, what is refused and where, and hours without a reading."""

from __future__ import annotations

import numpy as np
import pytest

from service.planning.sizing.errors import TableRefused
from service.planning.sizing.season_csv import read_winds_csv
from tests.planning.sizing.seasons import demo_winds, winds_text

HEADER = "time,wind_speed_mps,wind_from_deg"
ALOFT = f"{HEADER},wind_speed_600m_mps,wind_from_600m_deg"


def rows(*lines: str, header: str = HEADER) -> str:
    return "\n".join([header, *lines])


def faults(text: str | bytes) -> list[str]:
    with pytest.raises(TableRefused) as refused:
        read_winds_csv(text, "winds.csv")
    return [str(fault) for fault in refused.value.faults]


def test_hours_without_a_row_are_there_and_unknown():
    found = read_winds_csv(rows("2026-04-01T09:00:00-05:00,3,200", "2026-04-01T12:00:00-05:00,4.5,210"))
    assert len(found.starts) == 4 and found.known.tolist() == [True, False, False, True]
    assert found.speed_mps[3] == 4.5 and found.from_deg[0] == 200.0


def test_order_blank_lines_and_a_byte_order_mark_do_not_matter():
    mixed = rows("2026-04-01T10:00:00-05:00,4,210", "", "2026-04-01T09:00:00-05:00,3,200")
    found = read_winds_csv(b"\xef\xbb\xbf" + mixed.encode())
    assert found.speed_mps.tolist() == [3.0, 4.0]


def test_columns_in_another_order_and_times_in_utc_read_the_same():
    one = read_winds_csv(rows("2026-04-01T09:00:00-05:00,3,200"))
    other = read_winds_csv(rows("200,2026-04-01T14:00:00Z,3", header="wind_from_deg,time,wind_speed_mps"))
    assert one.starts == other.starts and one.speed_mps == other.speed_mps


def test_empty_cells_are_unknown_and_a_calm_needs_no_direction():
    found = read_winds_csv(
        rows("2026-04-01T09:00:00-05:00,,", "2026-04-01T10:00:00-05:00,0,", "2026-04-01T11:00:00-05:00,3,")
    )
    assert found.known.tolist() == [False, True, False] and np.isnan(found.speed_mps[0])


def test_a_calm_takes_its_direction_from_aloft():
    found = read_winds_csv(rows("2026-04-01T09:00:00-05:00,0,,6,250", header=ALOFT))
    assert found.aloft_height_m == 600.0 and found.from_deg[0] == 250.0 and found.known[0]


def test_an_hour_whose_wind_aloft_is_missing_is_unknown():
    found = read_winds_csv(rows("2026-04-01T09:00:00-05:00,3,200,6,220", "2026-04-01T10:00:00-05:00,3,200,,",
                                header=ALOFT))  # fmt: skip
    assert found.known.tolist() == [True, False]


@pytest.mark.parametrize(
    "line, where, said",
    [
        ("2026-04-01T09:00:00-05:00,fast,200", "line 3, wind_speed_mps", "from 0 to 60 m/s"),
        ("2026-04-01T09:00:00-05:00,3.5e1,200", "line 3, wind_speed_mps", "a point before decimals"),
        ("2026-04-01T09:00:00-05:00,61,200", "line 3, wind_speed_mps", "from 0 to 60 m/s"),
        ("2026-04-01T09:00:00-05:00,-1,200", "line 3, wind_speed_mps", "from 0 to 60 m/s"),
        ("2026-04-01T09:00:00-05:00,nan,200", "line 3, wind_speed_mps", "from 0 to 60 m/s"),
        ("2026-04-01T09:00:00-05:00,3,361", "line 3, wind_from_deg", "from 0 to 360 degrees"),
        ("2026-04-01T09:00:00,3,200", "line 3, time", "with its offset"),
        ("2026-02-30T09:00:00-05:00,3,200", "line 3, time", "with its offset"),
        ("2026-04-01T09:20:00-05:00,3,200", "line 3, time", "start of an hour"),
        ("2026-04-01T09:00:00-05:30,3,200", "line 3, time", "in step"),
        ("2026-04-01T08:00:00-05:00,3,200", "line 3, time", "each hour once"),
        ("2026-04-01T13:00:00Z,3,200", "line 3, time", "each hour once"),
        ("2026-04-01T09:00:00-05:00,3", "line 3", "3, as the header has"),
        ("1850-04-01T09:00:00-05:00,3,200", "line 3, time", "1901 to 2098"),
    ],
)
def test_a_bad_row_is_named_with_what_would_be_right(line, where, said):
    (fault,) = faults(rows("2026-04-01T08:00:00-05:00,3,200", line))
    assert fault.startswith(f"{where}: found") and said in fault


def test_every_fault_is_listed():
    text = rows("yesterday,3,200", "2026-04-01T09:00:00-05:00,99,400", "2026-04-01T10:00:00-05:00,3,200")
    assert [each.split(":")[0] for each in faults(text)] == [
        "line 2, time", "line 3, wind_from_deg", "line 3, wind_speed_mps",
    ]  # fmt: skip


@pytest.mark.parametrize(
    "text, said",
    [
        ("", "an empty file"),
        (HEADER, "without rows"),
        ("time,wind_speed,wind_from_deg\n2026-04-01T09:00:00-05:00,3,200", "did you mean wind_speed_mps"),
        ("time,wind_speed_mps\n2026-04-01T09:00:00-05:00,3", "no column wind_from_deg"),
        (f"{HEADER},time\n2026-04-01T09:00:00-05:00,3,200,x", "twice"),
        ("time;wind_speed_mps;wind_from_deg\n", "a header such as"),
        (f"{HEADER},wind_speed_600m_mps\n2026-04-01T09:00:00-05:00,3,200,4", "both columns"),
        (f"{HEADER},wind_speed_20m_mps,wind_from_20m_deg\n2026-04-01T09:00:00-05:00,3,200,4,5", "from 50 to"),
        (rows("2026-04-01T09:00:00-05:00,,"), "no hour with a wind speed"),
        (rows("2026-04-01T09:00:00-05:00,3,200", "2046-04-01T09:00:00-05:00,3,200"), "at most five years"),
        (rows('2026-04-01T09:00:00-05:00,"3,200'), "no CSV"),
        (b"time\xff", "UTF-8"),
        (HEADER.encode("utf-16"), "UTF-8"),
    ],
)
def test_a_file_that_cannot_be_used_says_why(text, said):
    assert said in " ".join(faults(text))


def test_the_demo_season_is_what_it_says():
    winds = demo_winds()
    assert len(winds.starts) == 214 * 24  # April to October
    assert winds.aloft_height_m == 600.0
    unknown = int((~winds.known).sum())
    assert 0 < unknown < 0.03 * len(winds.starts)
    assert np.nanmax(winds.speed_mps) < 20.0 and np.nanmean(winds.aloft_mps) > np.nanmean(winds.speed_mps)


def test_a_thousand_faults_are_cut_short():
    text = rows(*(f"hour {number},3,200" for number in range(1000)))
    found = faults(text)
    assert len(found) == 101 and "900 more faults" in found[-1]


def test_the_fingerprint_is_that_of_the_bytes():
    import hashlib

    text = winds_text(5)
    assert read_winds_csv(text).fingerprint == hashlib.sha256(text.encode()).hexdigest()
