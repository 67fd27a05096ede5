"""One entry and its assessment; the private link that opens it; an assessment by its id."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from flask import Blueprint, redirect, render_template, session, url_for
from markupsafe import Markup

from service.models.assessment import Assessment
from service.models.day import LaunchDay
from service.planning.entry_view import EntryView, entry_view, finding_line
from service.planning.pictures import (
    NARROW,
    PLOT_NARROW,
    PLOT_WIDE,
    WIDE,
    entry_map,
    entry_plot,
    entry_sheet,
)
from service.planning.quantities import Units
from service.store import DayHeader, NotFound
from service.store.places import Place
from service.store.rulings import Ruling
from service.store.standing import Current
from service.web.access import access
from service.web.advice.here import fixes_here
from service.web.background import reassessor
from service.web.callers import caller, remember_link, the_store
from service.web.reader import age_of, now, units

HISTORY = 20  # revisions that the page tells of

bp = Blueprint("entries", __name__)


@dataclass(frozen=True)
class Shown:
    """An assessment as the page shows it: words, figures and pictures."""

    view: EntryView
    map_wide: Markup
    map_narrow: Markup
    plot_wide: Markup
    plot_narrow: Markup


@bp.get("/private/<token>")
@access("anyone")
def open_link(token: str):
    """Follow a private link: this browser may see and mend the entry from here on."""
    try:
        link = the_store().links.open(token)
    except NotFound:
        raise NotFound(
            "this private link is not in force: it was ended, a newer one took its place, or a letter of it is "
            "missing; ask the organiser of the launch day or, on the field, the range safety officer for a new one"
        ) from None
    remember_link(token)
    return redirect(url_for("entries.show", day_id=link.day_id, entry_id=link.entry_id), 303)


@bp.get("/days/<day_id>/entries/<entry_id>")
@access("flyer", "rso", "organiser")
def show(day_id: str, entry_id: str):
    """The entry, where it stands and why."""
    store = the_store()
    record = store.entries.get(day_id, entry_id)
    day = store.day_document(day_id)
    current = store.assessments.current(day_id).get(entry_id)
    assessment, shown = None, None
    if current is not None and not record.withdrawn:
        assessment = store.assessments.get(current.assessment_id)
        shown = shown_as(day, assessment, units()) if current.fresh else None
    known = (*store.motors.all(day_id), *(store.motors.gone(day_id) if record.withdrawn else ()))
    offer = next((each for each in known if each.motor.id == record.entry.motor), None)
    return render_template(
        "entry.html",
        day_id=day_id,
        day=day,
        record=record,
        entry=record.entry,
        offer=offer,
        current=current,
        assessment=assessment,
        shown=shown,
        failure=reassessor().failures(day_id).get(entry_id, ""),
        ruling=store.rulings.latest(day_id).get(entry_id),
        age=age_of(day.conditions, day.policy, now()),
        told_link=_told_link(day_id, entry_id),
        applied=_applied(entry_id),
        fixes=fixes_here(store, day_id, entry_id) if shown else None,
        history=store.entries.history(day_id, entry_id)[::-1][:HISTORY],
        may_mend=not record.withdrawn and may_mend(day_id, entry_id),
    )


def may_mend(day_id: str, entry_id: str) -> bool:
    """Whether who looks may change the entry: an organiser, or its flyer until it is ruled on."""
    asking = caller()
    if "organiser" in asking.roles(day_id):
        return True
    ruling = the_store().rulings.latest(day_id).get(entry_id)
    return asking.holds(day_id, entry_id) and not (ruling and ruling.state in ("approved", "refused"))


def _told_link(day_id: str, entry_id: str) -> str:
    """The address of a private link that was just made: shown this once."""
    token = session.get("new_link", "")
    if not token:
        return ""
    session.pop("new_link")
    try:
        link = the_store().links.open(token)
    except NotFound:
        return ""
    return url_for("entries.open_link", token=token, _external=True) if link.entry_id == entry_id else ""


def _applied(entry_id: str) -> str:
    """The advised change that was just made: told this once."""
    of, words = session.pop("applied", ["", ""])
    return words if of == entry_id else ""


@bp.get("/assessments/<assessment_id>")
@access("anyone")
def by_assessment(assessment_id: str):
    """An assessment by the id that the sheet prints, and whether it is what stands; the flyer's name is left out."""
    store = the_store()
    assessment = store.assessments.get(assessment_id)
    return render_template(
        "assessment.html",
        assessment=assessment,
        findings=[finding_line(each, units()) for each in assessment.findings],
        bearings=[_bearing(place, assessment_id) for place in store.assessments.places(assessment_id)],
    )


@dataclass(frozen=True)
class Bearing:
    """What an assessment is to one entry now. `newer` is the one that took its place."""

    day_id: str
    day: DayHeader
    entry_id: str
    state: Literal["current", "replaced", "waiting", "withdrawn", "failed"]
    newer: Current | None
    ruling: Ruling | None
    own: bool
    """Whether the entry's last ruling rests on this very assessment."""
    may_see: bool
    may_rule: bool


def _bearing(place: Place, assessment_id: str) -> Bearing:
    store, asking = the_store(), caller()
    day_id, entry_id = place
    record, current = store.entries.get(day_id, entry_id), store.assessments.current(day_id).get(entry_id)
    ruling, roles = store.rulings.latest(day_id).get(entry_id), asking.roles(day_id)
    runs = bool(roles & {"rso", "organiser"})
    if record.withdrawn:
        state = "withdrawn"
    elif current is not None and current.fresh:
        state = "current" if current.assessment_id == assessment_id else "replaced"
    else:
        state = "failed" if entry_id in reassessor().failures(day_id) else "waiting"
    return Bearing(
        day_id=day_id,
        day=store.days.header(day_id).document,
        entry_id=entry_id,
        state=state,  # type: ignore[arg-type]  # one of those
        newer=current if state == "replaced" else None,
        ruling=ruling,
        own=ruling is not None and ruling.assessment_id == assessment_id,
        may_see=runs or asking.holds(day_id, entry_id),
        may_rule=runs,
    )


def shown_as(day: LaunchDay, assessment: Assessment, chosen: Units) -> Shown:
    """Words, figures and pictures of an assessment of the day as it stands."""
    return _shown(assessment.id, chosen, _Held(day, assessment))


class _Held:
    """What an id stands for; equal to every other, so that a cache looks at the id alone."""

    def __init__(self, day: LaunchDay, assessment: Assessment) -> None:
        self.day, self.assessment = day, assessment

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Held)

    def __hash__(self) -> int:
        return 0


@lru_cache(maxsize=64)
def _shown(assessment_id: str, chosen: Units, held: _Held) -> Shown:
    sheet = entry_sheet(held.day, held.assessment)
    return Shown(
        entry_view(sheet, held.assessment, chosen),
        Markup(entry_map(sheet, chosen, WIDE, "map-wide")),
        Markup(entry_map(sheet, chosen, NARROW, "map-narrow")),
        Markup(entry_plot(sheet, chosen, PLOT_WIDE, "plot-wide")),
        Markup(entry_plot(sheet, chosen, PLOT_NARROW, "plot-narrow")),
    )
