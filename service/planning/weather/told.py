"""Where conditions came from and when, as a person on the field reads it: times in the field's own zone, named."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from service.models.conditions import Conditions
from service.planning.weather.provenance import PARTS, provenance_of

_UTC = re.compile(r"(\d{4})-(\d\d)-(\d\d) (\d\d):(\d\d) UTC")
_PART_WORDS = {"T": "temperature", "p": "pressure", "RH": "humidity", "cloud": "cloud", "vis": "visibility"}


def in_zone(text: str, zone: str, near: datetime | None = None) -> str:
    """A sentence of the weather intake with its times in a zone; the date only where it is not that of `near`.

    >>> in_zone("The pressure is kept from 2027-05-15 14:00 UTC.", "America/Chicago")
    'The pressure is kept from 15 May 2027, 09:00 CDT.'
    >>> in_zone("Of 2027-05-15 14:00 UTC.", "America/Chicago", datetime(2027, 5, 15, 16, 0, tzinfo=UTC))
    'Of 09:00 CDT.'
    """
    return _UTC.sub(lambda found: clock(datetime(*map(int, found.groups()), tzinfo=UTC), zone, near), text)  # type: ignore[misc, arg-type]


def clock(when: datetime, zone: str, near: datetime | None = None) -> str:
    """A time on the clocks of a zone, with its name; the date unless it is that of `near`."""
    place = ZoneInfo(zone)
    local = when.astimezone(place)
    name = local.tzname() or ""
    if name[:1] in "+-" or not name:  # many zones have no letters of their own
        name = f"UTC{local:%z}"
    today = near is not None and near.astimezone(place).date() == local.date()
    return ("" if today else f"{local.day} {local:%B %Y}, ") + f"{local:%H:%M} {name}"


def source_words(conditions: Conditions, zone: str) -> str:
    """The source of the surface wind, what was kept from before and since when, and the winds aloft with their time."""
    found, near = provenance_of(conditions), conditions.observed_at
    told = [found.surface]
    since: dict[datetime, list[str]] = {}
    for part in PARTS:
        if part in found.kept:
            since.setdefault(found.kept[part], []).append(_PART_WORDS[part])
    for when, parts in since.items():
        told.append(f"{_listed(parts)} kept from {clock(when, zone, near)}")
    if found.aloft:
        told.append(f"winds aloft from {found.aloft[1]}, valid {clock(found.aloft[0], zone, near)}")
    return "; ".join(told)


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
