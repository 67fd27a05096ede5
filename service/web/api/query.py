"""Parameters of an address, held against what the description says of them, before any route looks at them."""

from __future__ import annotations

import math
import re
from typing import Any

from flask import current_app, request

from service.planning.errors import Fault
from service.web.errors import Misfit
from service.web.openapi import Description


def check_query() -> None:
    """Before each request to the API: refuse a parameter that is given twice or is not what is described."""
    if request.url_rule is None or not request.args:
        return
    view: Any = current_app.view_functions[request.url_rule.endpoint]
    told: Description | None = getattr(view, "described", None)
    for name, schema in (told.query if told else {}).items():
        values = request.args.getlist(name)
        expected = expected_of(schema)
        if len(values) > 1 or (values and not fits(values[0], schema)):
            shown = ", ".join(values)[:60]
            raise Misfit(f'{name}: found "{shown}"; expected {expected}.', [Fault(f"/{name}", f'"{shown}"', expected)])


def fits(text: str, schema: dict[str, Any]) -> bool:
    """Whether a text is a value of its description.

    >>> fits("7", {"type": "integer", "maximum": 6}), fits("nan", {"type": "number"}), fits("true", {"type": "boolean"})
    (False, False, True)
    """
    kind = schema.get("type")
    if kind in ("integer", "number"):
        if not re.fullmatch(r"[+-]?\d{1,18}" if kind == "integer" else r"[+-]?[\d.]{1,40}([eE][+-]?\d{1,3})?", text):
            return False
        try:
            value = float(text)
        except ValueError:
            return False
        least, most = schema.get("minimum", -math.inf), schema.get("maximum", math.inf)
        return math.isfinite(value) and least <= value <= most
    if kind == "boolean":
        return text in ("true", "false")
    if "enum" in schema and text not in schema["enum"]:
        return False
    if not schema.get("minLength", 0) <= len(text) <= schema.get("maxLength", 2000):
        return False
    return "pattern" not in schema or re.search(schema["pattern"], text) is not None


def expected_of(schema: dict[str, Any]) -> str:
    """What a description asks for, in words."""
    if "enum" in schema:
        return "one of " + ", ".join(map(str, schema["enum"]))
    kind = {"integer": "one whole number", "number": "one number", "boolean": "true or false"}.get(
        schema.get("type", ""), "one text"
    )
    if "minimum" in schema and "maximum" in schema:
        return f"{kind} from {schema['minimum']:g} to {schema['maximum']:g}"
    if "maxLength" in schema:
        return f"{kind} of at most {schema['maxLength']} characters"
    return f"{kind} of letters, digits, dots and dashes" if "pattern" in schema else kind
