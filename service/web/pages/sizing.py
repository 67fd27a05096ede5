"""The organiser's page that sizes the field: winds and fleet in, the answer with its pictures and the report out."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from flask import Blueprint, Response, redirect, render_template, request, url_for
from markupsafe import Markup, escape

from service.models.sizing import Sizing
from service.planning.errors import Fault
from service.planning.sizing.errors import TableRefused
from service.planning.sizing.fleet_csv import EXAMPLE as FLEET_HEADER
from service.planning.sizing.picture import Shown, inside_said, sizing_shown
from service.planning.sizing.report import sizing_pdf
from service.planning.sizing.season_csv import EXAMPLE as WINDS_HEADER
from service.planning.sizing.season_csv import read_winds_csv
from service.planning.sizing.wording import letters_words, whose_words
from service.store import NotFound
from service.web.access import access
from service.web.callers import the_store
from service.web.errors import Misfit
from service.web.jobs import Job, asker, jobs
from service.web.organise import PARTS
from service.web.reader import units
from service.web.sizing.state import (
    DEMO,
    FILE_LIMIT,
    Wanted,
    asked_of,
    check_fleet,
    read_wanted,
    season_words,
    sizing_task,
)
from service.web.sizing.uploads import uploads

bp = Blueprint("sizing", __name__)

PAPERS = ("A4", "letter")
LOUD = re.compile(r"\b(?:NOT|OVER|TOO LOW|UNKNOWN)\b")


@bp.get("/days/<day_id>/sizing")
@access("organiser")
def show(day_id: str):
    """The answer for what the address names, or what it takes to get one."""
    if not request.args:
        return _page(day_id)
    wanted = read_wanted(request.args)
    try:
        asked = asked_of(day_id, the_store().day_document(day_id), wanted)
    except NotFound as gone:
        return _page(day_id, wanted, faults=[Fault("", str(gone), "the file, sent again")]), 404
    return _page(day_id, wanted, jobs().find(sizing_task(asked)), season_words(asked))


@bp.post("/days/<day_id>/sizing")
@access("organiser", body_limit=FILE_LIMIT)
def start(day_id: str):
    """Take winds and fleet, and begin. Every fault of either is listed."""
    day = the_store().day_document(day_id)
    faults: list[Fault] = []
    winds, fleet = _sent("winds"), _sent("fleet")
    altitudes = "yes" if "altitudes" in request.form else "no"
    if winds is None and request.form.get("season") != DEMO:
        faults.append(Fault("winds", "no file", "a season's winds as CSV, or the invented season"))
    for what, sent in (("winds", winds), ("fleet", fleet)):
        if sent is not None:
            try:
                if what == "winds":
                    read_winds_csv(*sent)
                else:
                    check_fleet(day, *sent)
            except TableRefused as refused:
                faults += [Fault(f"{refused.name}, {each.pointer}", each.found, each.expected)
                           for each in refused.faults]  # fmt: skip
    if faults:
        return _page(day_id, Wanted(altitudes=altitudes), faults=faults), 422
    wanted = Wanted(
        winds=uploads().put(day_id, winds[1], winds[0]).id if winds else DEMO,
        fleet=uploads().put(day_id, fleet[1], fleet[0]).id if fleet else "",
        altitudes=altitudes,
    )
    job = jobs().start(sizing_task(asked_of(day_id, day, wanted)), asker(day_id))
    return redirect(job.place.page, 303)


@bp.get("/days/<day_id>/sizing.pdf")
@access("organiser")
def report(day_id: str) -> Response:
    """The report of a sizing that is done, as a PDF."""
    given = request.args.to_dict()
    paper = given.pop("paper", PAPERS[0])
    if paper not in PAPERS:
        raise Misfit(f'paper: found "{paper[:60]}"; expected {" or ".join(PAPERS)}.')
    day = the_store().day_document(day_id)
    job = jobs().find(sizing_task(asked_of(day_id, day, read_wanted(given))))
    if job is None or not isinstance(job.result, Sizing):
        raise NotFound("found no sizing as things stand now; size the field first")
    data = sizing_pdf(day, job.result, paper, units())  # type: ignore[arg-type]
    head = {"Content-Disposition": f'attachment; filename="field-report-{day_id}.pdf"'}
    return Response(data, mimetype="application/pdf", headers=head)


def _sent(name: str) -> tuple[bytes, str] | None:
    """A file of the form and its name; None where none was chosen."""
    upload = request.files.get(name)
    if upload is None or not upload.filename:
        return None
    return upload.read(), upload.filename[:80]


def _page(
    day_id: str, wanted: Wanted | None = None, job: Job | None = None, season: str = "", faults: Sequence[Fault] = ()
) -> str:
    day = the_store().day_document(day_id)
    found = job.result if job is not None and isinstance(job.result, Sizing) else None
    shown = sizing_shown(day, found, units()) if found is not None else None
    return render_template(
        "sizing.html", day_id=day_id, day=day, parts=PARTS, wanted=wanted or Wanted(), job=job, found=found,
        shown=shown, answer=_answer(shown), pictures=_marked(shown), season=season, faults=faults,
        winds_header=WINDS_HEADER, letters_words=letters_words, whose_words=whose_words,
        fleet_header=FLEET_HEADER, papers=PAPERS, inside=inside_said,
        report_url=_report_url(day_id, wanted),
    )  # fmt: skip


def _report_url(day_id: str, wanted: Wanted | None) -> dict[str, str]:
    if wanted is None:
        return {}
    where: dict[str, Any] = {"day_id": day_id, **wanted.query}
    return {paper: url_for("sizing.report", paper=paper, **where) for paper in PAPERS}


def _answer(shown: Shown | None) -> list[tuple[str, Markup]]:
    """The sentences, with the words bold that tell what is wrong, as on paper."""
    answer = shown.answer if shown is not None else ()
    return [(name, Markup(LOUD.sub(r"<b>\g<0></b>", str(escape(words))))) for name, words in answer]


def _marked(shown: Shown | None) -> dict[str, tuple[Markup, Markup]]:
    if shown is None:
        return {}
    each = shown.pictures
    pairs = {"site": each.site, "notice": each.notice, "rose": each.rose, "shares": each.shares, "hours": each.hours}
    return {name: (Markup(wide), Markup(narrow)) for name, (wide, narrow) in pairs.items()}
