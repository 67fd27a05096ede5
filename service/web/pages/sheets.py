"""Range sheets: the draft, signing the day or one entry, the signed ones, the club's certificate."""

from __future__ import annotations

import secrets

from flask import Blueprint, Response, current_app, redirect, render_template, request
from werkzeug.wrappers import Response as BaseResponse

from service.planning.signing.club_key import fingerprint, owner
from service.planning.signing.verify import verify
from service.store import NotFound
from service.web.access import access
from service.web.callers import the_store
from service.web.club import club_key, trusted
from service.web.drafts import Draft, draft_of, drafting
from service.web.errors import Misfit
from service.web.forms import Form, FormField
from service.web.jobs import asker, jobs
from service.web.printing import printable, printed
from service.web.reader import units
from service.web.signing import WrongPassphrase, signing, signing_of

bp = Blueprint("sheets", __name__)
CHECKED = 12  # of the newest signed sheets on the page


@bp.get("/days/<day_id>/sheets")
@access("rso", "organiser")
def show(day_id: str):
    """The signed sheets, and the form to sign another."""
    form = Form.empty(_fields(day_id), units())
    if request.args.get("entry", "") in dict(form.fields["/entry"].choices):
        form.typed["/entry"] = request.args.get("entry", "")
    return _page(day_id, form)


@bp.post("/days/<day_id>/sheets")
@access("rso")
def make(day_id: str):
    """Begin to sign what stands; the page tells how far it is, then where the sheet is."""
    form = Form.read(_fields(day_id), request.form, units())
    given = form.document()
    passphrase = request.form.get("/passphrase", "")
    try:
        if not form.faulty:
            click = request.form.get("click", "")[:40]
            sheet_id, task = signing(day_id, given.get("entry", ""), passphrase, units(), click)
            if not any(each.id == sheet_id for each in the_store().sheets.all(day_id)):
                jobs().start(task, asker(day_id))
            return redirect(task.place.page, 303)
    except WrongPassphrase as error:
        form.add("/passphrase", str(error))
    except Misfit as error:
        form.add("", error.detail.rstrip("."))
    return _page(day_id, form), 422


@bp.get("/days/<day_id>/sheets/draft.pdf")
@access("rso", "organiser")
def draft(day_id: str) -> BaseResponse:
    """The sheet as it stands, UNSIGNED on every page: of an entry at once, of the day once it is laid out."""
    name, entry_id = f"range-sheet-{day_id}-draft", request.args.get("entry", "")
    if entry_id:
        return _pdf(printed(printable(day_id, entry_id), units()), name)
    task = draft_of(day_id, units())
    job = jobs().find(task)
    if job is None or not isinstance(job.result, Draft):
        return redirect(task.place.page, 303)
    return _pdf(job.result.pdf, name)


@bp.post("/days/<day_id>/sheets/draft")
@access("rso", "organiser")
def lay_out(day_id: str):
    """Begin to lay out the draft of the whole day; the page tells how far it is, then where it is."""
    return redirect(jobs().start(drafting(day_id, units()), asker(day_id)).place.page, 303)


@bp.get("/days/<day_id>/sheets/<sheet_id>.pdf")
@access("rso", "organiser")
def download(day_id: str, sheet_id: str):
    """A signed sheet, as the bytes that were signed."""
    pdf = the_store().sheets.pdf(day_id, sheet_id)
    return _pdf(pdf, f"range-sheet-{day_id}-{sheet_id}")


@bp.get("/certificate.pem")
@access("anyone")
def certificate():
    """The club's certificate, for whoever checks a sheet elsewhere."""
    key = club_key(the_store())
    if key is None:
        raise NotFound("found no key of the club, expected the one that rangehand init makes")
    head = {"Content-Disposition": 'attachment; filename="rangehand-club.pem"'}
    return Response(key.certificate_pem, mimetype="application/x-pem-file", headers=head)


def _pdf(pdf: bytes, name: str) -> Response:
    head = {"Content-Disposition": f'inline; filename="{name}.pdf"'}
    return Response(pdf, mimetype="application/pdf", headers=head)


def _fields(day_id: str) -> tuple[FormField, ...]:
    entries = [each.record for each in the_store().desk(day_id).lines]
    choices = (("", "the whole day"), *((each.id, f"{each.id} {each.entry.rocket.name}") for each in entries))
    what = FormField("/entry", "What to sign", "choice", choices=choices)
    if current_app.config["RANGEHAND"].key_passphrase:
        return (what,)
    told = "Opens the club's key for this one signature; it is kept nowhere."
    return what, FormField("/passphrase", "Passphrase of the club's key", "secret", needed=True, help=told)


def _page(day_id: str, form: Form) -> str:
    store = the_store()
    key, desk = club_key(store), store.desk(day_id)
    rulings = [each.ruling for each in desk.lines]
    wanted = request.args.get("signed", "")[:40] if request.method == "GET" else ""
    job = jobs().find(signing_of(day_id, wanted)) if wanted else None  # before the sheets: it may end any moment
    draft_job = jobs().find(draft_of(day_id, units()))
    lines, roots = store.sheets.all(day_id)[::-1], trusted(store)
    done = any(each.id == wanted for each in lines)
    verdicts = {each.id: verify(store.sheets.pdf(day_id, each.id), roots) for each in lines[:CHECKED]}
    return render_template(
        "sheets.html",
        day_id=day_id,
        day=store.days.header(day_id).document,
        form=form,
        sheets=lines,
        verdicts={key: each.word for key, each in verdicts.items()},
        signers={key: ", ".join(one.named for one in each.signatures) for key, each in verdicts.items()},
        certificate=(owner(key.certificate_pem), fingerprint(key.certificate_pem)) if key else None,
        unruled=[line.record.id for line in desk.lines if line.ruling is None],
        lapsed=[line.record.id for line, ruling in zip(desk.lines, rulings) if ruling and ruling.state == "lapsed"],
        signed=wanted if done else "",
        job=None if done else job,
        draft_job=draft_job,
        nothing_signed=bool(wanted) and not done,
        click=secrets.token_hex(8),
    )
