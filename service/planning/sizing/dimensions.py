"""What the codes ask of the field and of the pad, class by class: read off the published rules, not worked out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from service.codes.facts import Value
from service.codes.load import all_codes, load
from service.codes.quantities import ZONE_KINDS
from service.codes.rulebook import evaluate_all
from service.models.day import LaunchDay
from service.models.finding import Finding
from service.models.sizing import MinimumDimension
from service.planning.ground import Ground
from service.planning.sizing.fleet import Fleet, FleetRocket, pad_places, rocket_facts
from service.planning.sizing.room import Held, Room, held
from service.planning.words import figure

SITE: dict[str, Literal["site", "outsiders"]] = {
    "field_min_dimension_m": "site", "outsider_distance_m": "outsiders",
}  # fmt: skip
LOCAL = "local"
PAD_QUANTITIES = (*(f"{kind}_distance_m" for kind in ZONE_KINDS), "edge_distance_m", "outsider_distance_m")
BINDING = ("law", "code", "club")


@dataclass(frozen=True)
class PadNeed:
    """The greatest distance that any rule in force asks for one quantity, over the fleet."""

    quantity: str
    limit_m: float
    printed: str
    rule: str
    clause: str
    letter: str


def site_facts(day: LaunchDay, rocket: FleetRocket, apogee_m: float | None) -> dict[str, Value]:
    """What the rules on sites look at; every distance stands at nothing, so that each rule shows its limit."""
    ever = [ceiling.height_agl_m(day.field.elevation_m) for ceiling in day.ceilings]
    return {
        **rocket_facts(day, rocket),
        "apogee_m": apogee_m,
        "site_ceiling_agl_m": max(ever) if ever else None,
        "field_min_dimension_m": 0.0,
        "simultaneous_count": 1.0,
        "simultaneous_high_power_count": 1.0,
        **{name: 0.0 for name in PAD_QUANTITIES},
    }


def minimum_dimensions(
    day: LaunchDay, ground: Ground, fleet: Fleet, apogees_m: Sequence[float | None]
) -> Iterator[MinimumDimension]:
    """For each class and code what its rocket with the least room is asked for, beside what field and pad have.

    `apogees_m` is the nominal apogee of each rocket of the fleet in its highest wind; None: not known.
    """
    codes = [*dict.fromkeys([*day.codes, *all_codes()])]
    near = [Room(pad, outsider_distance_m(ground, at)) for pad, at in pad_places(day, ground)]
    whole = [Room("", ground.min_dimension_m)]
    for letter in fleet.letters:
        mine = [pair for pair in zip(fleet.rockets, apogees_m, strict=True) if pair[0].letter == letter]
        rooms = [
            {"field_min_dimension_m": whole, "outsider_distance_m": [each for each in near if each.pad in rocket.pads]}
            for rocket, _ in mine
        ]
        for code in codes:
            best: dict[str, tuple[Finding, Held]] = {}
            for (rocket, apogee_m), room in zip(mine, rooms, strict=True):
                for finding in _site_findings(day, code, site_facts(day, rocket, apogee_m)):
                    _keep_tighter(best, finding, room)
            for finding, found in best.values():
                yield _dimension(day, letter, code, finding, found)
        local: dict[str, tuple[Finding, Held]] = {}
        for (rocket, apogee_m), room in zip(mine, rooms, strict=True):
            for finding in evaluate_all(day.codes, day.local_rules, site_facts(day, rocket, apogee_m)):
                if finding.code == LOCAL and is_floor(finding, SITE):
                    _keep_tighter(local, finding, room)
        for finding, found in local.values():
            yield _dimension(day, letter, LOCAL, finding, found)


def _keep_tighter(best: dict[str, tuple[Finding, Held]], finding: Finding, rooms: Mapping[str, list[Room]]) -> None:
    """Keep of each rule the rocket that has the least room."""
    found = held(finding.limit_si, rooms[finding.quantity or ""])
    if finding.rule not in best or found.spare_m < best[finding.rule][1].spare_m:
        best[finding.rule] = finding, found


def outsider_distance_m(ground: Ground, at: tuple[float, float]) -> float:
    """From a place to the nearest of boundary, road and occupied building, as the assessment takes it. [m]"""
    import shapely

    point = shapely.Point(at)
    near = [float(shapely.distance(point, ground.boundary.boundary))]
    for zone in ground.of_kind("road", "building"):
        if not (zone.kind == "building" and zone.zone.occupied is False):
            near.append(float(shapely.distance(point, zone.area)))
    return min(near)


def _site_findings(day: LaunchDay, code: str, facts: Mapping[str, Value]) -> list[Finding]:
    return [each for each in evaluate_all([code], [], facts) if each.code == code and is_floor(each, SITE)]


def is_floor(finding: Finding, quantities: Mapping[str, object] | Sequence[str]) -> bool:
    """Whether a finding asks for at least some of these, by law, code or club."""
    return finding.quantity in quantities and finding.comparison == "at_least" and finding.weight in BINDING


def _dimension(day: LaunchDay, letter: str, code: str, finding: Finding, found: Held) -> MinimumDimension:
    edition = finding.source.edition or (load(code).edition.edition if code != LOCAL else "")
    return MinimumDimension(
        letter=letter, code=code, rule=finding.rule, what=SITE[finding.quantity or ""], limit_m=finding.limit_si,
        printed=figure(finding.limit, finding.unit) if finding.limit is not None else "case by case",
        found_m=found.found_m, met=found.met, pad=found.pad,
        in_force=code in day.codes or code == LOCAL, clause=finding.source.clause, edition=edition,
        known=finding.source.known, note=finding.note,
    )  # fmt: skip


def pad_floors(day: LaunchDay, rocket: FleetRocket, apogee_m: float | None) -> Iterator[Finding]:
    """Every distance that law, codes in force and club rules ask of a rocket's pad."""
    for each in evaluate_all(day.codes, day.local_rules, site_facts(day, rocket, apogee_m)):
        if is_floor(each, PAD_QUANTITIES):
            yield each


def pad_needs(day: LaunchDay, fleet: Fleet, apogees_m: Sequence[float | None]) -> dict[str, PadNeed]:
    """Quantity -> the greatest distance asked for by law, codes in force and club rules, over the fleet."""
    found: dict[str, PadNeed] = {}
    for rocket, apogee_m in zip(fleet.rockets, apogees_m, strict=True):
        for each in pad_floors(day, rocket, apogee_m):
            if each.limit_si is None or each.limit is None:
                continue
            name = each.quantity or ""
            if name not in found or each.limit_si > found[name].limit_m:
                printed = figure(each.limit, each.unit)
                found[name] = PadNeed(name, each.limit_si, printed, each.rule, each.source.clause, rocket.letter)
    return found
