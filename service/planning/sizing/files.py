"""What a sizing leaves in a folder."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from service.models.day import LaunchDay
from service.models.sizing import Sizing
from service.planning.sizing.report import sizing_pdf

JSON, REPORT = "sizing.json", "field-report.pdf"


def sizing_files(
    day: LaunchDay, sizing: Sizing, paper: Literal["A4", "letter"] = "A4", units: Literal["si", "us"] = "si"
) -> Mapping[str, bytes]:
    """File names and contents."""
    return {
        JSON: (sizing.model_dump_json(indent=1) + "\n").encode(),
        REPORT: sizing_pdf(day, sizing, paper, units),
    }
