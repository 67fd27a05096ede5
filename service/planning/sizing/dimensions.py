"""What the codes ask of the field and of the pad, class by class: read off the published rules, not worked out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from service.codes.facts import Value
from service.codes.load import all_codes, load
from service.codes.quantities import QUANTITIES, ZONE_KINDS
from service.codes.rulebook import evaluate_all
from service.models.day import LaunchDay
from service.models.finding import Finding
from service.models.sizing import MinimumDimension
from service.planning.ground import Ground
from service.planning.plain_words import plain_words
from service.planning.sizing.fleet import Fleet, FleetRocket, rocket_facts
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

    @property
    def words(self) -> str:
        return plain_words(QUANTITIES[self.quantity].meaning)


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
    """For each class and code the greatest that its rockets are asked for, beside what the field has.

    `apogees_m` is the nominal apogee of each rocket of the fleet in its highest wind; None: not known.
    """
    codes = [*dict.fromkeys([*day.codes, *all_codes()])]
    width_m = ground.min_dimension_m
    outsider_m = min((outsider_distance_m(ground, rocket.pad_at) for rocket in fleet.rockets), default=None)
    found_m = {"field_min_dimension_m": width_m, "outsider_distance_m": outsider_m}
    for letter in fleet.letters:
        for code in codes:
            best: dict[str, Finding] = {}
            for rocket, apogee_m in zip(fleet.rockets, apogees_m, strict=True):
                if rocket.letter == letter:
                    for finding in _site_findings(day, code, site_facts(day, rocket, apogee_m)):
                        best[finding.rule] = _greater(best.get(finding.rule), finding)
            for finding in best.values():
                yield _dimension(day, letter, code, finding, found_m[finding.quantity or ""])
        for finding in _local_findings(day, fleet, letter, apogees_m):
            yield _dimension(day, letter, LOCAL, finding, found_m[finding.quantity or ""])


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
    return [each for each in evaluate_all([code], [], facts) if each.code == code and _is_floor(each, SITE)]


def _local_findings(day: LaunchDay, fleet: Fleet, letter: str, apogees_m: Sequence[float | None]) -> Iterator[Finding]:
    best: dict[str, Finding] = {}
    for rocket, apogee_m in zip(fleet.rockets, apogees_m, strict=True):
        if rocket.letter == letter:
            for each in evaluate_all(day.codes, day.local_rules, site_facts(day, rocket, apogee_m)):
                if each.code == LOCAL and _is_floor(each, SITE):
                    best[each.rule] = _greater(best.get(each.rule), each)
    yield from best.values()


def _is_floor(finding: Finding, quantities: Mapping[str, object] | Sequence[str]) -> bool:
    return finding.quantity in quantities and finding.comparison == "at_least" and finding.weight in BINDING


def _greater(one: Finding | None, other: Finding) -> Finding:
    """The one that asks for more; no figure at all asks for the most."""
    if one is None or other.limit_si is None:
        return other
    return one if one.limit_si is None or one.limit_si >= other.limit_si else other


def _dimension(day: LaunchDay, letter: str, code: str, finding: Finding, found_m: float | None) -> MinimumDimension:
    limit_m = finding.limit_si
    known = limit_m is not None and found_m is not None
    edition = finding.source.edition or (load(code).edition.edition if code != LOCAL else "")
    return MinimumDimension(
        letter=letter, code=code, rule=finding.rule, what=SITE[finding.quantity or ""], limit_m=limit_m,
        printed=figure(finding.limit, finding.unit) if finding.limit is not None else "case by case",
        found_m=found_m, met=found_m >= limit_m * (1.0 - 1e-9) if known else None,  # type: ignore[operator]
        in_force=code in day.codes or code == LOCAL, clause=finding.source.clause, edition=edition,
        known=finding.source.known, note=finding.note,
    )  # fmt: skip


def pad_needs(day: LaunchDay, fleet: Fleet, apogees_m: Sequence[float | None]) -> dict[str, PadNeed]:
    """Quantity -> the greatest distance asked for by law, codes in force and club rules, over the fleet."""
    found: dict[str, PadNeed] = {}
    for rocket, apogee_m in zip(fleet.rockets, apogees_m, strict=True):
        for each in evaluate_all(day.codes, day.local_rules, site_facts(day, rocket, apogee_m)):
            if not _is_floor(each, PAD_QUANTITIES) or each.limit_si is None or each.limit is None:
                continue
            name = each.quantity or ""
            if name not in found or each.limit_si > found[name].limit_m:
                printed = figure(each.limit, each.unit)
                found[name] = PadNeed(name, each.limit_si, printed, each.rule, each.source.clause, rocket.letter)
    return found
