"""What may contradict itself between the parts of a launch day.

The parts may come from a whole document, or be those of a broken one that could be read, so that one bad
motor does not hide a pad that is missing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from service.models.base import Problem
from service.models.ceiling import Ceiling
from service.models.conditions import Conditions
from service.models.entry import Attestation, Entry
from service.models.field import Pad, Zone
from service.models.fit import delay_problems, motor_problems
from service.models.motor import Motor

DAYS_APART = 2  # further from the day than this, a time belongs to another day
OFFSET_LIMIT_H = 4.5  # no inhabited place keeps a clock further from its sun than about 3.5 h
# Station pressure over the standard atmosphere's at that height; the sea-level records, 870 and 1085 hPa, are
# -14 % and +7 % (WMO archive of extremes, from memory, not re-read).
PRESSURE_SHARE = (0.84, 1.08)


@dataclass(frozen=True)
class DayParts:
    """Parts of a launch day by their place in its lists; None or absent where a part could not be read."""

    date: date | None = None
    timezone: str | None = None
    elevation_m: float | None = None
    ceiling: Ceiling | tuple[Ceiling, ...] | None = None
    conditions: Conditions | None = None
    codes: tuple[str, ...] = ()
    forecast: Mapping[int, Conditions] = field(default_factory=dict)
    zones: Mapping[int, Zone] = field(default_factory=dict)
    pads: Mapping[int, Pad] = field(default_factory=dict)
    motors: Mapping[int, Motor] = field(default_factory=dict)
    entries: Mapping[int, Entry] = field(default_factory=dict)
    attestations: Mapping[str, Attestation] = field(default_factory=dict)
    motor_ids: frozenset[str] | None = None  # ids of motors that could not be read; None when all could
    pad_names: frozenset[str] | None = None  # the same for pads
    all_motors: bool = True  # False when some motor's id could not even be told
    all_pads: bool = True


def day_problems(parts: DayParts) -> Iterable[Problem]:
    """List the contradictions between parts; paths from the document's root."""
    yield from _repeated(("motors",), parts.motors, "id")
    yield from _repeated(("entries",), parts.entries, "id")
    yield from _repeated(("field", "pads"), parts.pads, "name")
    yield from _repeated(("field", "zones"), parts.zones, "name")
    for index, code in enumerate(parts.codes):
        if code in parts.codes[:index]:
            yield Problem(("codes", index), f'"{code}" again', "each code once")
    yield from _reference_problems(parts)
    yield from _ceiling_problems(parts)
    yield from _pressure_problems(parts)
    yield from _time_problems(parts)
    yield from _offset_problems(parts)


def _repeated(path: tuple[str, ...], items: Mapping[int, Any], key: str) -> Iterable[Problem]:
    seen: dict[str, int] = {}
    for index, item in items.items():
        value = getattr(item, key)
        if value in seen:
            yield Problem(
                (*path, index, key),
                f'"{value}" again, as in {path[-1]} {seen[value]}',
                f"an {key} of its own" if key == "id" else f"a {key} of its own",
            )
        seen.setdefault(value, index)


def _reference_problems(parts: DayParts) -> Iterable[Problem]:
    motors = {motor.id: motor for motor in parts.motors.values()}
    pads = {pad.name for pad in parts.pads.values()}
    for index, entry in parts.entries.items():
        motor = motors.get(entry.motor)
        if motor is not None:
            for problem in (*motor_problems(entry.rocket, motor, entry.motor_count), *delay_problems(entry, motor)):
                yield Problem(("entries", index, *problem.at), problem.found, problem.expected)
        elif parts.all_motors and entry.motor not in (parts.motor_ids or ()):
            yield Problem(
                ("entries", index, "motor"), f'"{entry.motor}"', f"the id of one of the motors{_such_as(motors)}"
            )
        if entry.pad not in pads and parts.all_pads and entry.pad not in (parts.pad_names or ()):
            yield Problem(("entries", index, "pad"), f'"{entry.pad}"', f"the name of one of the pads{_such_as(pads)}")


def _such_as(names: Iterable[str]) -> str:
    some = [f'"{name}"' for name in sorted(names)]
    if not some:
        return "; there are none"
    return f": {', '.join(some[:6])}" + (f" and {len(some) - 6} more" if len(some) > 6 else "")


def _ceiling_problems(parts: DayParts) -> Iterable[Problem]:
    if parts.elevation_m is None or parts.ceiling is None:
        return
    one = isinstance(parts.ceiling, Ceiling)
    ceilings = (parts.ceiling,) if isinstance(parts.ceiling, Ceiling) else parts.ceiling
    for index, ceiling in enumerate(ceilings):
        if ceiling.height_agl_m(parts.elevation_m) <= 0.0:
            yield Problem(
                ("ceiling", "height_m") if one else ("ceiling", index, "height_m"),
                f"{ceiling.height_m:g} m above mean sea level",
                f"above the field, which lies at {parts.elevation_m:g} m",
            )


def standard_pressure_hpa(height_msl_m: float) -> float:
    """Pressure of the U.S. Standard Atmosphere, 1976, below 11 km. [hPa]

    >>> round(standard_pressure_hpa(1000.0), 1)
    898.8
    """
    geopotential_m = 6_356_766.0 * height_msl_m / (6_356_766.0 + height_msl_m)
    return 1013.25 * (1.0 - 0.0065 * geopotential_m / 288.15) ** 5.25588


def _pressure_problems(parts: DayParts) -> Iterable[Problem]:
    if parts.elevation_m is None:
        return
    standard_hpa = standard_pressure_hpa(parts.elevation_m)
    low_hpa, high_hpa = (share * standard_hpa for share in PRESSURE_SHARE)
    for path, conditions in _weather(parts):
        if not low_hpa <= conditions.pressure_hpa <= high_hpa:
            yield Problem(
                (*path, "pressure_hpa"),
                f"{conditions.pressure_hpa:g} hPa at a field {parts.elevation_m:g} m above mean sea level",
                f"station pressure, not reduced to sea level: about {standard_hpa:.0f} hPa there",
            )


def _weather(parts: DayParts) -> Iterable[tuple[tuple[str | int, ...], Conditions]]:
    if parts.conditions is not None:
        yield ("conditions",), parts.conditions
    for index, conditions in parts.forecast.items():
        yield ("forecast", index), conditions


def _time_problems(parts: DayParts) -> Iterable[Problem]:
    previous: datetime | None = None
    for index, conditions in parts.forecast.items():
        if previous is not None and conditions.observed_at <= previous:
            yield Problem(
                ("forecast", index, "observed_at"),
                conditions.observed_at.isoformat(),
                f"later than the one before, {previous.isoformat()}",
            )
        previous = conditions.observed_at
    if parts.date is None or parts.timezone is None:
        return
    zone, day = ZoneInfo(parts.timezone), parts.date
    near: Callable[[datetime], bool] = lambda when: abs((when.astimezone(zone).date() - day).days) <= DAYS_APART  # noqa: E731
    for path, conditions in _weather(parts):
        if not near(conditions.observed_at):
            yield Problem(
                (*path, "observed_at"),
                conditions.observed_at.isoformat(),
                f"within {DAYS_APART} days of the launch day, {day.isoformat()}",
            )
    windows = parts.ceiling if isinstance(parts.ceiling, tuple) else ()
    for index, ceiling in enumerate(windows):
        for name, when in (("from", ceiling.from_at), ("to", ceiling.to_at)):
            if when is not None and not near(when):
                yield Problem(
                    ("ceiling", index, name),
                    when.isoformat(),
                    f"within {DAYS_APART} days of the launch day, {day.isoformat()}",
                )
    latest = day + timedelta(days=DAYS_APART)
    said = [(("attestations", rule), stated) for rule, stated in parts.attestations.items()]
    said += [
        (("entries", index, "attestations", rule), stated)  # type: ignore[misc]
        for index, entry in parts.entries.items()
        for rule, stated in entry.attestations.items()
    ]
    for path, stated in said:
        if stated.at.astimezone(zone).date() > latest:
            yield Problem(
                (*path, "at"), stated.at.isoformat(), f"no later than {latest.isoformat()}, after the launch day"
            )


def _offset_problems(parts: DayParts) -> Iterable[Problem]:
    if parts.timezone is None or parts.date is None or not parts.pads:
        return
    noon = datetime(parts.date.year, parts.date.month, parts.date.day, 12, tzinfo=ZoneInfo(parts.timezone))
    offset = noon.utcoffset()
    if offset is None:
        return
    clock_h = offset.total_seconds() / 3600.0
    lon_deg, lat_deg = next(iter(parts.pads.values())).position
    apart_h = (clock_h - lon_deg / 15.0 + 12.0) % 24.0 - 12.0
    if abs(lat_deg) < 75.0 and abs(apart_h) > OFFSET_LIMIT_H:
        yield Problem(
            ("timezone",),
            f'"{parts.timezone}", {clock_h:+g} h from UTC, with pads at longitude {lon_deg:g}',
            "the zone of the field, and positions as [longitude, latitude]",
        )
