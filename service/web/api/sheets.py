"""Range sheets: the draft, signing, the signed ones and whether they hold, the club's certificate."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, Response, request

from service.planning.signing.club_key import fingerprint, owner
from service.planning.signing.verify import verify
from service.store import NotFound
from service.store.sheets import SheetLine
from service.web.access import access
from service.web.api.jobs import JobTold, result_of, started
from service.web.api.reading import answer, body, file, known_query, page_of
from service.web.api.shapes import Page
from service.web.api.staff_shapes import CertificateTold, SheetAsked, SheetTold, SignaturesTold, SignatureTold
from service.web.callers import the_store
from service.web.club import club_key, trusted
from service.web.drafts import Draft, draft_of, drafting
from service.web.openapi import PAGE, PARAMETERS, PREFIX, described
from service.web.printing import printable, printed
from service.web.reader import units
from service.web.signing import WrongPassphrase, refused_passphrase, signing

bp = Blueprint("api_sheets", __name__, url_prefix=PREFIX)
SHEETS = "/days/<day_id>/sheets"
PDF = "application/pdf"
WHICH: dict[str, dict[str, Any]] = {"entry": PARAMETERS["id"]}


@bp.get(SHEETS)
@access("rso", "organiser")
@described("Signed sheets", answers={200: Page[SheetTold]}, query=PAGE)
def list_sheets(day_id: str) -> Response:
    """The latest first."""
    known_query(*PAGE)
    items, where = page_of(the_store().sheets.all(day_id)[::-1])
    return answer(Page[SheetTold](items=[_told(each) for each in items], **where))


@bp.post(SHEETS)
@access("rso")
@described("Sign what stands", body=SheetAsked, answers={200: JobTold, 202: JobTold})
def sign_sheet(day_id: str) -> Response:
    """The whole day, or one entry: some seconds of work, whose result is the sheet.

    Refused while entries are being assessed, and with a wrong passphrase.
    """
    known_query()
    the_store().days.header(day_id)
    asked = body(SheetAsked)
    try:
        _, task = signing(day_id, asked.entry or "", asked.passphrase, units())
    except WrongPassphrase as error:
        raise refused_passphrase(error) from None
    return started(task)


@bp.get(f"{SHEETS}/draft")
@access("rso", "organiser")
@described("The sheet as it stands, unsigned", answers={200: None}, query=WHICH, gives=PDF)
def draft(day_id: str) -> Response:
    """Of the entry that is named, or of the whole day once it is laid out (POST here asks for it) and while nothing has
    changed since; UNSIGNED on every page."""
    known_query(*WHICH)
    the_store().days.header(day_id)
    entry_id = request.args.get("entry", "")
    if entry_id:
        pdf = printed(printable(day_id, entry_id), units())
    else:
        pdf = result_of(draft_of(day_id, units()), Draft).pdf
    return file(pdf, PDF, f"range-sheet-{day_id}-draft.pdf")


@bp.post(f"{SHEETS}/draft")
@access("rso", "organiser")
@described("Lay out the day's sheet, unsigned", answers={200: JobTold, 202: JobTold})
def lay_out_draft(day_id: str) -> Response:
    """Some seconds of work, whose result is the draft of the whole day. Refused while entries are being assessed."""
    known_query()
    the_store().days.header(day_id)
    return started(drafting(day_id, units()))


@bp.get(f"{SHEETS}/<sheet_id>")
@access("rso", "organiser")
@described("A signed sheet", answers={200: None}, gives=PDF)
def get_sheet(day_id: str, sheet_id: str) -> Response:
    """The bytes that were signed."""
    known_query()
    return file(the_store().sheets.pdf(day_id, sheet_id), PDF, f"range-sheet-{day_id}-{sheet_id}.pdf")


@bp.get(f"{SHEETS}/<sheet_id>/signatures")
@access("rso", "organiser")
@described("The signatures of a sheet", answers={200: SignaturesTold})
def signatures(day_id: str, sheet_id: str) -> Response:
    """Who signed, and whether it holds, checked now against the club's own certificates."""
    known_query()
    verdict = verify(the_store().sheets.pdf(day_id, sheet_id), trusted(the_store()))
    lines = [
        SignatureTold(
            named=each.named,
            certificate=each.certificate,
            certificate_sha256=each.fingerprint,
            at=each.at.isoformat() if each.at else None,
            word=each.word,
        )
        for each in verdict.signatures
    ]
    return answer(SignaturesTold(word=verdict.word, sentence=verdict.sentence, signatures=lines))


@bp.get("/certificate")
@access("anyone")
@described("The club's certificate", answers={200: CertificateTold}, problems=(404,))
def certificate() -> Response:
    """What sheets are verified against. Not found before the club has a key."""
    known_query()
    key = club_key(the_store())
    if key is None:
        raise NotFound("found no key of the club, expected the one that rangehand init makes")
    pem = key.certificate_pem
    return answer(CertificateTold(owner=owner(pem), sha256=fingerprint(pem), pem=pem))


def _told(line: SheetLine) -> SheetTold:
    return SheetTold(id=line.id, entry=line.entry_id, sha256=line.pdf_sha256, at=line.at, by=line.by)
