"""The small day with few samples and wide limits, so that a test of anything else is not about the sample count."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

from service.models.assessment import Assessment
from service.models.day import LaunchDay
from service.models.finding import Finding
from service.planning.assess import assess_entry
from service.planning.check import read_day
from tests.builders import as_bytes, small_day

MADE_AT = datetime(2028, 7, 9, 12, 55, tzinfo=UTC)
WIDE = {"samples": 64, "outside_caution": 0.2, "outside_stop": 0.5, "people_caution": 0.2, "people_stop": 0.5}
Change = Callable[[dict[str, Any]], Any]


def quick_document(*changes: Change) -> dict[str, Any]:
    """The small day's document with 64 samples; changes are made in turn."""
    document = small_day()
    document["policy"] = dict(WIDE)
    for change in changes:
        change(document)
    return document


def quick_day(*changes: Change) -> LaunchDay:
    """The same, read at the door."""
    return read_day(as_bytes(quick_document(*changes)))


def put(path: str, value: Any) -> Change:
    """Set the value at a JSON pointer."""

    def change(document: dict[str, Any]) -> None:
        *parents, last = [int(step) if step.isdigit() else step for step in path.split("/")[1:]]
        node: Any = document
        for step in parents:
            node = node[step]
        if isinstance(node, list) and last == len(node):
            node.append(value)
        else:
            node[last] = value

    return change


def drop(path: str) -> Change:
    """Take away the value at a JSON pointer."""

    def change(document: dict[str, Any]) -> None:
        *parents, last = [int(step) if step.isdigit() else step for step in path.split("/")[1:]]
        node: Any = document
        for step in parents:
            node = node[step]
        del node[last]

    return change


def assessed(entry_id: str, *changes: Change, **options: Any) -> Assessment:
    """One entry of the quick day, assessed on one thread."""
    day = quick_day(*changes)
    return assess_entry(day, day.entry_by_id(entry_id), threads=1, **options)


def rule(found: Assessment, rule_id: str) -> Finding:
    """The finding of one rule."""
    return next(finding for finding in found.findings if finding.rule == rule_id)


def device(**fields: Any) -> Change:
    """Give the first entry this one recovery device, opened by its motor."""
    return put("/entries/0/recovery", [{"name": "it", "deploy": {"at": "motor_delay"}, **fields}])


def too_heavy(document: dict[str, Any]) -> None:
    """The first entry weighs 5 kg: 14 N at most cannot lift that."""
    document["entries"][0]["rocket"]["mass_kg"] = 5.0


def too_fast(document: dict[str, Any]) -> None:
    """The second entry nearly all propellant.

    By the rocket equation it gains g Isp ln(m0/m1) = 9.81 * 158 * ln(0.5/0.15) = 1,870 m/s: over Mach 5 before drag.
    """
    document["motors"][1].update(
        designation="I270-P",
        loaded_mass_kg=0.4,
        propellant_mass_kg=0.35,
        thrust_curve=[[0.0, 0.0], [0.05, 330.0], [1.5, 310.0], [1.9, 40.0], [2.0, 0.0]],
    )
    document["entries"][1]["rocket"].update(mass_kg=0.1, pitch_inertia_kgm2=None, known={"drag_coefficient": 0.02})
