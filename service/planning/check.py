"""Reading a launch-day document at the door: a whole launch day, or every fault at once."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from service.codes.rulebook import attestation_faults, rule_faults_of
from service.models.base import PROBLEMS
from service.models.crosscheck import day_problems
from service.models.day import LaunchDay
from service.planning.decode import Unreadable, decode
from service.planning.error_sources import SOURCES
from service.planning.errors import DocumentRefused, Fault, pointer
from service.planning.facts import MEASURABLE
from service.planning.geometry import geometry_faults, split
from service.planning.salvage import readable_attestations, readable_codes, readable_parts, readable_rules
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
    found = [*modelled, *found, *geometry_faults(document), *rule_faults(document), *spread_faults(document)]
    found += measured_faults(document)
    return day, _tidied(found)


def _between_parts(document: Any) -> Iterator[Fault]:
    for problem in day_problems(readable_parts(document)):
        yield Fault(pointer(problem.at), problem.found, problem.expected)


def rule_faults(document: Any) -> Iterator[Fault]:
    """Codes that are not known, local rules that do not fit them, attestations of rules that nobody asks for."""
    if not isinstance(document, dict):
        return
    codes, rules = readable_codes(document), readable_rules(document)
    indices = list(rules)
    faulty = False
    for fault in rule_faults_of(list(codes.values()), list(rules.values())):
        faulty = True
        head, kind, index, *rest = fault.pointer.split("/", 3)
        index = str(list(codes)[int(index)] if kind == "codes" else indices[int(index)])
        yield split("/".join([head, kind, index, *rest]), fault.message, "a rule that the codes can hold")
    if faulty or not _whole(document, codes, rules):
        return
    for where, said in readable_attestations(document):
        for fault in attestation_faults(list(codes.values()), list(rules.values()), said):
            rule = fault.pointer.removeprefix("/attestations/")
            yield split(f"{where}/{rule}", fault.message, "the id of a rule in force that asks for an attestation")


def measured_faults(document: Any) -> Iterator[Fault]:
    """Figures said to be measured that are none a person measures: computed ones, and slips of the pen."""
    field = document.get("field") if isinstance(document, dict) else None
    measured = field.get("measured") if isinstance(field, dict) else None
    for name in measured if isinstance(measured, dict) else ():
        if name not in MEASURABLE:
            expected = f"a quantity that is measured on site: {', '.join(sorted(MEASURABLE))}"
            yield Fault(pointer(("field", "measured", name)), f'"{name}"', expected)


def spread_faults(document: Any) -> Iterator[Fault]:
    """Spreads of error sources that are not known, or beyond what is believed of them."""
    policy = document.get("policy") if isinstance(document, dict) else None
    spreads = policy.get("spreads") if isinstance(policy, dict) else None
    if not isinstance(spreads, dict):
        return
    most = {source.name: (source.most, source.unit) for source in SOURCES}
    for name, value in spreads.items():
        where = pointer(("policy", "spreads", name))
        if name not in most:
            yield Fault(where, f'"{name}"', f"the name of an error source: {', '.join(most)}")
        elif isinstance(value, int | float) and not isinstance(value, bool) and value > most[name][0]:
            yield Fault(where, f"{value:g}", f"at most {most[name][0]:g} ({most[name][1]})")


def _whole(document: Any, codes: dict[int, Any], rules: dict[int, Any]) -> bool:
    """Whether every code and local rule could be read, so that an id that is missing is missing indeed."""
    counts = [len(listed) for name in ("codes", "local_rules") if isinstance(listed := document.get(name, []), list)]
    return counts == [len(codes), len(rules)]


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
