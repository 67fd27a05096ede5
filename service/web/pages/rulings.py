"""Ruling on one entry: what it needs, ticks at check-in, initials, the officer's word; and every word before it."""

from __future__ import annotations

from flask import Blueprint, redirect, render_template, request, url_for

from service.models.assessment import Assessment
from service.planning.compare import Change, compare, moved_words
from service.planning.errors import DocumentRefused
from service.planning.part import read_part
from service.store import Conflict, Refused, Verdict
from service.store.rulings import Ruling
from service.web.access import access
from service.web.background import reassessor
from service.web.briefs import brief_of
from service.web.callers import caller, the_store
from service.web.errors import Misfit
from service.web.forms import Form, FormField
from service.web.needs import Needs, needs_of
from service.web.pages.desk import desk_lines, next_of, tick
from service.web.pages.entries import shown_as
from service.web.reader import age_of, now, units
from service.web.ruling import rule_on
from service.web.seen import seen_revision
from service.web.words import with_gone

bp = Blueprint("rulings", __name__)

WORDS = ("approved", "held", "refused")
REASON = FormField("/reason", "Reason", "lines", help="Needed to hold or refuse: something the flyer can act on.")


@bp.get("/days/<day_id>/entries/<entry_id>/ruling")
@access("rso", "organiser")
def show(day_id: str, entry_id: str):
    """Everything that a ruling needs, on one page."""
    return _page(day_id, entry_id)


@bp.post("/days/<day_id>/entries/<entry_id>/ticks")
@access("rso", "organiser")
def ticks(day_id: str, entry_id: str):
    """Tick items at check-in, or take one back, without ruling."""
    store = the_store()
    store.entries.get(day_id, entry_id)
    back = request.form.get("take_back", "")
    if back:
        store.attestations.take_back(day_id, entry_id, back, caller().name())
        return redirect(url_for("rulings.show", day_id=day_id, entry_id=entry_id) + "#check-in", 303)
    faults = _tick_sent(day_id, entry_id)
    if faults:
        return _page(day_id, entry_id, notices=faults, keep=True), 422
    return redirect(url_for("rulings.show", day_id=day_id, entry_id=entry_id) + "#check-in", 303)


@bp.post("/days/<day_id>/entries/<entry_id>/ruling")
@access("rso")
def rule(day_id: str, entry_id: str):
    """The officer's word. Ticks sent along are kept first, whatever comes of the rest."""
    store = the_store()
    store.entries.get(day_id, entry_id)
    based_on, word = seen_revision(), request.form.get("word", "")
    notices = _tick_sent(day_id, entry_id, lenient=True)
    if word not in WORDS:
        return _page(day_id, entry_id, notices=[*notices, "Choose one: approve, hold or refuse."], keep=True), 422
    form = _form(_assessment(day_id, entry_id), read=True)
    typed = form.document()
    given = {rule: text for rule, text in typed.get("initials", {}).items() if text}
    status = 422
    try:
        verdict = read_part(
            Verdict, {"word": word, "reason": typed.get("reason"), "initials": given}, name="the ruling"
        )
        faults = _lacking(day_id, entry_id, verdict, form) if word == "approved" else []
        if not faults and not form.faulty:
            rule_on(day_id, entry_id, verdict, request.form.get("assessment", "")[:64], based_on)
            return redirect(url_for("desk.desk", day_id=day_id, told=entry_id) + "#told", 303)
        notices += faults
    except DocumentRefused as error:
        form.refuse_error(error)
    except Misfit as error:
        notices += [error.detail, *(f"{each.found}; expected {each.expected}." for each in error.faults)]
    except Refused as error:
        if any(each.at[:1] == ("assessment",) for each in error.problems):
            status = 409
            notices.append(
                "The assessment that you ruled on is no longer the current one. Nothing was recorded: look at what "
                "stands below now, then rule."
            )
        else:
            form.refuse_error(error)
    except Conflict as conflict:
        return _page(day_id, entry_id, form=form, conflict=conflict, notices=notices, keep=True), 409
    return _page(day_id, entry_id, form=form, notices=notices, keep=True), status


def _lacking(day_id: str, entry_id: str, verdict: Verdict, form: Form) -> list[str]:
    """What this approval still lacks, in words: beside its field, or above the form."""
    assessment = _assessment(day_id, entry_id)
    if assessment is None:
        return []  # the store says that there is none
    needs, told = _needs(day_id, entry_id, assessment), []
    told += [f"This is law and stands at stop; nobody can approve over it: {each.statement}" for each in needs.law]
    told += [f"This day's policy allows no approval over this stop: {each.statement}" for each in needs.policy]
    if needs.stale:
        told.append(needs.stale)
    if needs.reasoned and verdict.reason is None:
        count = len(needs.reasoned)
        form.add("/reason", f"found none, while {count} {'finding stands' if count == 1 else 'findings stand'} at "
                 "stop or unknown; expected why it may fly all the same")  # fmt: skip
    for each in needs.cautions:
        if each.rule not in verdict.initials:
            form.add(f"/initials/{each.rule}", "found no initials; expected yours, once you have weighed this caution")
    told += [f"Not ticked: {each.text} {each.beyond}".rstrip() for each in (*needs.unticked_entry, *needs.unticked_day)]
    return told


def _tick_sent(day_id: str, entry_id: str, lenient: bool = False) -> list[str]:
    """Keep the ticks that a form brought; answers with what stands in the way."""
    chosen = request.form.getlist("tick")
    if not chosen:
        return [] if lenient else ["Nothing was ticked."]
    by = request.form.get("by", "").strip()
    if not by:
        return ["Say who answers for what was ticked: a name is missing."]
    assessment = _assessment(day_id, entry_id)
    asked = {each.rule: each.per for each in assessment.checklist} if assessment else {}
    told = tick(day_id, entry_id, [each for each in chosen if asked.get(each) == "entry"], by)
    return told + tick(day_id, "", [each for each in chosen if asked.get(each) == "day"], by)


def _assessment(day_id: str, entry_id: str) -> Assessment | None:
    """The current assessment, if there is one."""
    store = the_store()
    current = store.assessments.current(day_id).get(entry_id)
    return store.assessments.get(current.assessment_id) if current is not None and current.fresh else None


def _needs(day_id: str, entry_id: str, assessment: Assessment) -> Needs:
    store = the_store()
    policy = store.days.header(day_id).document.policy
    age = age_of(store.weather.current(day_id).document, policy, now())
    return needs_of(brief_of(assessment), entry_id, store.attestations.all(day_id), policy, age)


def _form(assessment: Assessment | None, read: bool = False) -> Form:
    cautions = [each for each in assessment.findings if each.standing == "caution"] if assessment else []
    fields = [REASON, *(FormField(f"/initials/{each.rule}", "Initials") for each in cautions)]
    return Form.read(fields, request.form, units()) if read else Form.empty(fields, units())


def _page(
    day_id: str,
    entry_id: str,
    *,
    form: Form | None = None,
    notices: list[str] | None = None,
    conflict: Conflict | None = None,
    keep: bool = False,
) -> str:
    """The page as things stand now; with `keep` what was typed stays."""
    store = the_store()
    record, day = store.entries.get(day_id, entry_id), store.day_document(day_id)
    if record.withdrawn:
        day = with_gone(day, store.motors.gone(day_id))
    assessment = None if record.withdrawn else _assessment(day_id, entry_id)
    history = store.rulings.history(day_id, entry_id)
    ruling = history[-1] if history else None
    lines, age = desk_lines(day_id)
    line = next((each for each in lines if each.entry_id == entry_id), None)
    person = caller().person
    return render_template(
        "ruling.html",
        day_id=day_id,
        day=day,
        record=record,
        entry=record.entry,
        assessment=assessment,
        shown=shown_as(day, assessment, units()) if assessment else None,
        needs=_needs(day_id, entry_id, assessment) if assessment else None,
        line=line,
        following=next_of(lines, entry_id),
        failure=reassessor().failures(day_id).get(entry_id, ""),
        ruling=ruling,
        history=history[::-1],
        change=_since(ruling, assessment),
        based_on=ruling.number if ruling else 0,
        age=age,
        form=form or _form(assessment, read=keep),
        by=request.form.get("by", "") if keep else (person.name if person else ""),
        chosen=request.form.getlist("tick") if keep else [],
        notices=notices or [],
        conflict=conflict,
        moved_words=moved_words,
        may_rule="rso" in caller().roles(day_id),
    )


def _since(ruling: Ruling | None, assessment: Assessment | None) -> Change | None:
    """What changed since a ruling that lapsed."""
    if ruling is None or ruling.state != "lapsed" or assessment is None or ruling.assessment_id == assessment.id:
        return None
    return compare(the_store().assessments.get(ruling.assessment_id), assessment)
