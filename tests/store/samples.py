"""Assessments as planning would make them, cut down to what the store looks at."""

from __future__ import annotations

from typing import Any

from service.models.assessment import Assessment
from service.models.finding import ChecklistItem, Finding, Source

SOURCE = Source(clause="club rule 3", known="practice")


def finding(rule: str, standing: str, weight: str = "practice") -> Finding:
    return Finding(
        rule=rule, code="club", weight=weight, kind="computed", protects="people on the field", statement="A limit.",
        quantity="exit_speed_mps", measured=14.0, unit="m/s", limit=15.0, comparison="at_least", margin=-1.0,
        standing=standing, source=SOURCE,
    )  # fmt: skip


def item(rule: str) -> ChecklistItem:
    return ChecklistItem(
        rule=rule, code="club", weight="code", protects="people", text="Ground cleared.", per="day", source=SOURCE
    )


def assessment(entry_id: str, letter: str = "a", **changes: Any) -> Assessment:
    """An assessment of one entry whose id is one hexadecimal digit over and over."""
    values: dict[str, Any] = {
        "id": letter * 32, "engine": "0", "entry": entry_id, "rocket": "Reed", "flyer": "Flyer", "motor": "m",
        "pad": "A1", "conditions_at": "2027-05-15T09:00:00-05:00", "standing": "clear", "decides": "Nothing.",
        "answer": "Comes down inside the field.", "estimate": None, "footprints": (), "findings": (), "checklist": (),
        "unknowns": (), "cautions": (), "risk": None, "track": None, "samples": 64, "seed": 1, "spreads": {},
    }  # fmt: skip
    return Assessment(**(values | changes))
