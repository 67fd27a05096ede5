"""A reading over the conditions in force: what is kept, for how long, and that its age is never lost on the way."""

from datetime import UTC, datetime, timedelta

import pytest

from service.models.conditions import Conditions, WindLevel
from service.models.policy import Policy
from service.planning.weather.errors import WeatherRefused
from service.planning.weather.merge import NO_WINDS_ALOFT, conditions_from, with_aloft
from service.planning.weather.provenance import Provenance, provenance_of
from service.planning.weather.reading import Aloft, SurfaceReading
from service.planning.weather.times import age_min, day_time, is_stale

NINE = datetime(2027, 5, 15, 14, 0, tzinfo=UTC)  # nine in the morning at the field
MINUTE = timedelta(minutes=1)


def wind(height_m: float, speed_mps: float = 8.0) -> WindLevel:
    return WindLevel(height_m=height_m, speed_mps=speed_mps, from_deg=240.0)


def before(**changes) -> Conditions:
    fields = {
        "observed_at": NINE,
        "source": "mast at the pads",
        "temperature_c": 18.0,
        "pressure_hpa": 978.0,
        "relative_humidity": 0.5,
        "cloud_cover": 0.3,
        "cloud_base_m": 1800.0,
        "visibility_m": 16000.0,
        "wind": (wind(2.0, 3.5), wind(600.0), wind(1500.0, 11.0)),
    }
    return Conditions(**{**fields, **changes})


def gust_only(minutes: float, speed_mps: float = 6.0, **more) -> SurfaceReading:
    at = NINE + minutes * MINUTE
    return SurfaceReading(
        observed_at=at, source="hand meter", speed_mps=speed_mps, from_deg=200.0, wind_height_m=2.0, **more
    )


ALOFT = Aloft((wind(900.0), wind(1800.0)), "FB XQA 40 km", NINE + 240 * MINUTE, NINE, NINE + 420 * MINUTE)


def test_only_the_wind_is_new():
    intake = conditions_from(gust_only(20), before())
    found = intake.conditions
    assert found.observed_at == NINE + 20 * MINUTE
    assert [(level.height_m, level.speed_mps) for level in found.wind] == [(2.0, 6.0), (600.0, 8.0), (1500.0, 11.0)]
    kept = (found.temperature_c, found.pressure_hpa, found.cloud_cover, found.cloud_base_m, found.visibility_m)
    assert kept == (18.0, 978.0, 0.3, 1800.0, 16000.0)
    assert found.source == "hand meter; kept T p RH cloud vis 151400Z; aloft 151400Z mast at the pads"
    assert any("winds above 20 m are kept from 2027-05-15 14:00 UTC (mast at the pads)" in n for n in intake.notes)


def test_many_small_readings_do_not_make_old_cloud_look_fresh():
    conditions = before()
    for minutes in (20, 29, 40):
        intake = conditions_from(gust_only(minutes), conditions)
        conditions = intake.conditions
    assert conditions.cloud_cover is None and conditions.visibility_m is None and conditions.relative_humidity is None
    assert any("visibility of 2027-05-15 14:00 UTC is too old" in note for note in intake.notes)
    assert provenance_of(conditions).kept == {"T": NINE, "p": NINE}
    assert provenance_of(conditions).aloft == (NINE, "mast at the pads")


def test_temperature_must_be_read_anew_after_three_hours():
    conditions = before()
    for minutes in (60, 120, 179):
        conditions = conditions_from(gust_only(minutes), conditions).conditions
    with pytest.raises(WeatherRefused) as refusal:
        conditions_from(gust_only(181), conditions)
    assert [fault.where for fault in refusal.value.faults] == ["temperature", "pressure"]
    assert "the last is of 2027-05-15 14:00 UTC" in str(refusal.value)
    fresh = conditions_from(gust_only(181, temperature_c=25.0, pressure_hpa=977.0), conditions).conditions
    assert provenance_of(fresh).kept == {}


def test_a_new_temperature_keeps_the_vapour_not_the_humidity():
    """Bolton 1980: e(18 °C) = 2063.1, e(24 °C) = 2982.9 Pa; 0.5 of the first is 0.3458 of the second."""
    found = conditions_from(gust_only(10, temperature_c=24.0), before()).conditions
    assert found.relative_humidity == pytest.approx(0.3458, abs=2e-4)


def test_the_first_reading_of_a_day():
    with pytest.raises(WeatherRefused, match="temperature: found nothing; expected the temperature at the pads"):
        conditions_from(gust_only(0))
    intake = conditions_from(gust_only(0, temperature_c=18.0, pressure_hpa=978.0))
    assert intake.conditions.source == "hand meter" and intake.notes == (NO_WINDS_ALOFT,)


def test_new_winds_aloft_take_the_place_of_the_old():
    intake = conditions_from(gust_only(5), before(), ALOFT)
    assert [level.height_m for level in intake.conditions.wind] == [2.0, 900.0, 1800.0]
    assert intake.conditions.source.endswith("; aloft 151800Z FB XQA 40 km")
    late = conditions_from(gust_only(430, temperature_c=18.0, pressure_hpa=978.0), before(), ALOFT)
    assert any("for use from" in note for note in late.notes)


def test_winds_aloft_alone_leave_the_surface_its_time():
    first = conditions_from(gust_only(20), before()).conditions
    found = with_aloft(first, ALOFT).conditions
    assert found.observed_at == first.observed_at and found.temperature_c == 18.0
    assert [level.height_m for level in found.wind] == [2.0, 900.0, 1800.0]
    assert found.source == "hand meter; kept T p RH cloud vis 151400Z; aloft 151800Z FB XQA 40 km"
    with pytest.raises(WeatherRefused, match="no surface wind"):
        with_aloft(before(wind=(wind(600.0),)), ALOFT)


def test_winds_aloft_are_kept_half_a_day():
    reading = gust_only(12 * 60 + 1, temperature_c=18.0, pressure_hpa=978.0)
    intake = conditions_from(reading, before())
    assert [level.height_m for level in intake.conditions.wind] == [2.0]
    assert NO_WINDS_ALOFT in intake.notes


def test_a_reading_older_than_the_conditions_in_force_is_told():
    notes = conditions_from(gust_only(-10), before()).notes
    assert "The conditions in force are newer, of 2027-05-15 14:00 UTC." in notes


def test_a_reading_that_contradicts_itself_is_refused():
    with pytest.raises(WeatherRefused, match="at least the mean speed"):
        conditions_from(gust_only(5, gust_mps=2.0), before())
    with pytest.raises(WeatherRefused, match="pressure_hpa: found 100"):
        conditions_from(gust_only(5, pressure_hpa=100.0), before())


@pytest.mark.parametrize("length", [1, 40, 119, 300])
def test_the_source_line_fits_and_reads_back(length):
    kept = {part: NINE - minutes * MINUTE for minutes, part in enumerate(("T", "p", "RH", "cloud", "vis"))}
    line = Provenance("x" * length, kept, (NINE, "y; aloft " * length)).line()
    assert len(line) <= 120
    read = provenance_of(before(source=line))
    assert read.kept == kept and read.aloft is not None and read.aloft[0] == NINE
    assert read.surface.startswith("x")


def test_any_other_source_is_taken_whole():
    for source in ("a meter; kept clean", "hand; aloft nonsense", "; kept T 151400Z"):
        read = provenance_of(before(source=source))
        assert read.aloft is None and read.surface


def test_age_and_staleness():
    policy = Policy(conditions_max_age_min=30.0)
    assert age_min(before(), NINE + 12.5 * MINUTE) == 12.5
    assert not is_stale(before(), NINE + 30 * MINUTE, policy)
    assert is_stale(before(), NINE + 30.1 * MINUTE, policy)
    assert not is_stale(before(), NINE - 1.9 * MINUTE, policy)  # clocks differ
    assert is_stale(before(), NINE - 2.1 * MINUTE, policy)  # nobody has observed what is still to come


def test_a_day_and_time_at_the_ends_of_the_calendar():
    assert day_time("311200Z", datetime(9999, 12, 31, tzinfo=UTC)) == datetime(9999, 12, 31, 12, tzinfo=UTC)
    assert day_time("301200Z", datetime(2027, 2, 27, tzinfo=UTC)) == datetime(2027, 1, 30, 12, tzinfo=UTC)
    for text in ("", "1200Z", "011200", "012400Z", "011260Z", "001200Z"):
        assert day_time(text, NINE) is None
