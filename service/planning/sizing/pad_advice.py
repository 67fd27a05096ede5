"""Pads and flight line as the result keeps them: what was found, beside what stands there now."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from geo.inside import lie_inside
from service.models.assessment import Mode
from service.models.day import LaunchDay
from service.models.sizing import FlightLine, PadAdvice, PadDistance, PeopleShare
from service.planning.ground import Ground
from service.planning.sizing import wording
from service.planning.sizing.fleet import Fleet
from service.planning.sizing.pad_search import Searched
from service.planning.sizing.pads import STEP_M
from service.planning.sizing.shapes import geojson_area

Landings = Mapping[tuple[int, Mode], np.ndarray]


def pad_advice(
    day: LaunchDay, ground: Ground, fleet: Fleet, landings: Landings, searched: Searched,
    distances: tuple[PadDistance, ...],
) -> PadAdvice:  # fmt: skip
    """The advice; without a place that keeps every distance it says so. `distances` are those of `pad_distances`."""
    search, found = searched.search, searched.found
    now = inside_now(ground, fleet, landings)
    people_now = people_shares(ground, fleet, landings)
    now_words = wording.now_words(distances, people_now, day.policy)
    if search is None or found is None:
        why = "no place keeps every distance" if landings else "no rocket could be flown in every wind"
        return PadAdvice(
            found=False, served=(), position=None, area=None, area_m2=None, inside_now=now, inside_best=None,
            coarse_best=None, people_now=people_now, line=None, distances=distances, step_m=STEP_M, grid_m=0.0,
            words=f"No place for the pads was found: {why}.", now_words=now_words,
        )  # fmt: skip
    best, strip = found.best, found.best.line
    line_shape = search.strips.shape(strip, best.at)
    by = strip.ballistic_by if strip.ballistic >= strip.planned else strip.planned_by
    people = PeopleShare(
        letter=None if by is None else fleet.rockets[search.rockets[by]].letter, planned=strip.planned,
        ballistic=strip.ballistic,
    )  # fmt: skip
    line = FlightLine(
        geometry=geojson_area(ground, line_shape), bearing_deg=strip.bearing_deg,
        distance_m=strip.distance_m, length_m=search.strips.length_m, depth_m=search.strips.depth_m, people=people,
        kept=strip.level > 0, words=wording.line_words(strip, day.policy),
    )  # fmt: skip
    return PadAdvice(
        found=True,
        served=searched.served,
        position=ground.lonlat(*best.at),
        area=geojson_area(ground, found.area),
        area_m2=float(found.area.area),
        inside_now=now,
        inside_best=best.inside,
        coarse_best=found.coarse.inside,
        people_now=people_now,
        line=line,
        distances=distances,
        step_m=STEP_M,
        grid_m=found.grid_m,
        words=wording.pad_words(ground, day, fleet, searched, now),
        now_words=now_words,
    )


def inside_now(ground: Ground, fleet: Fleet, landings: Landings) -> float | None:
    """Share of the season's landings inside from the pads as they stand, every rocket by its count."""
    total, count = 0.0, 0
    for (number, mode), points in landings.items():
        if mode == "planned":
            rocket = fleet.rockets[number]
            at = points + rocket.pad_at
            total += rocket.count * float(lie_inside(ground.boundary, at[:, 0], at[:, 1]).mean())
            count += rocket.count
    return total / count if count and count == sum(each.count for each in fleet.rockets) else None


def people_shares(ground: Ground, fleet: Fleet, landings: Landings) -> PeopleShare:
    """Landings among the people where they are drawn, from the pads as they stand; the rocket with the most."""
    people = ground.union("people")
    if people is None or not landings:
        return PeopleShare(letter=None, planned=None, ballistic=None)
    worst: dict[str, tuple[float, int]] = {}
    for (number, mode), points in landings.items():
        if mode in ("planned", "no_deployment"):
            at = points + fleet.rockets[number].pad_at
            share = float(lie_inside(people, at[:, 0], at[:, 1]).mean())
            worst[mode] = max(worst.get(mode, (-1.0, 0)), (share, number))
    planned, ballistic = worst["planned"], worst["no_deployment"]
    return PeopleShare(
        letter=fleet.rockets[max(planned, ballistic)[1]].letter, planned=planned[0], ballistic=ballistic[0]
    )
