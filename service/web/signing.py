"""Signing what stands: the sheet of a day or of one entry, made and kept as the bytes that were signed."""

from __future__ import annotations

from datetime import datetime
from urllib.parse import urlsplit
from zoneinfo import ZoneInfo

from flask import current_app, request, url_for

from service.planning.errors import Fault
from service.planning.quantities import Units
from service.planning.sheet import sheet_pdf
from service.planning.signed_sheet import Ruling, Signature, settled_sheet
from service.planning.signing.errors import NotSignable, WrongPassphrase
from service.planning.signing.sign import Signatory, sign_pdf
from service.store.desk import Desk
from service.store.rulings import Ruling as Given
from service.store.sheets import SheetLine
from service.web.addresses import addresses
from service.web.callers import caller, the_store
from service.web.club import club_key
from service.web.config import Config
from service.web.errors import Misfit
from service.web.names import ROLE_WORDS, name_of
from service.web.reader import age_of, now

ROLE = ROLE_WORDS["rso"]
_LOOPBACK = ("127.0.0.1", "localhost", "::1")


def printed(day_id: str, entry_id: str, chosen: Units, signature: Signature | None = None) -> tuple[bytes, Desk]:
    """The sheet of a day, or of the entry that is named, as it stands; and the desk that it was made from.

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
    at = now()
    sheet = settled_sheet(
        day,
        [kept[each.assessed.assessment_id] for each in fresh if each.assessed],
        {each.record.id: _ruling(each.ruling, day.timezone) for each in fresh if each.ruling},
        made_at=signature.at if signature else at,
        age_min=max(age_of(day.conditions, day.policy, at).minutes, 0.0),
        not_assessed=missing,
        signature=signature,
        address=_address,
    )
    return sheet_pdf(sheet, "letter" if chosen == "us" else "A4", chosen), desk


def sign(day_id: str, entry_id: str, passphrase: str, chosen: Units) -> SheetLine:
    """Sign a day, or the entry that is named, and keep the sheet.

    Raises
    ------
    WrongPassphrase
        If the passphrase does not open the club's key.
    Misfit
        When there is no key, or anything moved on while the sheet was made.
    """
    store = the_store()
    key, person = club_key(store), caller().person
    assert person is not None  # access() saw to it
    if key is None:
        raise Misfit("Found no key of the club; expected the one that rangehand init makes.")
    config: Config = current_app.config["RANGEHAND"]
    at = now().replace(microsecond=0)
    pdf, before = printed(day_id, entry_id, chosen, Signature(person.name, ROLE, at))
    by = Signatory(person.name, ROLE, at.astimezone(ZoneInfo(store.days.header(day_id).document.timezone)))
    try:
        signed = sign_pdf(pdf, key, passphrase or config.key_passphrase, by)
    except NotSignable as error:
        raise Misfit(f"The sheet was not signed: {error}.") from None
    if _basis(store.desk(day_id), entry_id) != _basis(before, entry_id):
        raise Misfit("Something changed while the sheet was made; nothing was signed. Look at it, then sign again.")
    return store.sheets.add(day_id, signed, caller().name(), entry_id=entry_id or None)


def opens(passphrase: str) -> None:
    """Refuse a passphrase that does not open the club's key, before a sheet is made in vain."""
    from service.planning.signing.club_key import opened

    key = club_key(the_store())
    if key is not None:
        opened(key, passphrase or current_app.config["RANGEHAND"].key_passphrase)


def _basis(desk: Desk, entry_id: str) -> list[tuple[object, ...]]:
    return [
        (line.record.id, line.record.revision, line.assessed, line.ruling)
        for line in desk.lines
        if not entry_id or line.record.id == entry_id
    ]


def _ruling(ruling: Given, zone: str) -> Ruling:
    at = datetime.fromisoformat(ruling.at).astimezone(ZoneInfo(zone))
    role = ROLE_WORDS.get(ruling.role, ruling.role)
    verdict = ruling.verdict
    return Ruling(ruling.state, verdict.reason or "", name_of(ruling.by), role, at, verdict.initials)


def _address(assessment_id: str) -> str:
    """Where a phone finds an assessment. Who signs at the laptop itself calls it by a name that no phone knows."""
    path = url_for("entries.by_assessment", assessment_id=assessment_id)
    parts = urlsplit(request.host_url)
    if parts.hostname in _LOOPBACK:
        return addresses("0.0.0.0", parts.port or 80)[0].rstrip("/") + path
    return request.host_url.rstrip("/") + path


__all__ = ["WrongPassphrase", "opens", "printed", "sign"]
