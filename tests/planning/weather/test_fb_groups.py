"""Groups of US winds-aloft forecasts, against worked examples in public handbooks and the rules of the code.

The handbooks' examples are as they circulate (FAA aviation weather texts, US Navy CNATRA P-304); those marked
"rules" follow from the coding rules by hand.
"""

import pytest

from service.planning.weather.errors import WeatherRefused
from service.planning.weather.fb_group import decode_group

WORKED = [  # group, level, from, kt, °C
    ("731960", 34000, 230, 119, -60),  # FAA aviation weather text
    ("750456", 39000, 250, 104, -56),  # FAA aviation weather text
    ("2435+07", 9000, 240, 35, 7),  # P-304
    ("274650", 30000, 270, 46, -50),  # P-304
    ("2728-01", 6000, 270, 28, -1),  # rules
    ("3627", 3000, 360, 27, None),  # rules
    ("7512-18", 18000, 250, 112, -18),  # rules
    ("5101-40", 24000, 10, 101, -40),  # rules: the lowest fast direction
    ("869855", 34000, 360, 198, -55),  # rules: the highest
]


@pytest.mark.parametrize("group, level_ft, from_deg, speed_kt, temperature_c", WORKED)
def test_worked_example(group, level_ft, from_deg, speed_kt, temperature_c):
    wind = decode_group(group, level_ft)
    assert (wind.from_deg, wind.speed_kt, wind.temperature_c) == (from_deg, speed_kt, temperature_c)
    assert not wind.light_variable and not wind.or_more


@pytest.mark.parametrize(
    "group, level_ft, temperature_c", [("9900", 3000, None), ("9900+05", 6000, 5), ("990052", 34000, -52)]
)
def test_light_and_variable_has_no_direction(group, level_ft, temperature_c):
    wind = decode_group(group, level_ft)
    assert wind.light_variable and wind.from_deg is None
    assert (wind.speed_kt, wind.temperature_c) == (0.0, temperature_c)


def test_199_kt_or_more():
    """7799 (FAA aviation weather text): 270 degrees, 199 kt or more."""
    wind = decode_group("7799")
    assert (wind.from_deg, wind.speed_kt, wind.or_more, wind.temperature_c) == (270.0, 199.0, True, None)


@pytest.mark.parametrize(
    "group, level_ft, told",
    [
        ("", 3000, "tens of degrees"),
        ("27", 3000, "tens of degrees"),
        ("2728-1", 6000, "tens of degrees"),
        ("27x8", 6000, "tens of degrees"),
        ("٢٧٢٨", 6000, "tens of degrees"),
        ("0000", 3000, "the direction 00"),
        ("3710", 3000, "the direction 37"),
        ("5010", 3000, "the direction 50"),
        ("8710", 3000, "the direction 87"),
        ("9903", 3000, "9900"),
        ("272801", 6000, "without a sign"),
        ("2728+01", 34000, "below zero"),
    ],
)
def test_what_cannot_stand_there_is_refused_with_its_place(group, level_ft, told):
    with pytest.raises(WeatherRefused) as refusal:
        decode_group(group, level_ft)
    assert told in str(refusal.value)
    assert f"{level_ft} ft: found" in str(refusal.value)
