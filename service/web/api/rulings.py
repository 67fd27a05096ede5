"""Assessments by id and by entry; rulings on them; what was attested."""

from __future__ import annotations

from flask import Blueprint, Response

from service.models.assessment import Assessment
from service.models.entry import Attestation
from service.store import NotFound, Verdict
from service.store.rulings import Ruling
from service.web.access import access
from service.web.api.reading import answer, based_on, body, known_query, page_of
from service.web.api.shapes import AssessmentTold, Page, RulingAsked, RulingTold, TicksTold
from service.web.callers import caller, the_store
from service.web.openapi import PAGE, PREFIX, described
from service.web.ruling import rule_on

bp = Blueprint("api_rulings", __name__, url_prefix=PREFIX)
ENTRY = "/days/<day_id>/entries/<entry_id>"


@bp.get("/assessments/<assessment_id>")
@access("anyone")
@described("An assessment by its id", answers={200: Assessment})
def get_assessment(assessment_id: str) -> Response:
    """The id stands on the sheet. The flyer's name is left out."""
    known_query()
    return answer(the_store().assessments.get(assessment_id))


@bp.get(f"{ENTRY}/assessment")
@access("flyer", "rso", "organiser")
@described("An entry's last assessment", answers={200: AssessmentTold})
def entry_assessment(day_id: str, entry_id: str) -> Response:
    """Not found until the first one is there."""
    known_query()
    store = the_store()
    current = store.assessments.current(day_id).get(entry_id)
    if current is None:
        raise NotFound(f'found no assessment of entry "{entry_id}" yet')
    named = {"flyer": store.entries.get(day_id, entry_id).entry.flyer.name}  # what is kept leaves it out
    assessment = store.assessments.get(current.assessment_id).model_copy(update=named)
    return answer(AssessmentTold(fresh=current.fresh, assessment=assessment))


@bp.get(f"{ENTRY}/ruling")
@access("flyer", "rso", "organiser")
@described("The last ruling on an entry", answers={200: RulingTold}, etag=True)
def get_ruling(day_id: str, entry_id: str) -> Response:
    """Not found until the first one is there; its revision is then "0"."""
    known_query()
    store = the_store()
    store.entries.get(day_id, entry_id)
    found = store.rulings.latest(day_id).get(entry_id)
    if found is None:
        raise NotFound(f'found no ruling on entry "{entry_id}" yet')
    return answer(_told(found), revision=found.number)


@bp.put(f"{ENTRY}/ruling")
@access("rso")
@described("Rule on an entry", body=RulingAsked, answers={200: RulingTold}, etag=True, matched=True, problems=(409,))
def put_ruling(day_id: str, entry_id: str) -> Response:
    """Names the assessment that it rests on; refused when that is not the current one, or the conditions are stale."""
    known_query()
    asked = body(RulingAsked)
    store = the_store()
    store.entries.get(day_id, entry_id)
    last = store.rulings.latest(day_id).get(entry_id)
    verdict = Verdict(word=asked.word, reason=asked.reason, initials=asked.initials)
    made = rule_on(day_id, entry_id, verdict, asked.assessment, based_on(last.number if last else 0))
    return answer(_told(made), revision=made.number)


@bp.get("/days/<day_id>/attestations")
@access("rso", "organiser")
@described("What was attested", answers={200: TicksTold})
def get_ticks(day_id: str) -> Response:
    """By entry, "" for the day itself, by rule."""
    known_query()
    return answer(TicksTold(attestations=the_store().attestations.all(day_id)))


@bp.put("/days/<day_id>/attestations/<rule_id>")
@access("rso", "organiser")
@described("Attest for the day", body=Attestation, answers={204: None}, problems=(409,))
def tick_day(day_id: str, rule_id: str) -> Response:
    """A rule that is ticked already stays as it is."""
    known_query()
    the_store().days.header(day_id)
    the_store().attestations.add(day_id, "", rule_id, body(Attestation), caller().name())
    return Response(status=204)


@bp.delete("/days/<day_id>/attestations/<rule_id>")
@access("rso", "organiser")
@described("Take back what was attested for the day", answers={204: None})
def untick_day(day_id: str, rule_id: str) -> Response:
    """The audit trail keeps that it was attested."""
    known_query()
    the_store().days.header(day_id)
    the_store().attestations.take_back(day_id, "", rule_id, caller().name())
    return Response(status=204)


@bp.put(f"{ENTRY}/attestations/<rule_id>")
@access("rso", "organiser")
@described("Attest for an entry", body=Attestation, answers={204: None}, problems=(409,))
def tick_entry(day_id: str, entry_id: str, rule_id: str) -> Response:
    """At check-in. A rule that is ticked already stays as it is."""
    known_query()
    the_store().entries.get(day_id, entry_id)
    the_store().attestations.add(day_id, entry_id, rule_id, body(Attestation), caller().name())
    return Response(status=204)


@bp.delete(f"{ENTRY}/attestations/<rule_id>")
@access("rso", "organiser")
@described("Take back what was attested for an entry", answers={204: None})
def untick_entry(day_id: str, entry_id: str, rule_id: str) -> Response:
    """The audit trail keeps that it was attested."""
    known_query()
    the_store().entries.get(day_id, entry_id)
    the_store().attestations.take_back(day_id, entry_id, rule_id, caller().name())
    return Response(status=204)


@bp.get(f"{ENTRY}/rulings")
@access("flyer", "rso", "organiser")
@described("Every ruling on an entry", answers={200: Page[RulingTold]}, query=PAGE)
def list_rulings(day_id: str, entry_id: str) -> Response:
    """The latest first; all but that are told as lapsed."""
    known_query(*PAGE)
    items, where = page_of(the_store().rulings.history(day_id, entry_id)[::-1])
    return answer(Page[RulingTold](items=[_told(each) for each in items], **where))


def _told(ruling: Ruling) -> RulingTold:
    return RulingTold(
        entry=ruling.entry_id,
        number=ruling.number,
        assessment=ruling.assessment_id,
        state=ruling.state,
        role=ruling.role,
        at=ruling.at,
        by=ruling.by,
        verdict=ruling.verdict,
    )
