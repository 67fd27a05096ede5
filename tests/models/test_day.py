"""What a launch day answers about itself, and the standard pressure its barometer is held against."""

from __future__ import annotations

from datetime import datetime

import pytest
from pydantic import ValidationError

from service.models.crosscheck import standard_pressure_hpa
from service.models.day import LaunchDay
from service.models.entry import Flyer
from tests.builders import small_day


def test_ceilings_hold_in_their_windows():
    day = LaunchDay.model_validate(small_day())

    def heights(hour: str) -> list[float]:
        return [c.height_m for c in day.ceilings_at(datetime.fromisoformat(f"2028-07-09T{hour}:00-03:00"))]

    assert heights("09:59") == [900.0]
    assert heights("10:00") == heights("11:59") == [900.0, 2200.0]
    assert heights("12:00") == [900.0]  # closed when it closes, so that windows may meet
    assert heights("12:01") == [900.0]


def test_a_single_ceiling_is_a_list_of_one():
    document = small_day()
    document["ceiling"] = {"height_m": 500.0, "datum": "agl"}
    day = LaunchDay.model_validate(document)
    assert [c.height_agl_m(day.field.elevation_m) for c in day.ceilings] == [500.0]


@pytest.mark.parametrize(("wait_s", "fine"), [(59.9, False), (60, True), (3600, True), (3601, False)])
def test_the_wait_after_a_misfire_is_never_less_than_the_codes_ask(wait_s, fine):
    """60 s: NAR Model Rocket Safety Code item 4, High Power item 5, 2012-08. The hour at most is the house's own."""
    document = small_day()
    document["policy"] = {"misfire_wait_s": wait_s}
    if fine:
        assert LaunchDay.model_validate(document).policy.misfire_wait_s == wait_s
    else:
        with pytest.raises(ValidationError, match="a number from 60 to 3,600 s"):
            LaunchDay.model_validate(document)


def test_unknown_ids_are_key_errors():
    day = LaunchDay.model_validate(small_day())
    with pytest.raises(KeyError):
        day.motor_by_id("none")
    with pytest.raises(KeyError):
        day.pad_by_name("none")
    assert day.entry_by_id("n2").rocket.name == "Carancho"


def test_defaults_are_the_stated_ones():
    day = LaunchDay.model_validate(small_day())
    assert (day.policy.outside_caution, day.policy.outside_stop) == (0.01, 0.05)
    assert (day.policy.people_caution, day.policy.people_stop) == (0.001, 0.01)
    assert (day.policy.conditions_max_age_min, day.policy.samples) == (30.0, 1024)
    assert day.policy.misfire_wait_s == 60.0  # NAR Model Rocket Safety Code item 4, High Power item 5, 2012-08
    assert (day.mode_chances.no_deployment, day.mode_chances.main_at_apogee) == (0.03, 0.01)


@pytest.mark.parametrize(("height_m", "pascals"), [(0, 101325), (1000, 89876.3), (2000, 79501.4), (5000, 54048.3)])
def test_pressure_of_the_standard_atmosphere(height_m, pascals):
    """U.S. Standard Atmosphere, 1976, Table I: rows at 0, 1, 2 and 5 km, to half a pascal."""
    assert 100.0 * standard_pressure_hpa(height_m) == pytest.approx(pascals, abs=0.5)


@pytest.mark.parametrize(
    ("adult", "named", "faulty"), [(False, None, True), (False, "Adult 1", False), (True, None, False)]
)
def test_a_minor_comes_with_the_name_of_an_adult(adult, named, faulty):
    """The house's own rule: whoever is under 18 flies with an adult who answers for it."""
    flyer = {"name": "Flyer 1", "adult": adult, "certification": 0, "responsible_adult": named}
    if faulty:
        with pytest.raises(ValidationError, match="the adult who answers"):
            Flyer.model_validate(flyer)
    else:
        assert Flyer.model_validate(flyer).responsible_adult == named
