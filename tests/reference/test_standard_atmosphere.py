"""The standard atmosphere against its printed tables and a general-purpose library."""

import math

import numpy as np
import pytest

from service.flight.atmosphere import (
    density_altitude_m,
    launch_day_profile,
    standard_air,
    standard_state,
    station_pressure_from_qnh,
)
from service.flight.tables import level_heights_m
from tests.reference.printed import half_a_digit, printed_table

INCH_OF_MERCURY_PA = 3386.389  # NIST SP 811, inHg at 0 °C
FOOT_M = 0.3048

# Cells of the reproduced ISO rows that differ from the standard's own constants by more than half a digit
# (its base pressures were rounded layer by layer); they are held to 1e-5 instead.
ISO_CELLS_OFF = {
    ("11000", "pressure_pa"), ("11000", "density_kgm3"), ("15000", "sound_mps"), ("20000", "pressure_pa"),
    ("20000", "density_kgm3"), ("20000", "sound_mps"), ("25000", "pressure_pa"), ("25000", "density_kgm3"),
    ("32162", "pressure_pa"), ("32162", "density_kgm3"),
}  # fmt: skip


@pytest.mark.parametrize("row", printed_table("ussa1976_table1.csv"), ids=lambda row: row["height_msl_m"] + " m")
@pytest.mark.parametrize("quantity", ["temperature_k", "pressure_pa", "density_kgm3"])
def test_it_matches_the_printed_standard(row, quantity):
    found = getattr(standard_state(float(row["height_msl_m"])), quantity)
    assert found == pytest.approx(float(row[quantity]), rel=0, abs=half_a_digit(row[quantity]))


@pytest.mark.parametrize("row", printed_table("iso2533_rows.csv"), ids=lambda row: row["height_msl_m"] + " m")
@pytest.mark.parametrize("quantity", ["temperature_k", "pressure_pa", "density_kgm3", "sound_mps", "viscosity_pas"])
def test_it_matches_the_iso_rows(row, quantity):
    printed = row[quantity]
    off = (row["height_msl_m"], quantity) in ISO_CELLS_OFF
    tolerance = 1e-5 * float(printed) if off else half_a_digit(printed)
    found = getattr(standard_state(float(row["height_msl_m"])), quantity)
    assert found == pytest.approx(float(printed), rel=0, abs=tolerance)


def test_it_matches_a_general_purpose_library():
    ambiance = pytest.importorskip("ambiance")
    heights = np.linspace(-500.0, 32_000.0, 66)
    theirs = ambiance.Atmosphere(heights)
    ours = [standard_state(float(height)) for height in heights]
    for mine, other, tolerance in (
        ("temperature_k", theirs.temperature, 1e-6),
        ("pressure_pa", theirs.pressure, 2e-5),  # theirs rounds the base pressures
        ("density_kgm3", theirs.density, 2e-5),
        ("sound_mps", theirs.speed_of_sound, 5e-6),
        ("viscosity_pas", theirs.dynamic_viscosity, 5e-6),
    ):
        assert [getattr(state, mine) for state in ours] == pytest.approx(list(other), rel=tolerance), mine


# Closed form: the standard's layer formulas with the measured temperature offset, worked layer by layer by hand
# for a dry day of 35 °C and 840 hPa at 1655 m.
@pytest.mark.parametrize(
    ("height_msl_m", "temperature_k", "pressure_pa", "density_kgm3"),
    [(3000.0, 299.4139, 72215.81, 0.84023), (6000.0, 279.9415, 50714.94, 0.631112)],
)
def test_a_hot_day_is_hydrostatic(height_msl_m, temperature_k, pressure_pa, density_kgm3):
    day = launch_day_profile(1655.0, 308.15, 84_000.0)
    above = height_msl_m - 1655.0
    pressure = math.exp(np.interp(above, day.height_m, np.log(day.pressure_pa)))
    temperature = float(np.interp(above, day.height_m, day.temperature_k))
    assert temperature == pytest.approx(temperature_k, abs=0.001)
    assert pressure == pytest.approx(pressure_pa, abs=0.5)
    assert pressure / (287.0529 * temperature) == pytest.approx(density_kgm3, abs=2e-6)


def test_the_air_over_a_field_at_sea_level_is_the_standard():
    air, heights = standard_air(0.0), level_heights_m()
    for row in printed_table("ussa1976_table1.csv"):
        found = math.exp(np.interp(float(row["height_msl_m"]), heights, np.log(air.density_kgm3)))
        assert found == pytest.approx(float(row["density_kgm3"]), rel=2e-4), row["height_msl_m"]


# ICAO altimetry definition (from memory, not re-read), elevation taken as geopotential; closed form
def test_an_altimeter_setting_gives_the_station_pressure():
    assert station_pressure_from_qnh(30.10 * INCH_OF_MERCURY_PA, 1655.0) == pytest.approx(83474.9, abs=0.1)
    assert station_pressure_from_qnh(101_325.0, 1000.0) == pytest.approx(89874.57, abs=0.01)  # the standard's own


def test_density_altitude_against_the_weather_services_formula():
    # Closed form: root of the standard's density at 35 °C, 840 hPa, dew point 5 °C
    density = 84_000.0 / (287.0529 * 308.15 / (1.0 - 871.94 / 84_000.0 * 0.378))
    assert density_altitude_m(density) == pytest.approx(2613.0, abs=1.0)
    # US National Weather Service density altitude note, its own constants, worked to 8586 ft for the same air
    assert density_altitude_m(density) == pytest.approx(8586.0 * FOOT_M, abs=20.0)
    # Rule of thumb, density altitude = pressure altitude + 120 ft per °C; COMET training module's example, 2932 ft
    rule = standard_state(520 * FOOT_M)
    hot = rule.pressure_pa / (287.0529 * 308.15)
    assert density_altitude_m(hot) == pytest.approx(2932 * FOOT_M, abs=60.0)
