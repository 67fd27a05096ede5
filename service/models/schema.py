"""The launch-day document as a JSON Schema (draft 2020-12)."""

from __future__ import annotations

from typing import Any

from service.models.day import LaunchDay

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def document_schema() -> dict[str, Any]:
    """Describe the launch-day document for other programs, units included.

    A schema can say what each figure may be, not what contradicts what; `faults` in planning says both.
    """
    schema = LaunchDay.model_json_schema(mode="validation")
    rule = schema["$defs"]["Rule"]["properties"]
    for name in ("at_least", "at_most"):  # a single limit is read as a list of one
        lists = rule[name]["anyOf"]
        rule[name]["anyOf"] = [*lists[0]["items"]["anyOf"], *lists]
    return {"$schema": DIALECT, "title": "Launch-day document", **{k: v for k, v in schema.items() if k != "title"}}
