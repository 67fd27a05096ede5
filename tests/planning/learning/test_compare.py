"""Why a flight does not count, and where its landing lies from the estimate: geometry worked out by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from service.models.correction import Correction
from service.planning.learning.cases import cases_of
from service.planning.learning.compare import compared, see
from service.planning.learning.reflights import Reflights, turned
from tests.planning.learning.logs import REED, as_log, changed, demo_day, planned

METRES_A_DEGREE = 111_130.0  # of latitude near 47° north (WGS 84: 111,132.95 - 559.8 cos 94° + ... , common formula)


def seen_of(*lines, corrections=()):
    flights = Reflights(cases_of(demo_day(), as_log(list(lines))), 32, 1)
    return flights, see(flights, corrections, {})


@pytest.fixture(scope="module")
def line():
    return planned(REED, 1, 1.0, 3)[0]


@pytest.mark.parametrize(
    ("values", "why"),
    [
        ({"happened": "no_deployment"}, "it ended otherwise: no deployment"),
        ({"apogee_m": None}, "its apogee was not measured"),
        ({"apogee_m": 0.0}, "a measured apogee of 0 m is none"),
        ({"conditions": None}, "the weather it flew in was not kept"),
    ],
)
def test_why_an_apogee_does_not_count(line, values, why):
    _, (seen,) = seen_of(changed(line, **values))
    assert seen.why_not == why and not seen.counts


def test_a_slip_of_units_is_named(line):
    _, (feet,) = seen_of(changed(line, apogee_m=line.apogee_m / 0.3048))
    assert "feet written as metres?" in feet.why_not
    _, (digit,) = seen_of(changed(line, apogee_m=line.apogee_m / 10.0))
    assert "0.1" in digit.why_not and "slip of the pen" in digit.why_not


def test_what_opens_on_the_way_up_has_no_apogee_to_compare(line):
    """Harrier's delay is too short by design of the demo."""
    entry = demo_day().entry_by_id("e-12")
    _, (seen,) = seen_of(changed(line, entry="e-12", pad=entry.pad, apogee_m=500.0))
    assert "before the apogee" in seen.why_not


def test_a_flight_that_cannot_be_flown_again_is_left_out_and_says_why(line):
    (case,) = cases_of(demo_day(), as_log([line]))
    brick = case.entry.model_copy(update={"rocket": case.entry.rocket.model_copy(update={"mass_kg": 50.0})})
    flights = Reflights([replace(case, entry=brick)], 32, 1)
    (seen,) = see(flights, (), {})
    told = compared(flights, seen, {})
    assert seen.why_not.startswith("it cannot be flown again: ") and not seen.landing_counts
    assert (told.estimated_m, told.spread, told.along_spread_m) == (None, None, None)


def test_the_offset_is_along_and_across_the_wind(line):
    """Wind from the south; landed 60 m farther north and 25 m farther east than estimated: 60 along, 25 across."""
    south = tuple(level.model_copy(update={"from_deg": 180.0}) for level in line.conditions.wind)
    weather = line.conditions.model_copy(update={"wind": south})
    flights, _ = seen_of(changed(line, conditions=weather))
    east, north = flights.landing_m(0, 1.0)
    lon, lat = demo_day().pad_by_name(line.pad).position
    place = (
        lon + (east + 25.0) / (METRES_A_DEGREE * 1.0033 * math.cos(math.radians(lat))),
        lat + (north + 60.0) / (METRES_A_DEGREE * 1.0006),
    )
    _, (seen,) = seen_of(changed(line, conditions=weather, landing=place))
    assert seen.offset_m == pytest.approx((60.0, 25.0), abs=1.0)


def test_calm_air_has_no_direction(line):
    calm = tuple(level.model_copy(update={"speed_mps": 0.1}) for level in line.conditions.wind)
    _, (seen,) = seen_of(changed(line, conditions=line.conditions.model_copy(update={"wind": calm})))
    assert seen.landing_why_not == "the wind was too light, or too variable, to have a direction" and seen.counts


@pytest.mark.parametrize(("arc_deg", "placed"), [(360.0, False), (40.0, True)])
def test_nor_has_a_wind_from_anywhere(line, arc_deg, placed):
    wind = tuple(level.model_copy(update={"arc_deg": arc_deg}) for level in line.conditions.wind)
    _, (seen,) = seen_of(changed(line, conditions=line.conditions.model_copy(update={"wind": wind})))
    assert (seen.landing_why_not == "") is placed


@pytest.mark.parametrize(
    ("down", "expected"), [((0.0, 1.0), (3.0, 2.0)), ((1.0, 0.0), (2.0, -3.0)), ((0.0, -1.0), (-3.0, -2.0))]
)
def test_turned_by_hand(down, expected):
    """2 m east and 3 m north: down a wind to the north, to the east, to the south."""
    assert turned((2.0, 3.0), down) == pytest.approx(expected)


def test_the_correction_in_force_is_in_the_estimate(line):
    correction = Correction(
        rocket=None, drag_factor=1.3, flights=9, evidence="x", by="y", at="2027-05-01T09:00:00-05:00"
    )
    _, (plain,) = seen_of(line)
    _, (corrected,) = seen_of(line, corrections=(correction,))
    assert corrected.apogee_m < 0.95 * plain.apogee_m and corrected.factor == 1.3
