"""Files that the API gives: pictures and reports, in the units that are asked for."""

from __future__ import annotations

from typing import Any, Literal

from flask import Response, request

from service.planning.quantities import Units
from service.web.api.reading import file
from service.web.reader import units

SVG, PDF = "image/svg+xml", "application/pdf"
UNITS_QUERY: dict[str, dict[str, Any]] = {"units": {"type": "string", "enum": ["si", "us"]}}
PAPER_QUERY: dict[str, dict[str, Any]] = {"paper": {"type": "string", "enum": ["A4", "letter"], "default": "A4"}}


def read_units() -> Units:
    """The units that the address asks for, else those of the account. The address has been checked before."""
    asked = request.args.get("units")
    return units() if asked is None else ("us" if asked == "us" else "si")


def read_paper() -> Literal["A4", "letter"]:
    """The paper that the address asks for."""
    return "letter" if request.args.get("paper") == "letter" else "A4"


def picture(svg: str, name: str) -> Response:
    """A picture as a file that stands alone."""
    return file(svg, SVG, f"{name}.svg")
