"""Distances that the codes ask of the pads: each rocket beside its own pad, the place advised beside all it serves."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import shapely

from service.codes.quantities import QUANTITIES
from service.models.day import LaunchDay
from service.models.finding import Finding
from service.models.sizing import PadDistance
from service.planning.ground import Ground
from service.planning.plain_words import plain_words
from service.planning.sizing.dimensions import PAD_QUANTITIES, outsider_distance_m, pad_floors
from service.planning.sizing.fleet import Fleet, pad_places
from service.planning.sizing.pad_search import Searched
from service.planning.sizing.room import ROUNDING, Held, Room, held
from service.planning.words import figure

PEOPLE = "people_distance_m"


@dataclass
class _Asked:
    """One distance, the classes that are asked for it, and the rocket with the least room."""

    finding: Finding
    rocket: str
    held: Held
    letters: list[str] = field(default_factory=list)


def pad_distances(
    day: LaunchDay, ground: Ground, fleet: Fleet, apogees_m: Sequence[float | None], searched: Searched
) -> Iterator[PadDistance]:
    """A row for each distance that some classes are asked for, the least first; what has nothing drawn is left out.

    `apogees_m` is the nominal apogee of each rocket; None: not known.
    """
    places = pad_places(day, ground)
    rooms = {
        name: [Room(pad, from_place_m(ground, name, at)) for pad, at in places] for name in PAD_QUANTITIES
    }  # fmt: skip
    asked: dict[tuple[str, float, str], _Asked] = {}
    for rocket, apogee_m in zip(fleet.rockets, apogees_m, strict=True):
        greatest: dict[str, Finding] = {}
        for finding in pad_floors(day, rocket, apogee_m):
            name = finding.quantity or ""
            if name not in greatest or _asks_m(finding) > _asks_m(greatest[name]):
                greatest[name] = finding
        for name, finding in greatest.items():
            found = held(finding.limit_si, [each for each in rooms[name] if each.pad in rocket.pads])
            key = name, _asks_m(finding), finding.rule
            row = asked.setdefault(key, _Asked(finding, rocket.name, found))
            if found.spare_m < row.held.spare_m:
                row.rocket, row.held = rocket.name, found
            if rocket.letter not in row.letters:
                row.letters.append(rocket.letter)
    for key in sorted(asked, key=lambda each: (PAD_QUANTITIES.index(each[0]), each[1])):
        best_m = _from_best_m(ground, key[0], searched)
        if asked[key].held.found_m is not None or best_m is not None:
            yield _row(asked[key], best_m, searched)


def _asks_m(finding: Finding) -> float:
    """No figure at all asks for the most."""
    return math.inf if finding.limit_si is None else finding.limit_si


def _row(asked: _Asked, best_m: float | None, searched: Searched) -> PadDistance:
    finding, found, limit_m = asked.finding, asked.held, asked.finding.limit_si
    served = any(letter in searched.served for letter in asked.letters)
    met_best = None
    if served and best_m is not None and limit_m is not None:
        met_best = best_m >= limit_m * (1.0 - ROUNDING)
    return PadDistance(
        quantity=finding.quantity or "", words=plain_words(QUANTITIES[finding.quantity or ""].meaning),
        letters=tuple(asked.letters), limit_m=limit_m,
        printed="case by case" if finding.limit is None else figure(finding.limit, finding.unit),
        rule=finding.rule, clause=finding.source.clause, rocket=asked.rocket, pad=found.pad,
        found_now_m=found.found_m, met_now=found.met, kept_from=found.kept_from, found_best_m=best_m,
        met_best=met_best,
    )  # fmt: skip


def _from_best_m(ground: Ground, name: str, searched: Searched) -> float | None:
    """From the place advised; to the people, from its own flight line. [m]"""
    if searched.found is None:
        return None
    best = searched.found.best
    return best.line.distance_m if name == PEOPLE else from_place_m(ground, name, best.at)


def from_place_m(ground: Ground, name: str, at: tuple[float, float]) -> float | None:
    """From a place to whatever a quantity names; None where nothing of the kind is drawn. [m]"""
    point = shapely.Point(at)
    if name == "edge_distance_m":
        return float(shapely.distance(point, ground.boundary.boundary))
    if name == "outsider_distance_m":
        return outsider_distance_m(ground, at)
    kind = name.removesuffix("_distance_m")
    found = [
        float(shapely.distance(point, zone.area)) for zone in ground.of_kind(kind)
        if not (kind == "building" and zone.zone.occupied is False)
    ]  # fmt: skip
    return min(found) if found else None
