"""What a sizing rests on: the day, the season's winds, the fleet; and the work itself."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from flask import url_for

from service.models.day import LaunchDay
from service.models.sizing import Sizing
from service.planning.errors import Fault
from service.planning.sizing.demo import SOURCE, demo_winds
from service.planning.sizing.errors import TableRefused
from service.planning.sizing.season import Winds
from service.planning.sizing.season_csv import read_winds_csv
from service.store import NotFound
from service.web.errors import Misfit
from service.web.jobs import CannotBeDone, Place, Task, Watch
from service.web.sizing.uploads import ID_DIGITS, Upload, uploads

FILE_LIMIT = 2_600_000  # bytes of what is sent: five years of hours
DEMO = "demo"
_ID = {"type": "string", "pattern": f"^({DEMO}|[0-9a-f]{{{ID_DIGITS}}})$"}
QUERY: dict[str, dict[str, Any]] = {
    "winds": {**_ID, "default": DEMO},
    "fleet": {"type": "string", "pattern": f"^([0-9a-f]{{{ID_DIGITS}}})?$", "default": ""},
    "altitudes": {"type": "string", "enum": ["yes", "no"], "default": "yes"},
}
_NOT_FLOWN = {"__all__": {"price", "stock"}}  # of a motor: bears on no flight
_NOT_SIZED = {"observed_at", "source", "cloud_cover", "cloud_base_m", "visibility_m", "wind"}  # the season's stand in


@dataclass(frozen=True)
class Wanted:
    """What the address asks for: ids of files sent, or the demo's season and the day's own entries."""

    winds: str = DEMO
    fleet: str = ""
    altitudes: str = "yes"

    @property
    def query(self) -> dict[str, str]:
        """As it stands in an address."""
        whole = {"winds": self.winds, "fleet": self.fleet, "altitudes": self.altitudes}
        return {name: value for name, value in whole.items() if value}


@dataclass(frozen=True)
class Asked:
    """A sizing that may be done: everything it rests on was found."""

    day_id: str
    day: LaunchDay
    wanted: Wanted
    winds: Winds
    fleet: Upload | None


def read_wanted(given: Mapping[str, str]) -> Wanted:
    """What an address asks for.

    Raises
    ------
    Misfit
        If a value is none that it could have.
    """
    found = {}
    for name, told in QUERY.items():
        value = given.get(name, told["default"])
        allowed = value in told["enum"] if "enum" in told else re.fullmatch(told["pattern"], value)
        if not allowed:
            expected = " or ".join(told["enum"]) if "enum" in told else f"{DEMO}, or the id of a file that was sent"
            fault = Fault(f"/{name}", f'"{value[:60]}"', expected)
            raise Misfit(f'{name}: found "{value[:60]}"; expected {expected}.', [fault])
        found[name] = value
    return Wanted(**found)


def asked_of(day_id: str, day: LaunchDay, wanted: Wanted) -> Asked:
    """The files that an address names.

    Raises
    ------
    NotFound
        If one is no longer kept.
    """
    if wanted.winds == DEMO:
        winds = the_demo_winds()
    else:
        sent = _kept(day_id, wanted.winds, "winds")
        winds = winds_of(sent)
    fleet = _kept(day_id, wanted.fleet, "fleet") if wanted.fleet else None
    return Asked(day_id, day, wanted, winds, fleet)


@lru_cache(maxsize=1)
def the_demo_winds() -> Winds:
    """The demo's season, read once."""
    return demo_winds()


@lru_cache(maxsize=8)
def winds_of(sent: Upload) -> Winds:
    """A season from a file; it was read before it was kept."""
    return read_winds_csv(sent.data, sent.name)


def check_fleet(day: LaunchDay, data: bytes, name: str) -> None:
    """Refuse a fleet with faults.

    Raises
    ------
    TableRefused
        With every fault, by line and column.
    """
    from service.planning.sizing.fleet_csv import read_fleet_csv

    read_fleet_csv(data, day, name)


def _kept(day_id: str, upload_id: str, what: str) -> Upload:
    found = uploads().get(day_id, upload_id)
    if found is None:
        raise NotFound(f"the {what} that were sent are no longer kept; send them again")
    return found


def sizing_task(asked: Asked) -> Task:
    """Holding the field against the fleet and the season."""
    day, fleet = asked.day, asked.fleet

    def work(watch: Watch) -> Sizing:
        from service.planning.advise.errors import AdviceError
        from service.planning.sizing.fleet_csv import read_fleet_csv
        from service.planning.sizing.size import size_field

        try:
            classes = read_fleet_csv(fleet.data, day, fleet.name) if fleet else None
            return size_field(
                day, asked.winds, classes, altitudes=asked.wanted.altitudes == "yes", progress=watch,
                should_stop=watch.stop,
            )  # fmt: skip
        except (AdviceError, TableRefused) as why:
            raise CannotBeDone(str(why)) from None

    document = day.model_dump(
        mode="json", by_alias=True,
        exclude={
            "forecast": True, "attestations": True, "conditions": _NOT_SIZED, "motors": _NOT_FLOWN,
            **({"entries": True} if fleet else {}),
        },
    )  # fmt: skip
    key = {"day": document, "winds": asked.winds.fingerprint, "source": asked.winds.source,
           "fleet": [fleet.id, fleet.name] if fleet else None, "altitudes": asked.wanted.altitudes}  # fmt: skip
    where: dict[str, Any] = {"day_id": asked.day_id, **asked.wanted.query}
    place = Place(asked.day_id, url_for("sizing.show", **where), url_for("api_sizing.get_sizing", **where))
    return Task("sizing", key, place, work)


def season_words(asked: Asked) -> str:
    """Which winds, in words."""
    return SOURCE if asked.wanted.winds == DEMO else asked.winds.source
