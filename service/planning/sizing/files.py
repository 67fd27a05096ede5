"""What a sizing leaves in a folder."""

from __future__ import annotations

from collections.abc import Mapping

from service.models.day import LaunchDay
from service.models.sizing import Sizing

JSON, REPORT = "sizing.json", "field-report.pdf"


def sizing_files(day: LaunchDay, sizing: Sizing, paper: str, units: str) -> Mapping[str, bytes]:
    """File names and contents."""
    return {JSON: (sizing.model_dump_json(indent=1) + "\n").encode()}
