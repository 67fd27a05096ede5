"""What the event is called, when and where it is."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any, get_args
from zoneinfo import ZoneInfo

from service.codes.quantities import QUANTITIES
from service.models.field import Terrain
from service.web.forms import Form, FormField
from service.web.organise.part import Group, Header, Plain

TERRAINS = tuple((each, each.replace("_", " ")) for each in get_args(Terrain))
OBSERVED = ("surface_wind_mps", "gust_mps", "crosswind_mps", "cloud_cover", "cloud_base_m", "visibility_m")
MEASURED = tuple(each for each in QUANTITIES.values() if each.origin == "measured" and each.name not in OBSERVED)


class Event(Plain):
    slug, title = "event", "Event"
    lead = (
        "Where the date moves, ceilings with windows move along; over more than two days the weather is planned anew"
        " and the forecast is dropped."
    )
    headings = (
        ("The event", "/name", ""),
        ("When", "/date", ""),
        ("", "/timezone", ""),
        ("The field", "/field/", "Figures that no shape on the map gives are left out where not known."),
    )

    def fields(self, header: Header) -> tuple[FormField, ...]:
        return (
            FormField("/name", "What the event is called", needed=True),
            FormField("/date", "Date", needed=True, help="Year-month-day, such as 2027-05-15."),
            FormField("/timezone", "Time zone of the field", needed=True, help="Such as America/Chicago."),
            FormField("/field/name", "What the field is called", needed=True),
            FormField(
                "/field/elevation_m", "Height of the pads above sea level", "number", quantity="length", needed=True
            ),
            FormField("/field/terrain", "What covers the ground", "choice", choices=TERRAINS),
            *(
                FormField(
                    f"/field/measured/{each.name}", each.meaning.capitalize(), "number", unit=each.unit or "",
                    optional=True,
                )
                for each in MEASURED
            ),
        )  # fmt: skip

    def cleared(self, header: Header) -> Header:
        known = {each.name for each in MEASURED}
        measured: dict[str, Any] = header["field"].get("measured", {})
        header["field"]["measured"] = {name: value for name, value in measured.items() if name not in known}
        return header

    def made(self, document: Header, form: Form, kept: Header) -> Header:
        try:
            to, zone = date.fromisoformat(document["date"]), ZoneInfo(document["timezone"])
            days = (to - date.fromisoformat(kept["date"])).days
        except (ValueError, KeyError, LookupError, OSError, TypeError):
            return document  # the document's own door says what is wrong with it
        ceilings = document["ceiling"] if isinstance(document["ceiling"], list) else [document["ceiling"]]
        for ceiling in ceilings if days else ():
            for end in ("from", "to"):
                if ceiling.get(end):
                    local = datetime.fromisoformat(ceiling[end]).astimezone(zone).replace(tzinfo=None)
                    ceiling[end] = (local + timedelta(days=days)).replace(tzinfo=zone).isoformat()
        return document

    def groups(self, form: Form) -> list[Group]:
        first, when, zone, field = super().groups(form)
        return [Group("The event", (*first.at, *when.at, *zone.at)), field]
