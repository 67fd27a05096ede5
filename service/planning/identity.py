"""The id of an assessment: a hash of all it depends on, so that work is never repeated and never stale unseen."""

from __future__ import annotations

import hashlib
import json
from datetime import datetime
from typing import Any

from service.codes.rulebook import rulebook
from service.models.conditions import Conditions
from service.models.day import LaunchDay
from service.models.entry import Entry
from service.version import engine

NOT_FLOWN: dict[str, Any] = {  # bears on no figure
    "attestations": True,
    "flyer": {"name", "responsible_adult", "here_from", "here_until"},
}

_APART = ("entries", "motors", "forecast", "conditions", "field", "name", "attestations", "corrections")
NOT_OF_THE_DAY: dict[str, Any] = {**dict.fromkeys(_APART, True), "policy": {"misfire_wait_s"}}


def canonical(value: Any) -> bytes:
    """One value, one text: JSON with sorted keys and no spaces, UTF-8."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False).encode()


def document_hash(data: bytes) -> str:
    """SHA-256 of a document as it was read. 64 hex digits"""
    return hashlib.sha256(data).hexdigest()


def assessment_id(
    day: LaunchDay, entry: Entry, conditions: Conditions, seed: int, stale: bool, at: datetime | None = None
) -> str:
    """Hash of the engine and of every part of the day that bears on one entry. 32 hex digits

    Other entries, other motors, other pads, other rockets' corrections and the forecast are left out: changing them
    changes nothing here. So are the wait after a misfire and the ticks of the checklist, which colour no standing; a
    person's word that a rule accepts in place of its limit does, and counts.
    """
    day_parts = day.model_dump(
        mode="json",
        by_alias=True,
        exclude=NOT_OF_THE_DAY,
    )
    field = day.field.model_dump(mode="json", by_alias=True, exclude={"pads", "name"})
    depends_on = {
        "engine": engine(),
        "day": day_parts,
        "field": field,
        "pads": sorted(pad.position for pad in day.field.pads),  # they set the frame
        "pad": day.pad_by_name(entry.pad).model_dump(mode="json"),
        "motor": day.motor_by_id(entry.motor).model_dump(mode="json", exclude={"price", "stock"}),
        "entry": entry.model_dump(mode="json", by_alias=True, exclude=NOT_FLOWN),
        "authorised": _authorisations(day, entry),
        "conditions": conditions.model_dump(mode="json"),
        "seed": seed,
        "stale": stale,
        "at": at.isoformat() if at else None,  # ceilings' windows and daylight go by it
    }
    correction = day.correction_of(entry.rocket.name)
    if correction is not None:
        depends_on["correction"] = correction.model_dump(mode="json")
    return hashlib.sha256(canonical(depends_on)).hexdigest()[:32]


def _authorisations(day: LaunchDay, entry: Entry) -> dict[str, Any]:
    """The attestations that bear on a finding: those of rules that may be authorised."""
    said = {**day.attestations, **entry.attestations}
    if not said:
        return {}
    rules = rulebook(day.codes, day.local_rules).rules
    may_be = {bound.rule.id for bound in rules if bound.rule.authorisable}
    return {rule: word.model_dump(mode="json") for rule, word in said.items() if rule in may_be}
