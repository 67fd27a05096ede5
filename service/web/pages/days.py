"""Launch days for everybody: the list, and what one day looks like."""

from __future__ import annotations

import hashlib
import json
from functools import lru_cache

from flask import Blueprint, jsonify, render_template
from markupsafe import Markup

from service.models.ceiling import in_force
from service.models.day import LaunchDay
from service.planning.pictures import NARROW, PLOT_NARROW, WIDE, day_picture, wind_picture
from service.planning.quantities import Units
from service.planning.weather.told import clock
from service.store.desk import Desk
from service.store.motors import Offer
from service.web.access import access
from service.web.background import reassessor
from service.web.callers import the_store
from service.web.confirmed import editions_of
from service.web.entry_fields import OWN_PREFIX
from service.web.reader import age_of, now, units
from service.web.registration import is_over

bp = Blueprint("days", __name__)


@bp.get("/")
@access("anyone")
def index():
    """Every launch day, those to come first."""
    today = now().date().isoformat()
    days = the_store().days.all()
    return render_template(
        "days.html",
        coming=sorted((day for day in days if day.date >= today), key=lambda day: (day.date, day.id)),
        past=[day for day in days if day.date < today],
    )


@bp.get("/days/<day_id>")
@access("anyone")
def show(day_id: str):
    """One launch day: map, ceiling, codes, conditions, what may fly, how to register, who has."""
    store = the_store()
    desk, day = store.desk(day_id), store.day_document(day_id)
    progress = reassessor().progress(day_id, desk)
    return render_template(
        "day.html",
        day_id=day_id,
        day=day,
        conditions=desk.conditions,
        age=age_of(day.conditions, day.policy, now()),
        over=is_over(day, now()),
        editions=editions_of(store, day_id, day.codes),
        ceilings=day.ceilings,
        ceiling_now=in_force(day.ceilings, now(), day.field.elevation_m),
        offers=by_class(store.motors.all(day_id)),
        lines=desk.lines,
        progress=progress,
        stamp=_stamp(desk, progress.failed),
        pictures=_pictures(day, desk, day_id, units()),
    )


@bp.get("/days/<day_id>/progress")
@access("anyone")
def progress(day_id: str):
    """How many entries have a current assessment, and a stamp that is another one as soon as anything that the page of
    the day tells of them is: JSON, for pages that keep themselves up to date.
    """
    store = the_store()
    desk, zone = store.desk(day_id), store.days.header(day_id).document.timezone
    found = reassessor().progress(day_id, desk)
    return jsonify(
        at=clock(now(), zone, now()),
        stamp=_stamp(desk, found.failed),
        total=found.total,
        done=found.done,
        pending=found.pending,
        failed=list(found.failed),
        conditions_revision=desk.conditions.revision,
        entries={
            line.record.id: {
                "standing": line.assessed.standing if line.assessed and line.assessed.fresh else None,
                "assessment": line.assessed.assessment_id if line.assessed and line.assessed.fresh else None,
                "ruling": line.ruling.state if line.ruling else None,
            }
            for line in desk.lines
        },
    )


def _stamp(desk: Desk, failed: tuple[str, ...]) -> str:
    told = [
        [line.record.id, line.record.revision, line.assessed and [line.assessed.assessment_id, line.assessed.fresh],
         line.ruling and [line.ruling.number, line.ruling.state]]
        for line in desk.lines
    ]  # fmt: skip
    whole = [desk.day_revision, desk.conditions.revision, told, failed]
    return hashlib.sha256(json.dumps(whole).encode()).hexdigest()[:16]


def by_class(offers: tuple[Offer, ...]) -> list[tuple[str, list[Offer]]]:
    """Motors by impulse class, the smallest first."""
    found: dict[str, list[Offer]] = {}
    for offer in sorted(offers, key=lambda each: each.motor.impulse_ns):
        if offer.motor.id.startswith(OWN_PREFIX):
            continue
        found.setdefault(offer.motor.letter, []).append(offer)
    return list(found.items())


def _pictures(day: LaunchDay, desk: Desk, day_id: str, chosen: Units) -> dict[str, Markup]:
    key = (day_id, desk.day_revision, desk.conditions.revision, chosen)
    return _drawn(key, _Held(day))


class _Held:
    """A document that stands for nothing in a cache's key: the revisions beside it say which one it is."""

    def __init__(self, day: LaunchDay) -> None:
        self.day = day

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Held)

    def __hash__(self) -> int:
        return 0


@lru_cache(maxsize=32)
def _drawn(key: tuple[str, int, int, Units], held: _Held) -> dict[str, Markup]:
    chosen = key[3]
    return {
        "map_wide": Markup(day_picture(held.day, chosen, WIDE, "map-wide")),
        "map_narrow": Markup(day_picture(held.day, chosen, NARROW, "map-narrow")),
        "wind": Markup(wind_picture(held.day.conditions, chosen, PLOT_NARROW, "wind")),
    }
