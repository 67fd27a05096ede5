"""Moist air against worked figures and a general-purpose meteorology library."""

import pytest

from service.flight import humidity


def test_vapour_pressure_at_20_degrees():
    # Bolton 1980, equation 10, worked by hand
    assert humidity.saturation_vapour_pressure_pa(293.15) == pytest.approx(2336.95, abs=0.05)
    # WMO-No. 8, annex 4.B, gives 2339 Pa over water (from memory, not re-read)
    assert humidity.saturation_vapour_pressure_pa(293.15) == pytest.approx(2339.0, abs=3.0)


def test_virtual_temperature_and_density():
    # Closed form at 30 °C, 850 hPa, dew point 18 °C; e by Bolton 1980
    vapour = humidity.saturation_vapour_pressure_pa(291.15)
    assert humidity.virtual_temperature_k(303.15, 85_000.0, vapour) == pytest.approx(305.9564, abs=1e-4)
    assert humidity.moist_density_kgm3(303.15, 85_000.0, vapour) == pytest.approx(0.967826, abs=1e-6)


@pytest.mark.parametrize("celsius", [-15.0, 0.0, 12.0, 25.0, 35.0])
@pytest.mark.parametrize("humid", [0.1, 0.6, 1.0])
def test_against_a_general_purpose_library(celsius, humid):
    calc = pytest.importorskip("metpy.calc")
    units = pytest.importorskip("metpy.units").units
    temperature, pressure = (celsius + 273.15) * units.kelvin, 90_000.0 * units.pascal
    theirs_e = calc.saturation_vapor_pressure(temperature).to("Pa").magnitude
    ours_e = humidity.saturation_vapour_pressure_pa(celsius + 273.15)
    assert ours_e == pytest.approx(theirs_e, rel=0.006)  # another fit: two correlations, not one twice
    mixing = calc.mixing_ratio_from_relative_humidity(pressure, temperature, humid)
    theirs = calc.virtual_temperature(temperature, mixing).to("K").magnitude
    vapour = humidity.vapour_pressure_pa(celsius + 273.15, humid)
    assert humidity.virtual_temperature_k(celsius + 273.15, 90_000.0, vapour) == pytest.approx(theirs, abs=0.05)
    density = calc.density(pressure, temperature, mixing).to("kg/m^3").magnitude
    assert humidity.moist_density_kgm3(celsius + 273.15, 90_000.0, vapour) == pytest.approx(density, rel=2e-4)
