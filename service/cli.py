"""The commands. Each parses, asks one job, and prints; heavy modules load only when their command runs."""

from __future__ import annotations

import json
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import click

from service.commands import COMMANDS, EXIT_REFUSED, Refusal
from service.learning_command import learn
from service.sizing_command import size
from service.version import VERSION, engine

EXIT_STOP = 1  # something stops, or is not known


def _read(path: Path) -> tuple[Any, bytes]:
    """The checked document and its bytes; every fault is listed on the way out."""
    from service.planning.check import read_day
    from service.planning.errors import DocumentRefused

    try:
        data = path.read_bytes()
    except OSError as error:
        raise Refusal(f"{path}: {(error.strerror or 'it cannot be read').lower()}") from None
    try:
        return read_day(data, path.name), data
    except DocumentRefused as refused:
        _list_faults(refused)
        raise SystemExit(EXIT_REFUSED) from None


def _list_faults(refused: Any) -> None:
    for fault in refused.faults:
        click.echo(str(fault), err=True)
    count = len(refused.faults)
    click.echo(f"{refused.name}: {count} fault{'' if count == 1 else 's'}; nothing was written", err=True)


def _write(path: Path, data: bytes) -> None:
    """Write a file whole, or say why it cannot be written."""
    from service.planning.files import write_whole

    try:
        write_whole(path, data)
    except OSError as error:
        raise Refusal(f"{path}: not written: {(error.strerror or 'the file system refuses').lower()}") from None


folder_type = click.Path(file_okay=False, path_type=Path)
file_type = click.Path(dir_okay=False, path_type=Path)


def _not_over(day: Path, output: Path) -> None:
    """Refuse to write a result over the document it comes from."""
    if output.exists() and day.exists() and output.samefile(day):
        raise Refusal(f"{output}: that is the launch-day document itself; give another file for the result")


def _entry(day: Any, entry_id: str) -> Any:
    try:
        return day.entry_by_id(entry_id)
    except KeyError:
        known = ", ".join(entry.id for entry in day.entries) or "none"
        raise Refusal(f"--entry {entry_id}: no such entry; the document has {known}") from None


def _moment(day: Any) -> tuple[datetime | None, float | None]:
    """The moment ages count to and the age to print: now, on the launch day itself; on any other day there is neither.

    A reading timed ahead of the clock has no age to print; what holds it against this moment says so.
    """
    now = datetime.now(UTC)
    if now.astimezone(ZoneInfo(day.timezone)).date() != day.date:
        return None, None
    age_min = (now - day.conditions.observed_at).total_seconds() / 60.0
    return now, age_min if age_min >= 0.0 else None


def _progress(total_hint: str):
    """A line on the terminal that shows how far long work is; silent where nobody looks."""
    if not sys.stderr.isatty():
        return None

    def show(done: int, total: int, what: str) -> None:
        click.echo(f"\r{total_hint} {done} of {total} ({what})    ", nl=done == total, err=True)

    return show


day_argument = click.argument("day", type=click.Path(path_type=Path))


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(VERSION, message="rangehand %(version)s")
def main() -> None:
    """Launch-day range planning for hobby rocketry.

    A launch-day document goes in; estimates, footprints, findings and a range sheet come out. It reports; it never
    approves. Local code, the authority having jurisdiction and the range safety officer come first.
    """


@main.command()
@day_argument
def check(day: Path) -> None:
    """List every fault of a launch-day document, each with its JSON pointer."""
    found, _data = _read(day)
    from service.planning.ground import ground_of

    for remark in ground_of(found).remarks:
        click.echo(f"mended: /field/{remark}")
    counts = f"{len(found.entries)} entries, {len(found.motors)} motors, {len(found.field.pads)} pads"
    click.echo(f"{day.name}: no faults; {counts}")


@main.command()
@click.option("--of", "what", type=click.Choice(["document", "assessment"]), default="document", show_default=True)
def schema(what: str) -> None:
    """Print the JSON Schema of the launch-day document, or of an assessment."""
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
@click.option("--csv", "csv_path", type=file_type, help="Write the flight's history here.")
def fly(day: Path, entry_id: str, csv_path: Path | None) -> None:
    """Fly one entry once, in the day's conditions, and print its figures."""
    from service.planning.fly import flight_lines, history_csv, nominal_flight

    if csv_path is not None:
        _not_over(day, csv_path)
    found, _data = _read(day)
    entry = _entry(found, entry_id)
    from service.flight.errors import FlightError

    try:
        inputs, flight = nominal_flight(found, entry)
    except FlightError as error:
        raise Refusal(f"{entry_id}: {error}") from None
    for line in flight_lines(found, entry, inputs, flight):
        click.echo(line)
    if csv_path is not None:
        _write(csv_path, history_csv(flight))
        click.echo(f"history: {csv_path}, {len(flight.history)} rows")


def _assess(
    found: Any, data: bytes, entry_ids: tuple[str, ...], cluster: str | None = None
) -> tuple[Any, float | None]:
    from service.planning.assess import assess_day
    from service.planning.executors import NoCluster, executor_at
    from service.planning.identity import document_hash

    for entry_id in entry_ids:
        _entry(found, entry_id)
    at, age_min = _moment(found)
    try:
        with executor_at(cluster) as executor:
            result = assess_day(
                found, document_hash(data), entries=entry_ids or None, at=at, executor=executor,
                progress=_progress("assessed"),
            )  # fmt: skip
    except NoCluster as error:
        raise Refusal(f"--cluster: {error}") from None
    return result, age_min


def _exit_status(result: Any) -> int:
    return EXIT_STOP if result.standings["stop"] or result.standings["unknown"] else 0


@main.command()
@day_argument
@click.option("--out", type=folder_type, required=True, help="Folder for the results.")
@click.option("--entry", "entry_ids", multiple=True, help="Only this entry; may be given again.")
@click.option("--cluster", metavar="ADDRESS", help="A Dask scheduler whose workers fly; this machine by default.")
def assess(day: Path, out: Path, entry_ids: tuple[str, ...], cluster: str | None) -> None:
    """Assess all entries in the day's conditions; write assessment.json, GeoJSON and KML.

    Exit status: 0 when nothing stops and all is known, 1 when an entry stands at stop or unknown, 2 when the
    document is refused.
    """
    from service.planning.files import assessment_files
    from service.planning.table import table_lines

    found, data = _read(day)
    result, _age = _assess(found, data, entry_ids, cluster)
    for line in table_lines(result):
        click.echo(line)
    for name, content in assessment_files(found, result).items():
        _write(out / name, content)
        click.echo(f"wrote {out / name}")
    raise SystemExit(_exit_status(result))


def _sheet(found: Any, result: Any, age_min: float | None, paper: str, units: str) -> bytes:
    from service.planning.sheet import range_sheet, sheet_pdf

    sheet = range_sheet(found, result, made_at=datetime.now(UTC), age_min=age_min)
    return sheet_pdf(sheet, paper, units)


paper_option = click.option("--paper", type=click.Choice(["A4", "letter"]), default="A4", show_default=True)
units_option = click.option("--units", type=click.Choice(["si", "us"]), default="si", show_default=True)


@main.command()
@day_argument
@click.option("--entry", "entry_id", required=True, help="Id of the entry to advise on.")
@click.option("--effect", help="Look for a motor with this effect, such as white smoke.")
@click.option("--altitude", "altitude_m", type=click.FloatRange(min=1.0), help="The altitude aimed for. [m]")
@click.option("--no-fixes", is_flag=True, help="Only the motor ladder: faster.")
def advise(day: Path, entry_id: str, effect: str | None, altitude_m: float | None, no_fixes: bool) -> None:
    """Fly every motor on offer in one entry's rocket, and find the smallest change that clears each finding."""
    from service.planning.advise.aims import picks
    from service.planning.advise.fixes import fixes_for
    from service.planning.advise.ladder import motor_ladder
    from service.planning.advise.text import advise_lines
    from service.planning.assess import assess_entry

    found, _data = _read(day)
    entry = _entry(found, entry_id)
    at, _age = _moment(found)
    ladder = motor_ladder(found, entry, at=at, progress=_progress("flown"))
    fixes: list[Any] = []
    if not no_fixes:
        assessed = assess_entry(found, entry, at=at)
        fixes = fixes_for(found, entry, assessed, at=at, progress=_progress("tried"))
    for line in advise_lines(ladder, picks(ladder, found, effect=effect, altitude_m=altitude_m), fixes):
        click.echo(line)


@main.command()
@day_argument
@click.option("-o", "--output", type=file_type, required=True, help="The PDF to write.")
@click.option("--entry", "entry_ids", multiple=True, help="Only this entry; may be given again.")
@paper_option
@units_option
def sheet(day: Path, output: Path, entry_ids: tuple[str, ...], paper: str, units: str) -> None:
    """Assess the day and print its range sheet, unsigned."""
    _not_over(day, output)
    found, data = _read(day)
    result, age_min = _assess(found, data, entry_ids)
    _write(output, _sheet(found, result, age_min, paper, units))
    click.echo(f"wrote {output}")


@main.command()
@click.option("--out", type=folder_type, default=Path("rangehand-demo"), show_default=True)
@paper_option
@units_option
def demo(out: Path, paper: str, units: str) -> None:
    """Write the invented demo day to a folder, assess it, and print its sheet."""
    from service.planning.demo import demo_document
    from service.planning.files import assessment_files
    from service.planning.table import table_lines

    data = demo_document()
    path = out / "day.json"
    _write(path, data)
    found, data = _read(path)
    click.echo(f"{found.name}, {found.date.isoformat()}: an invented club, field, makers and flyers.")
    click.echo("Compiling the flight model: the first run takes a little longer.", err=True)
    result, age_min = _assess(found, data, ())
    for line in table_lines(result):
        click.echo(line)
    files = {**assessment_files(found, result), "range-sheet.pdf": _sheet(found, result, age_min, paper, units)}
    for name, content in files.items():
        _write(out / name, content)
    click.echo(f"In {out}: day.json, {', '.join(files)}")
    click.echo("")
    click.echo("What to do next:")
    click.echo(f"  look at the sheet        {out / 'range-sheet.pdf'}")
    click.echo(f"  change the day           edit {path}, then: rangehand check {path}")
    click.echo(f"  assess it again          rangehand assess {path} --out {out}")
    click.echo(f"  fly one entry            rangehand fly {path} --entry {found.entries[0].id}")
    click.echo("Local code, the authority having jurisdiction and the range safety officer come first.")


@main.command()
@day_argument
@click.option("--entry", "entry_id", required=True, help="Id of the entry whose guide is to be set.")
@click.option("--at", "place", type=(float, float), help="Longitude and latitude to land at; default the pad.")
def aim(day: Path, entry_id: str, place: tuple[float, float] | None) -> None:
    """Find the tilt and bearing of the guide that land nearest a place, within the codes and kept off people."""
    from service.flight.errors import FlightError
    from service.planning.advise.errors import AdviceError
    from service.planning.aim.aim import aim_entry
    from service.planning.aim.text import aim_lines

    found, _data = _read(day)
    entry = _entry(found, entry_id)
    try:
        aiming = aim_entry(found, entry, target=place, at=_moment(found)[0], progress=_progress("tried"))
    except (AdviceError, FlightError) as error:
        raise Refusal(f"{entry_id}: {error}") from None
    for line in aim_lines(aiming):
        click.echo(line)


@main.command()
@day_argument
def plan(day: Path) -> None:
    """Hold every entry against every hour of the forecast, and propose an order of flight."""
    from service.planning.advise.errors import AdviceError
    from service.planning.day_plan.plan import plan_day
    from service.planning.day_plan.text import plan_lines

    found, _data = _read(day)
    try:
        planned = plan_day(found, progress=_progress("flown"))
    except AdviceError as error:
        raise Refusal(str(error)) from None
    for line in plan_lines(planned):
        click.echo(line)


@main.command()
def bench() -> None:
    """Measure speed and error of the flight model, as ratios within this run."""
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


for command in (*COMMANDS, learn, size):
    main.add_command(command)


if __name__ == "__main__":
    main()
