"""The single values of the launch-day document: bounded numbers, names, ids, times, money.

Each type refuses in our own words. A number is a JSON number: never a string that looks like one, never
true or false. Bounds are there to catch a slip of unit or of the decimal point, not to rule on a flight.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, Any
from zoneinfo import ZoneInfo

from pydantic import GetCoreSchemaHandler
from pydantic_core import CoreSchema, PydanticCustomError, ValidationError, core_schema

from service.models.base import refusal


def _refusing(inner: CoreSchema, expected: str) -> CoreSchema:
    """Let `inner` judge, and say any refusal in our words."""

    def judge(value: Any, handler: Callable[[Any], Any]) -> Any:
        try:
            return handler(value)
        except ValidationError:
            raise refusal(value, expected) from None

    return core_schema.no_info_wrap_validator_function(judge, inner)


@dataclass(frozen=True)
class Bounded:
    """A finite number from `low` to `high`, both allowed, `low` itself not when `above` is set."""

    low: float
    high: float
    unit: str = ""
    above: bool = False

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        unit = f" {self.unit}" if self.unit else ""
        span = f"above {_plain(self.low)} and up to" if self.above else f"from {_plain(self.low)} to"
        if source is int:
            low = int(self.low)
            whole = core_schema.int_schema(strict=True, ge=low, le=int(self.high))
            return _refusing(whole, f"a whole number {span} {_plain(self.high)}{unit}")
        lower: dict[str, float] = {"gt" if self.above else "ge": self.low}
        real = core_schema.float_schema(strict=True, allow_inf_nan=False, le=self.high, **lower)  # type: ignore[arg-type]
        return _refusing(real, f"a number {span} {_plain(self.high)}{unit}")


@dataclass(frozen=True)
class Text:
    """A printable string of 1 to `longest` characters that is not blank."""

    longest: int = 120
    pattern: str | None = None
    expected: str = ""

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        expected = self.expected or f"a text of 1 to {self.longest} printable characters"
        inner = core_schema.str_schema(strict=True, min_length=1, max_length=self.longest, pattern=self.pattern)

        def printable(value: Any, handler: Callable[[Any], Any]) -> Any:
            if isinstance(value, str):
                if not value.strip() or any(unicodedata.category(letter) in _UNPRINTABLE for letter in value):
                    raise refusal(value, expected)
            return handler(value)

        return core_schema.no_info_wrap_validator_function(printable, _refusing(inner, expected))


_UNPRINTABLE = {"Cc", "Cf", "Cs", "Zl", "Zp"}  # control, format (text direction), half a surrogate pair, breaks


@dataclass(frozen=True)
class _Parsed:
    """A string with a meaning: read by `read`, or the value itself when it is already of its type."""

    read: Callable[[str], Any]
    kept: type
    inner: Callable[[], CoreSchema]
    expected: str

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        def judge(value: Any, handler: Callable[[Any], Any]) -> Any:
            try:
                return handler(self.read(value) if isinstance(value, str) else value)
            except (ValidationError, ValueError, PydanticCustomError):
                raise refusal(value, self.expected) from None

        return core_schema.no_info_wrap_validator_function(judge, self.inner())


_RFC3339 = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,9})?(Z|[+-]\d\d:\d\d)")
_FULL_DATE = re.compile(r"\d{4}-\d\d-\d\d")


def _instant(text: str) -> datetime:
    if not _RFC3339.fullmatch(text):
        raise ValueError(text)
    when = datetime.fromisoformat(text)
    when.astimezone(ZoneInfo("UTC"))  # year 1 and 9999 overflow here, not later
    return when


def _day(text: str) -> date:
    if not _FULL_DATE.fullmatch(text):
        raise ValueError(text)
    day = date.fromisoformat(text)
    if not 1950 <= day.year <= 2200:
        raise ValueError(text)
    return day


def _zone(text: str) -> str:
    try:
        ZoneInfo(text)
    except (OSError, ValueError, LookupError):  # no such zone, a folder, a path that leaves the database
        raise ValueError(text) from None
    return text


def _plain(figure: float) -> str:
    """Write a bound as people do: 889,600 and 0.001, never 8.896e+05."""
    return f"{figure:,.0f}" if figure == int(figure) else f"{figure:g}"


Instant = Annotated[
    datetime,
    _Parsed(
        _instant,
        datetime,
        lambda: core_schema.datetime_schema(strict=True, tz_constraint="aware"),
        'a real date and time with its offset from UTC (RFC 3339), such as "2027-05-15T09:00:00-05:00"',
    ),
]
Day = Annotated[
    date,
    _Parsed(_day, date, lambda: core_schema.date_schema(strict=True), 'a real date, such as "2027-05-15"'),
]
TimeZone = Annotated[
    str,
    _Parsed(_zone, str, lambda: core_schema.str_schema(strict=True), 'an IANA time zone, such as "America/Chicago"'),
]
Amount = Annotated[
    str,
    Text(16, r"^(0|[1-9][0-9]{0,9})(\.[0-9]{1,3})?$", 'an amount as a decimal string, such as "21.00"'),
]
Currency = Annotated[str, Text(3, r"^[A-Z]{3}$", 'a currency as three capital letters (ISO 4217), such as "USD"')]

Name = Annotated[str, Text(120)]
Note = Annotated[str, Text(500)]
Id = Annotated[
    str,
    Text(
        64,
        r"^[A-Za-z0-9][A-Za-z0-9._-]*$",
        "an id of 1 to 64 letters, digits, dots, dashes and underscores that begins with a letter or digit",
    ),
]

Fraction = Annotated[float, Bounded(0.0, 1.0)]
Bearing = Annotated[float, Bounded(0.0, 360.0, "degrees from true north")]
Longitude = Annotated[float, Bounded(-180.0, 180.0, "degrees of longitude (a position is [longitude, latitude])")]
Latitude = Annotated[float, Bounded(-90.0, 90.0, "degrees of latitude (a position is [longitude, latitude])")]
Position = tuple[Longitude, Latitude]
