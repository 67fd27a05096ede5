"""The launch-day document that a command is handed: read and checked, one entry of it, its moment."""

from __future__ import annotations

import sys
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import click

from service.console import Refusal, list_faults, read_file

day_argument = click.argument("day", type=click.Path(path_type=Path))


def read_document(path: Path) -> tuple[Any, bytes]:
    """The checked document and its bytes; every fault is listed on the way out."""
    from service.planning.check import read_day
    from service.planning.errors import DocumentRefused

    data = read_file(path)
    try:
        return read_day(data, path.name), data
    except DocumentRefused as refused:
        list_faults(refused)


def entry_of(day: Any, entry_id: str) -> Any:
    """An entry by its id; one that is not there is refused with those that are."""
    try:
        return day.entry_by_id(entry_id)
    except KeyError:
        known = ", ".join(entry.id for entry in day.entries) or "none"
        raise Refusal(f"--entry {entry_id}: no such entry; the document has {known}") from None


def moment(day: Any) -> tuple[datetime | None, float | None]:
    """The moment ages count to and the age to print: now, on the launch day itself; on any other day there is neither.

    A reading timed ahead of the clock has no age to print; what holds it against this moment says so.
    """
    now = datetime.now(UTC)
    if now.astimezone(ZoneInfo(day.timezone)).date() != day.date:
        return None, None
    age_min = (now - day.conditions.observed_at).total_seconds() / 60.0
    return now, age_min if age_min >= 0.0 else None


def progress(what_is_done: str) -> Callable[[int, int, str], None] | None:
    """A line on the terminal that shows how far long work is; silent where nobody looks."""
    if not sys.stderr.isatty():
        return None

    def show(done: int, total: int, what: str) -> None:
        click.echo(f"\r{what_is_done} {done} of {total} ({what})\033[K", nl=done == total, err=True)

    return show
