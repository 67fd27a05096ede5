"""What a sheet is printed from: one moment of a day, taken in the request, so that printing may go on without it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from urllib.parse import urlsplit
from zoneinfo import ZoneInfo

from flask import current_app, request, url_for

from service.models.assessment import Assessment
from service.models.day import LaunchDay
from service.planning.assess import Progress
from service.planning.errors import Fault
from service.planning.identity import document_hash
from service.planning.quantities import Units
from service.planning.sheet import sheet_pdf
from service.planning.signed_sheet import Ruling, Signature, settled_sheet
from service.store.desk import Desk
from service.store.rulings import Ruling as Given
from service.web.addresses import addresses
from service.web.callers import the_store
from service.web.confirmed import checked_on
from service.web.errors import Misfit
from service.web.names import ROLE_WORDS, name_of
from service.web.reader import age_of, now

_LOOPBACK = ("127.0.0.1", "localhost", "::1")


@dataclass(frozen=True)
class Printable:
    """A day, or the one entry that is named, as it stood at a moment."""

    day: LaunchDay
    entry_id: str
    assessments: tuple[Assessment, ...]
    rulings: dict[str, Ruling]
    not_assessed: tuple[str, ...]
    at: datetime
    age_min: float
    """Age of the conditions at that moment. [min]"""
    address: Callable[[str], str]
    basis: list[list[Any]]
    checked_on: dict[str, date]
    """When the organiser compared each code, by its id."""

    def fingerprint(self) -> list[Any]:
        """All that the sheet says, but for the moment itself; a JSON value."""
        return [document_hash(self.day.model_dump_json(by_alias=True).encode()), self.basis, sorted(self.checked_on)]


def printable(day_id: str, entry_id: str) -> Printable:
    """Take what stands now.

    Raises
    ------
    Misfit
        When entries are still being assessed, or the one that is asked for could not be.
    """
    store = the_store()
    desk, day = store.desk(day_id), store.day_document(day_id)
    if entry_id:
        store.entries.get(day_id, entry_id)  # refuses one never heard of
    lines = [each for each in desk.lines if not entry_id or each.record.id == entry_id]
    fresh = [each for each in lines if each.assessed is not None and each.assessed.fresh]
    missing = [each.record.id for each in lines if each not in fresh]
    failed = set(current_app.extensions["reassessor"].failures(day_id))
    waiting = [each for each in missing if each not in failed]
    if waiting:
        found = f"{len(waiting)} of {len(lines)} still being assessed"
        raise Misfit(
            f"Found {found}; expected all of them to be done. Wait, then try again.", [Fault("", found, "none")]
        )
    if entry_id and not fresh:
        raise Misfit(f"Entry {entry_id} is withdrawn or could not be assessed: there is nothing to print of it.")
    kept = store.assessments.find(each.assessed.assessment_id for each in fresh if each.assessed)
    at, start = now(), qr_start()
    return Printable(
        day=day,
        entry_id=entry_id,
        assessments=tuple(kept[each.assessed.assessment_id] for each in fresh if each.assessed),
        rulings={each.record.id: _ruling(each.ruling, day.timezone) for each in fresh if each.ruling},
        not_assessed=tuple(missing),
        at=at,
        age_min=max(age_of(day.conditions, day.policy, at).minutes, 0.0),
        address=lambda assessment_id: start + assessment_id,
        basis=basis_of(desk, entry_id),
        checked_on=checked_on(store, day_id),
    )


def printed(
    what: Printable, chosen: Units, signature: Signature | None = None, progress: Progress | None = None
) -> bytes:
    """The sheet as a PDF. With a `signature` it is one to be signed next; without, UNSIGNED stands on every page."""
    sheet = settled_sheet(
        what.day,
        what.assessments,
        what.rulings,
        made_at=signature.at if signature else what.at,
        age_min=what.age_min,
        not_assessed=what.not_assessed,
        signature=signature,
        address=what.address,
        checked_on=what.checked_on,
    )
    return sheet_pdf(sheet, "letter" if chosen == "us" else "A4", chosen, progress)


def basis_of(desk: Desk, entry_id: str) -> list[list[Any]]:
    """What must not move while a sheet is made: entries, their assessments, the rulings on them."""
    return [
        [
            line.record.id,
            line.record.revision,
            [line.assessed.assessment_id, line.assessed.fresh] if line.assessed else None,
            [line.ruling.number, line.ruling.state] if line.ruling else None,
        ]
        for line in desk.lines
        if not entry_id or line.record.id == entry_id
    ]


def _ruling(ruling: Given, zone: str) -> Ruling:
    at = datetime.fromisoformat(ruling.at).astimezone(ZoneInfo(zone))
    role = ROLE_WORDS.get(ruling.role, ruling.role)
    verdict = ruling.verdict
    return Ruling(ruling.state, verdict.reason or "", name_of(ruling.by), role, at, verdict.initials)


def qr_start() -> str:
    """How the address begins at which a phone finds an assessment. Who prints at the laptop itself calls it by a name
    that no phone knows."""
    parts, host = urlsplit(request.host_url), request.host_url
    if parts.hostname in _LOOPBACK:
        host = addresses("0.0.0.0", parts.port or 80)[0]
    place = "A"
    return host.rstrip("/") + url_for("entries.by_assessment", assessment_id=place).removesuffix(place)
