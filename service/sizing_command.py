"""The command that sizes a field."""

from __future__ import annotations

from pathlib import Path

import click

from service.console import OUT, Refusal, file_type, folder_type, long_work, read_file, ready_files, tell_and_keep
from service.documents import day_argument, progress, read_document


@click.command()
@day_argument
@click.option("--winds", "winds_path", type=file_type, required=True, help="The season's winds, hour by hour (CSV).")
@click.option("--fleet", "fleet_path", type=file_type, help="Classes and counts (CSV); else the day's entries.")
@click.option(*OUT, type=folder_type, required=True, help="Folder for sizing.json and the report.")
@click.option("--no-altitudes", is_flag=True, help="Leave out the greatest altitude of each class: faster.")
@click.option("--paper", type=click.Choice(["A4", "letter"]), default="A4", show_default=True)
@click.option("--units", type=click.Choice(["si", "us"]), default="si", show_default=True)
def size(
    day: Path, winds_path: Path, fleet_path: Path | None, out: Path, no_altitudes: bool, paper: str, units: str
) -> None:
    """Hold the field against a fleet and a season's winds: classes, dimensions, ceiling, hours, pads, data sheet."""
    from service.planning.advise.errors import AdviceError
    from service.planning.sizing.errors import TableRefused
    from service.planning.sizing.files import JSON, REPORT, sizing_files
    from service.planning.sizing.fleet_csv import read_fleet_csv
    from service.planning.sizing.season_csv import read_winds_csv
    from service.planning.sizing.size import size_field
    from service.planning.sizing.text import sizing_lines

    ready_files(out, (JSON, REPORT), day)
    found, _data = read_document(day)
    try:
        winds = read_winds_csv(read_file(winds_path), winds_path.name)
        fleet = read_fleet_csv(read_file(fleet_path), found, fleet_path.name) if fleet_path else None
        with long_work():
            sizing = size_field(found, winds, fleet, altitudes=not no_altitudes, progress=progress("sizing"))
    except TableRefused as refused:
        for fault in refused.faults:
            click.echo(str(fault), err=True)
        raise Refusal(f"{refused.name} cannot be used; nothing was written") from None
    except AdviceError as error:
        raise Refusal(str(error)) from None
    files = sizing_files(found, sizing, paper, units)  # type: ignore[arg-type]
    tell_and_keep(sizing_lines(sizing, found, units), out, files)  # type: ignore[arg-type]
