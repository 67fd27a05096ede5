"""Physical constants of the flight model, each with its source."""

STANDARD_GRAVITY_MPS2 = 9.80665  # exact, 3rd CGPM 1901
EARTH_RADIUS_US76_M = 6_356_766.0  # U.S. Standard Atmosphere, 1976, NOAA-S/T 76-1562, section 1.2
GAS_CONSTANT_US76_JPKMOLK = 8314.32  # the 1976 value, not the modern one: the standard's tables rest on it
MOLAR_MASS_AIR_KGPKMOL = 28.9644  # U.S. Standard Atmosphere, 1976, Table 3
GAS_CONSTANT_AIR_JPKGK = GAS_CONSTANT_US76_JPKMOLK / MOLAR_MASS_AIR_KGPKMOL
HEAT_RATIO_AIR = 1.4  # U.S. Standard Atmosphere, 1976, section 1.2
EARTH_RATE_RADPS = 7.292115e-5  # WGS 84, NIMA TR8350.2
