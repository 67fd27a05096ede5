"""One group of a US winds-aloft forecast (FB): direction, speed and temperature in four to seven signs.

References
----------
.. [1] FAA-H-8083-28, Aviation Weather Handbook, wind and temperature aloft forecasts (from memory, not re-read).
.. [2] US Navy CNATRA P-304, Flight Weather (worked examples, as they circulate).
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from service.models.base import shown
from service.planning.weather.errors import refuse

NAME = "the winds aloft"
UNSIGNED_ABOVE_FT = 24_000  # above it temperatures are below zero and carry no sign
LIGHT_VARIABLE = "99"
HUNDRED_KT_OFFSET = 50
_GROUP = re.compile(r"(\d\d)(\d\d)(?:([+-])(\d\d)|(\d\d))?", re.ASCII)
_EXPECTED = "direction in tens of degrees, speed in kt, temperature in °C, such as 2435+07"


@dataclass(frozen=True)
class FbWind:
    """What a group says. `from_deg` is None where the wind is light and variable, under 5 kt, given as 0 kt."""

    from_deg: float | None
    speed_kt: float
    temperature_c: float | None = None
    light_variable: bool = False
    or_more: bool = False


def decode_group(group: str, level_ft: int | None = None, where: str = "") -> FbWind:
    """Decode one group.

    Parameters
    ----------
    group : str
        Such as "731960".
    level_ft : int, optional
        The column it stands in; tells whether a temperature needs a sign. [ft above mean sea level]
    where : str
        What to call its place in a refusal.

    Raises
    ------
    WeatherRefused
        If it is not a group that can stand there.

    Examples
    --------
    >>> decode_group("731960", 34000)
    FbWind(from_deg=230.0, speed_kt=119.0, temperature_c=-60.0, light_variable=False, or_more=False)
    >>> decode_group("9900+05", 6000)
    FbWind(from_deg=None, speed_kt=0.0, temperature_c=5.0, light_variable=True, or_more=False)
    """
    where = where or (f"{level_ft} ft" if level_ft else "group")
    match = _GROUP.fullmatch(group)
    if match is None:
        raise refuse(NAME, where, shown(group), _EXPECTED)
    tens, speed = match[1], int(match[2])
    temperature = _temperature(match, level_ft, where)
    if tens == LIGHT_VARIABLE:
        if speed:
            raise refuse(NAME, where, shown(group), "9900 for light and variable")
        return FbWind(None, 0.0, temperature, light_variable=True)
    direction = int(tens)
    fast = direction > HUNDRED_KT_OFFSET
    if fast:
        direction -= HUNDRED_KT_OFFSET
    if not 1 <= direction <= 36:
        expected = "01 to 36, 51 to 86 with 100 kt or more, or 9900"
        raise refuse(NAME, where, f"the direction {tens} in {shown(group)}", expected)
    return FbWind(10.0 * direction, speed + 100.0 * fast, temperature, or_more=fast and speed == 99)


def _temperature(match: re.Match[str], level_ft: int | None, where: str) -> float | None:
    signed, unsigned = match[4], match[5]
    if unsigned is not None:
        if level_ft is not None and level_ft <= UNSIGNED_ABOVE_FT:
            found = f"the temperature {unsigned} without a sign in {shown(match[0])}"
            raise refuse(NAME, where, found, f"a sign up to {UNSIGNED_ABOVE_FT:,} ft")
        return -float(unsigned)
    if signed is None:
        return None
    if match[3] == "+" and level_ft is not None and level_ft > UNSIGNED_ABOVE_FT:
        raise refuse(NAME, where, shown(match[0]), f"a temperature below zero above {UNSIGNED_ABOVE_FT:,} ft")
    return float(match[3] + signed)
