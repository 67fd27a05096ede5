"""Signing what stands: the sheet of a day or of one entry, made in the background and kept as the bytes signed.

What is signed is what stood when the officer clicked. A sheet has its id from then on: who clicks twice over the same
gets one sheet, and page and API find by the id first how far it is and then the sheet.
"""

from __future__ import annotations

import hashlib
import secrets
from zoneinfo import ZoneInfo

from flask import current_app, url_for

from service.models.base import Model
from service.planning.errors import Fault
from service.planning.identity import canonical
from service.planning.quantities import Units
from service.planning.signed_sheet import Signature
from service.planning.signing.club_key import opened
from service.planning.signing.errors import NotSignable, WrongPassphrase
from service.planning.signing.sign import Signatory, sign_pdf
from service.web.callers import caller, the_store
from service.web.club import club_key
from service.web.config import Config
from service.web.errors import Misfit
from service.web.jobs import CannotBeDone, Place, Task, Watch
from service.web.jobs.job import Work
from service.web.names import ROLE_WORDS
from service.web.printing import basis_of, printable, printed

ROLE = ROLE_WORDS["rso"]
CHANGED = "Something changed while the sheet was made; nothing was signed. Look at it, then sign again."


class Signed(Model):
    """The sheet that came of it."""

    id: str


def signing(day_id: str, entry_id: str, passphrase: str, chosen: Units, click: str = "") -> tuple[str, Task]:
    """The id of the sheet to come, and the work of signing a day, or the entry that is named.

    `click` tells one signing from another over the same; empty for one of its own.

    Raises
    ------
    WrongPassphrase
        If the passphrase does not open the club's key.
    Misfit
        When there is no key, or entries are still being assessed.
    """
    store, asking = the_store(), caller()
    key, person, name = club_key(store), asking.person, asking.name()
    assert person is not None  # access() saw to it
    if key is None:
        raise Misfit("Found no key of the club; expected the one that rangehand init makes.")
    config: Config = current_app.config["RANGEHAND"]
    secret = passphrase or config.key_passphrase
    opened(key, secret)
    what = printable(day_id, entry_id)
    depends_on = [click or secrets.token_hex(8), day_id, entry_id, person.id, chosen, what.fingerprint()]
    sheet_id = hashlib.sha256(canonical(depends_on)).hexdigest()[:16]
    at = what.at.replace(microsecond=0)
    zone = ZoneInfo(what.day.timezone)

    def work(watch: Watch) -> Signed:
        pdf = printed(what, chosen, Signature(person.name, ROLE, at), watch)
        watch(watch.total, watch.total, "signing")
        try:
            signed = sign_pdf(pdf, key, secret, Signatory(person.name, ROLE, at.astimezone(zone)))
        except NotSignable as error:
            raise CannotBeDone(f"The sheet was not signed: {error}.") from None
        if basis_of(store.desk(day_id), entry_id) != what.basis:
            raise CannotBeDone(CHANGED)
        watch(watch.total, watch.total, "keeping it")  # called off until here, nothing is kept
        return Signed(id=store.sheets.add(day_id, signed, name, entry_id=entry_id or None, sheet_id=sheet_id).id)

    return sheet_id, _task(day_id, sheet_id, work)


def signing_of(day_id: str, sheet_id: str) -> Task:
    """The work that a sheet of that id comes of, to be looked up."""

    def work(_watch: Watch) -> Signed:
        raise CannotBeDone("Nothing was signed: it is not known any more what was to be.")

    return _task(day_id, sheet_id, work)


def refused_passphrase(error: WrongPassphrase) -> Misfit:
    """What a program is told of it."""
    fault = Fault("/passphrase", "a passphrase that does not open the club's key", "the one it was made with")
    return Misfit(f"Nothing was signed: {error}.", [fault])


def _task(day_id: str, sheet_id: str, work: Work) -> Task:
    page = url_for("sheets.show", day_id=day_id, signed=sheet_id)
    result = url_for("api_sheets.get_sheet", day_id=day_id, sheet_id=sheet_id)
    return Task("signing", sheet_id, Place(day_id, page, result), work, prompt=True)


__all__ = ["Signed", "WrongPassphrase", "refused_passphrase", "signing", "signing_of"]
