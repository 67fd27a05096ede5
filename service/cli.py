"""The commands. Each parses, asks one job, and prints; heavy modules load only when their command runs."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import click

from service.commands import COMMANDS
from service.console import (
    EXIT_STOP,
    OUT,
    Commands,
    Refusal,
    called,
    file_type,
    folder_type,
    long_work,
    not_over,
    read_file,
    ready_file,
    ready_folder,
    tell_and_keep,
    write_file,
)
from service.documents import day_argument, entry_of, moment, progress, read_document
from service.job_commands import JOBS
from service.learning_command import learn
from service.setup_command import init
from service.sizing_command import size
from service.version import VERSION, engine


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(VERSION, message="rangehand %(version)s")
def main() -> None:
    """Launch-day range planning for hobby rocketry.

    A launch-day document goes in; estimates, footprints, findings and a range sheet come out. It reports; it never
    approves. Local code, the authority having jurisdiction and the range safety officer come first.

    Figures on the terminal are in SI units; a sheet is in SI or US units. What is written is written whole or not at
    all.

    Exit status of every command: 0 done; 1 done, and something stands at stop or unknown, or is not what it should be;
    2 an input or a place cannot be used, and nothing was written; 130 interrupted.
    """


@main.command()
@day_argument
def check(day: Path) -> None:
    """List every fault of a launch-day document.

    Each is named by its JSON pointer, with what was found and what would be right. Exit status: 0 without a fault, 2
    with one or more.
    """
    found, _data = read_document(day)
    from service.planning.ground import ground_of

    for remark in ground_of(found).remarks:
        click.echo(f"mended: /field/{remark}")
    counts = ", ".join(
        f"{len(each)} {one if len(each) == 1 else many}"
        for each, one, many in (
            (found.entries, "entry", "entries"),
            (found.motors, "motor", "motors"),
            (found.field.pads, "pad", "pads"),
        )
    )
    click.echo(f"{day.name}: no faults; {counts}")


@main.command()
@click.option("--of", "what", type=click.Choice(["document", "assessment"]), default="document", show_default=True)
def schema(what: str) -> None:
    """Print the JSON Schema of a document or an assessment."""
    if what == "document":
        from service.models.schema import document_schema

        found = document_schema()
    else:
        from service.models.assessment import DayAssessment

        found = DayAssessment.model_json_schema()
        found["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    click.echo(json.dumps(found, indent=2, ensure_ascii=False))


@main.command()
@day_argument
@click.option("--entry", "entry_id", required=True, help="Id of the entry to fly.")
@click.option("--csv", "csv_path", type=file_type, help="Write the flight's history here (SI units, a row a step).")
def fly(day: Path, entry_id: str, csv_path: Path | None) -> None:
    """Fly one entry once and print its figures.

    It flies in the day's conditions, without a spread: figures as precise as that are of the model, not of the day.
    """
    from service.planning.fly import flight_lines, history_csv, nominal_flight

    if csv_path is not None:
        not_over(day, csv_path)
        ready_file(csv_path)
    found, _data = read_document(day)
    entry = entry_of(found, entry_id)
    from service.flight.errors import FlightError

    try:
        inputs, flight = nominal_flight(found, entry)
    except FlightError as error:
        raise Refusal(f"{entry_id}: {error}") from None
    for line in flight_lines(found, entry, inputs, flight):
        click.echo(line)
    if csv_path is not None:
        write_file(csv_path, history_csv(flight))
        click.echo(f"history: {csv_path}, {len(flight.history)} rows")


def _assess(
    found: Any, data: bytes, entry_ids: tuple[str, ...], cluster: str | None = None
) -> tuple[Any, float | None]:
    from service.planning.assess import assess_day
    from service.planning.executors import NoCluster, executor_at
    from service.planning.identity import document_hash

    for entry_id in entry_ids:
        entry_of(found, entry_id)
    at, age_min = moment(found)
    try:
        with executor_at(cluster) as executor, long_work():
            result = assess_day(
                found, document_hash(data), entries=entry_ids or None, at=at, executor=executor,
                progress=progress("assessed"),
            )  # fmt: skip
    except NoCluster as error:
        raise Refusal(f"--cluster: {error}") from None
    return result, age_min


def _exit_status(result: Any) -> int:
    return EXIT_STOP if result.standings["stop"] or result.standings["unknown"] else 0


@main.command()
@day_argument
@click.option(*OUT, type=folder_type, required=True, help="Folder for the results; made where it is not there.")
@click.option("--entry", "entry_ids", multiple=True, help="Only this entry; may be given again.")
@click.option("--cluster", metavar="ADDRESS", help="A Dask scheduler whose workers fly; this machine by default.")
def assess(day: Path, out: Path, entry_ids: tuple[str, ...], cluster: str | None) -> None:
    """Assess the entries in the day's conditions; write the results.

    They are assessment.json, footprints as GeoJSON and KML, and waypoints for the recovery search as GPX. Earlier
    results in the folder are replaced.

    Exit status: 0 when nothing stops and all is known, 1 when an entry stands at stop or unknown, 2 when the document
    or the folder cannot be used.
    """
    from service.planning.files import assessment_files
    from service.planning.table import table_lines

    ready_folder(out)
    found, data = read_document(day)
    result, _age = _assess(found, data, entry_ids, cluster)
    tell_and_keep(table_lines(result), out, assessment_files(found, result))
    raise SystemExit(_exit_status(result))


def _sheet(found: Any, result: Any, age_min: float | None, paper: str, units: str) -> bytes:
    from service.planning.sheet import range_sheet, sheet_pdf

    sheet = range_sheet(found, result, made_at=datetime.now(UTC), age_min=age_min)
    return sheet_pdf(sheet, paper, units)


paper_option = click.option(
    "--paper", type=click.Choice(["A4", "letter"]), default="A4", show_default=True, help="Size of the paper."
)
units_option = click.option(
    "--units", type=click.Choice(["si", "us"]), default="si", show_default=True, help="Units of the printed sheet."
)


@main.command()
@day_argument
@click.option(*OUT, type=file_type, required=True, help="The PDF to write.")
@click.option("--entry", "entry_ids", multiple=True, help="Only this entry; may be given again.")
@paper_option
@units_option
def sheet(day: Path, out: Path, entry_ids: tuple[str, ...], paper: str, units: str) -> None:
    """Assess the day and print its range sheet, unsigned.

    Signed sheets come from the service. Exit status: 0 when it is printed, whatever stands on it.
    """
    not_over(day, out)
    ready_file(out)
    found, data = read_document(day)
    result, age_min = _assess(found, data, entry_ids)
    write_file(out, _sheet(found, result, age_min, paper, units))
    click.echo(f"wrote {out}")


@main.command()
@click.option(*OUT, type=folder_type, default=Path("rangehand-demo"), show_default=True, help="Folder to write to.")
@paper_option
@units_option
def demo(out: Path, paper: str, units: str) -> None:
    """Write, assess and print the invented demo day.

    A day.json there that is not the demo's is left alone: nothing is written then.
    """
    from service.planning.demo import demo_document
    from service.planning.files import assessment_files
    from service.planning.table import table_lines

    data = demo_document()
    path = out / "day.json"
    ready_file(path)
    if path.exists() and read_file(path) != data:
        raise Refusal(
            f"{path}: it has been changed since the demo wrote it, so nothing was written. To assess it as it stands: "
            f"{called()} assess {path} --out {out}. For a fresh demo give another folder with --out."
        )
    write_file(path, data)
    found, data = read_document(path)
    click.echo(f"{found.name}, {found.date.isoformat()}: an invented club, field, makers and flyers.")
    click.echo("Compiling the flight model: the first run takes a little longer.", err=True)
    result, age_min = _assess(found, data, ())
    for line in table_lines(result):
        click.echo(line)
    files = {**assessment_files(found, result), "range-sheet.pdf": _sheet(found, result, age_min, paper, units)}
    for name, content in files.items():
        write_file(out / name, content)
    click.echo(f"In {out}: day.json, {', '.join(files)}")
    click.echo("")
    click.echo("What to do next:")
    click.echo(f"  look at the sheet        {out / 'range-sheet.pdf'}")
    click.echo(f"  change the day           edit {path}, then: {called()} check {path}")
    click.echo(f"  assess it again          {called()} assess {path} --out {out}")
    click.echo(f"  fly one entry            {called()} fly {path} --entry {found.entries[0].id}")
    click.echo(f"  see it as pages          {called()} serve --demo")
    click.echo("Local code, the authority having jurisdiction and the range safety officer come first.")


@main.command()
def bench() -> None:
    """Measure speed and error of the flight model.

    Speeds are ratios within this run, so that they mean the same on any machine.
    """
    from service.bench import run

    run(click.echo)


@main.command()
def about() -> None:
    """Print the versions: program, engine, code editions."""
    from service.codes.load import all_codes, editions

    click.echo(f"rangehand {VERSION}, engine {engine()}")
    for edition in editions(all_codes()):
        checked = f"checked {edition.checked_on.isoformat()}" if edition.checked_on else "not confirmed by an organiser"
        click.echo(f"  {edition.id}: {edition.title}, edition {edition.edition}, {checked}")


for command in (init, *COMMANDS, *JOBS, learn, size):
    main.add_command(command)


if __name__ == "__main__":
    main()
