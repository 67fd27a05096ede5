"""Where a form may send somebody on to: a path on this service, nothing else."""

from __future__ import annotations

from flask import url_for


def local_path(path: str) -> str:
    """A path on this service to go on to; the front page for anything else."""
    harmless = path.startswith("/") and not path.startswith(("//", "/\\")) and path.isprintable()
    return path if harmless else url_for("days.index")
