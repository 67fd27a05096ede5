"""The id of an assessment: a hash of all it depends on, so that work is never repeated and never stale unseen."""

from __future__ import annotations

import hashlib
import json
from typing import Any

from service.models.conditions import Conditions
from service.models.day import LaunchDay
from service.models.entry import Entry
from service.version import engine


def canonical(value: Any) -> bytes:
    """One value, one text: JSON with sorted keys and no spaces, UTF-8."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False).encode()


def document_hash(data: bytes) -> str:
    """SHA-256 of a document as it was read. 64 hex digits"""
    return hashlib.sha256(data).hexdigest()


def assessment_id(day: LaunchDay, entry: Entry, conditions: Conditions, seed: int, stale: bool) -> str:
    """Hash of the engine and of every part of the day that bears on one entry. 32 hex digits

    Other entries, other motors, other pads and the forecast are left out: changing them changes nothing here.
    """
    day_parts = day.model_dump(
        mode="json", by_alias=True, exclude={"entries", "motors", "forecast", "conditions", "field", "name"}
    )
    field = day.field.model_dump(mode="json", by_alias=True, exclude={"pads", "name"})
    depends_on = {
        "engine": engine(),
        "day": day_parts,
        "field": field,
        "pads": sorted(pad.position for pad in day.field.pads),  # they set the frame
        "pad": day.pad_by_name(entry.pad).model_dump(mode="json"),
        "motor": day.motor_by_id(entry.motor).model_dump(mode="json", exclude={"price", "stock"}),
        "entry": entry.model_dump(mode="json", by_alias=True),
        "conditions": conditions.model_dump(mode="json"),
        "seed": seed,
        "stale": stale,
    }
    return hashlib.sha256(canonical(depends_on)).hexdigest()[:32]
