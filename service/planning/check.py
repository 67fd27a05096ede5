"""Reading a launch-day document at the door: a whole launch day, or every fault at once."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from geo.boundary import pads_outside, read_boundary, read_zone
from geo.errors import GeoError
from service.models.base import PROBLEMS
from service.models.crosscheck import day_problems
from service.models.day import LaunchDay
from service.planning.decode import Unreadable, decode
from service.planning.errors import DocumentRefused, Fault, pointer
from service.planning.salvage import readable_boundary, readable_parts, readable_positions, readable_zones
from service.planning.translate import faults_of

ALIKE_LIMIT = 3  # faults of one kind at points of one shape or curve that are listed one by one
FAULT_LIMIT = 500

_POINTS = re.compile(r"(.*/(?:coordinates|thrust_curve|drag_coefficient))(/\d+)+$")


def read_day(data: bytes, name: str = "the document") -> LaunchDay:
    """Read a launch-day document.

    Parameters
    ----------
    data : bytes
        The document, JSON in UTF-8.
    name : str
        What to call it in a refusal, such as its file name.

    Raises
    ------
    DocumentRefused
        With every fault: its JSON pointer, what was found, what would be right.
    """
    day, found = _examined(data)
    if found or day is None:
        raise DocumentRefused(found, name)
    return day


def read_day_file(path: Path) -> LaunchDay:
    """Read a launch-day document from a file. A file that cannot be opened is refused like any other fault."""
    try:
        data = path.read_bytes()
    except OSError as error:
        why = error.strerror or "it cannot be read"
        raise DocumentRefused(
            [Fault("", f"no readable file ({why.lower()})", "a launch-day document")], str(path)
        ) from None
    return read_day(data, path.name)


def faults(data: bytes) -> list[Fault]:
    """List everything that is wrong with a launch-day document; empty when nothing is."""
    return _examined(data)[1]


def _examined(data: bytes) -> tuple[LaunchDay | None, list[Fault]]:
    try:
        document, found = decode(data)
    except Unreadable as refusal:
        return None, [refusal.fault]
    day = None
    modelled: list[Fault] = []
    try:
        day = LaunchDay.model_validate(document)
    except ValidationError as error:
        modelled += faults_of(error, document)
        whole = any(detail["type"] == PROBLEMS and not detail["loc"] for detail in error.errors(include_url=False))
        if not whole:
            modelled += _between_parts(document)
    return day, _tidied([*modelled, *found, *geometry_faults(document)])


def _between_parts(document: Any) -> Iterator[Fault]:
    for problem in day_problems(readable_parts(document)):
        yield Fault(pointer(problem.at), problem.found, problem.expected)


def geometry_faults(document: Any) -> Iterator[Fault]:
    """Faults of the boundary, the zones and the pads' places on them, of those parts that can be read."""
    positions = readable_positions(document)
    pads = list(positions.values())
    raw = readable_boundary(document)
    if raw is not None:
        try:
            boundary = read_boundary(raw, pads).geometry
        except GeoError as error:
            yield _geometry_fault(
                "/field/boundary", error, "a boundary that closes without crossing itself, around the pads"
            )
        else:
            indices = list(positions)
            for outside in pads_outside(boundary, pads):
                lon_deg, lat_deg = pads[outside]
                yield Fault(
                    f"/field/pads/{indices[outside]}/position",
                    f"[{lon_deg:.6g}, {lat_deg:.6g}], outside the boundary",
                    "a position inside the boundary, as [longitude, latitude]",
                )
    for index, geometry in readable_zones(document).items():
        try:
            read_zone(geometry, pads)
        except GeoError as error:
            yield _geometry_fault(
                f"/field/zones/{index}/geometry", error, "a shape that does not cross itself, near the pads"
            )


def _geometry_fault(where: str, error: GeoError, expected: str) -> Fault:
    found, _, right = error.text.partition("; ")
    return Fault(where + error.path, found.removeprefix("found "), right or expected)


def _tidied(found: list[Fault]) -> list[Fault]:
    """One fault a place, the first said; many alike at the points of one shape or curve are counted."""
    firsts: dict[str, Fault] = {}
    for fault in found:
        firsts.setdefault(fault.pointer, fault)
    kept: list[Fault] = []
    alike: dict[tuple[str, str], list[Fault]] = {}
    for fault in firsts.values():
        match = _POINTS.match(fault.pointer)
        if match:
            group = alike.setdefault((match[1], fault.expected), [])
            group.append(fault)
            if len(group) > ALIKE_LIMIT:
                continue
        kept.append(fault)
    for (where, expected), group in alike.items():
        if len(group) > ALIKE_LIMIT:
            kept.append(Fault(where, f"{len(group) - ALIKE_LIMIT} more points like those", expected))
    if len(kept) > FAULT_LIMIT:
        kept = [
            *kept[:FAULT_LIMIT],
            Fault("", f"{len(kept) - FAULT_LIMIT} more faults", "none; mend those above first"),
        ]
    return kept
