"""Whether what stands is what the audit trail says stands, and in words what does not agree.

Not told of by the trail, and so not vouched for: the order in which motors and entries stand, the number that the next
entry gets, what the desk tells of earlier passes. Accounts, tokens, links, keys and motors that were set aside before
a version that tells of them are vouched for only as far as their records go.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import sqlalchemy as sa

from service.store import tables
from service.store.audit import Break
from service.store.place_words import called, disagreement
from service.store.stands import documented, standing
from service.store.told import Fact, Place, Told

Documented = Mapping[tuple[str, str, str, int], Mapping[str, Any]]
Standing = Mapping[Place, Mapping[str, Any]]
_KINDS = {"launch_day": "day", "motor": "motor", "entry": "entry", "flight": "flight"}


def disagreements(connection: sa.Connection, told: Told) -> list[Break]:
    """Everything that stands otherwise than the trail says, by the number of the record that says so."""
    found = standing(connection)
    _complete(told, documented(connection))
    last = connection.execute(sa.select(tables.audit_head.c.number)).scalar_one()
    logins = {place[1]: facts["login"] for place, facts in found.items() if place[0] == "person"}
    breaks = [*_rows(told, found, last, logins), *_facts(told, found, logins), *_stock(told, found)]
    return sorted(breaks, key=lambda each: each.number)


def _rows(told: Told, found: Standing, last: int, logins: Mapping[str, str]) -> Iterator[Break]:
    """Rows that are gone, and rows that no record tells of."""
    for place, facts in told.facts.items():
        if place not in found:
            number = max((fact.number for fact in facts.values()), default=last)
            yield Break(number, f"{called(place, logins, facts)} is gone")
    for place in found.keys() - told.facts.keys():
        name = called(place, logins, {})
        if place in told.taken:
            yield Break(told.taken[place], f"{name} stands, yet this record tells that it was taken away")
        else:
            yield Break(last + 1, f"missing; {name} is kept, yet no record names it")


def _facts(told: Told, found: Standing, logins: Mapping[str, str]) -> Iterator[Break]:
    """Rows of which something is otherwise than it was told last."""
    for place, facts in told.facts.items():
        for name, (number, value) in facts.items():
            if place in found and name in found[place] and found[place][name] != value:
                words = disagreement(place[0], name, found[place][name], value)
                yield Break(number, f"{called(place, logins, facts)}{words}")


def _stock(told: Told, found: Standing) -> Iterator[Break]:
    """Motors that entries hold, against what each motor counts as set aside."""
    held: dict[Place, int] = {}
    for place, facts in found.items():
        if place[0] != "entry" or not facts["holds"]:
            continue
        motor = ("motor", place[1], facts["held_motor"])
        held[motor] = held.get(motor, 0) + facts["holds"]
        number = _number(told, place)
        if facts["held_motor"] != facts["motor_id"]:
            yield Break(number, f'{called(place)} holds motor "{facts["held_motor"]}", and flies "{facts["motor_id"]}"')
        if facts["withdrawn"]:
            yield Break(number, f"{called(place)} is withdrawn, and holds motors")
    for place, facts in found.items():
        if place[0] == "motor" and facts["reserved"] != held.get(place, 0):
            words = f"counts {facts['reserved']} as set aside, and entries hold {held.get(place, 0)}"
            yield Break(_number(told, place), f"{called(place)} {words}")


def _number(told: Told, place: Place) -> int:
    return max((fact.number for fact in told.facts.get(place, {}).values()), default=0)


def _complete(told: Told, documents: Documented) -> None:
    """Add what follows from what was told: columns that repeat documents, what assessments and flights rest on."""
    for place, facts in told.facts.items():
        kind = _KINDS.get(place[0])
        if kind is not None and "revision" in facts:
            number, revision = facts["revision"]
            key = (place[1], kind, place[2] if len(place) > 2 else "", revision)
            facts |= {name: Fact(number, value) for name, value in documents.get(key, {}).items()}
    for place, facts in told.facts.items():
        if place[0] == "current_assessment":
            number = facts["assessment_id"].number
            basis = _basis(told, documents, place[1], place[2], number)
            if None not in basis.values():
                facts |= {name: Fact(number, value) for name, value in basis.items()}
        elif place[0] == "flight" and "logged" in facts and "entry_id" in facts:
            number, first = facts.pop("logged")
            facts |= {name: Fact(number, value) for name, value in _logged(told, documents, place, number, first)}


def _basis(told: Told, documents: Documented, day_id: str, entry_id: str, before: int) -> dict[str, int | None]:
    """The revisions that an assessment of an entry rested on when a record was written."""
    day, entry = ("launch_day", day_id), ("entry", day_id, entry_id)
    revision = told.was(entry, "revision", before)
    motor_id = documents.get((day_id, "entry", entry_id, revision), {}).get("motor_id")
    return {
        "day_revision": told.was(day, "revision", before),
        "conditions_revision": told.was(day, "conditions_revision", before),
        "motor_revision": told.was(("motor", day_id, str(motor_id)), "revision", before),
        "entry_revision": revision,
    }


def _logged(told: Told, documents: Documented, place: Place, number: int, first: bool) -> Iterator[tuple[str, Any]]:
    """What a row of the flight log rested on when it was written, or when it was given to another entry."""
    day_id, entry_id = place[1], told.facts[place]["entry_id"].value
    now = _basis(told, documents, day_id, entry_id, number)
    if None in now.values():
        return
    yield "entry_revision", now["entry_revision"]
    past = told.past.get((("current_assessment", day_id, entry_id), "assessment_id"), [])
    made = [each for each in past if each[0] < number]
    fresh = first and made and _basis(told, documents, day_id, entry_id, made[-1][0]) == now
    yield "assessment_id", made[-1][1] if fresh else None
