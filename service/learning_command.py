"""The command that learns from a flight log."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import click

from service.commands import Refusal, database_option, file_type, opened
from service.console import read_file, write_file


@click.command()
@click.argument("day", required=False)
@click.option("--log", "log_path", type=file_type, help="Flights of the document's entries: CSV or JSON.")
@click.option("--demo", is_flag=True, help="The invented demo day and its flight log.")
@click.option("--apply", "wanted", multiple=True, metavar="ID", help="Accept this proposal; may be given again.")
@click.option("--by", help="Who accepts it: the organiser's name.")
@click.option("-o", "--output", type=file_type, help="With --log and --apply: the changed document.")
@click.option("--json", "json_path", type=file_type, help="Write everything that was found here.")
@click.option("--plots", "plots_path", type=file_type, help="Write the plots here, as SVG; landing points beside it.")
@click.option("--units", type=click.Choice(["si", "us"]), default="si", show_default=True)
@database_option
def learn(
    day: str | None, log_path: Path | None, demo: bool, wanted: tuple[str, ...], by: str | None, output: Path | None,
    json_path: Path | None, plots_path: Path | None, units: Any, where: str,
) -> None:  # fmt: skip
    """Hold measured apogees and landing points against the estimates, and put corrections forward.

    DAY is a launch-day document with --log, or the id of a launch day in the database: then the flight logs of all
    days there are learnt from, and proposals are for that day. Without DAY the days of the database are listed.

    The log is CSV with a header, a line a flight. Needed: entry, flown_at (RFC 3339), pad, happened (planned,
    no_deployment, drogue_only, main_at_apogee, one_unlit, misfire, hung_up, lost, other, mistake). Where known:
    apogee_m above the field, landing_lon_deg, landing_lat_deg, motor, delay_s, estimated_apogee_m,
    estimated_landing_lon_deg, estimated_landing_lat_deg, temperature_c, pressure_hpa, relative_humidity, wind as
    height_m:speed_mps:from_deg;..., note.

    Nothing changes without --apply ID --by NAME.
    """
    if wanted and not by:
        raise Refusal("--apply: say with --by NAME who accepts it")
    if demo or log_path is not None:
        _from_files(day, log_path, demo, wanted, by or "", output, json_path, plots_path, units)
        return
    if output is not None:
        raise Refusal("--output: a database keeps the change itself; leave it out")
    _from_database(day, where, wanted, by or "", json_path, plots_path, units)


def _from_files(
    path: str | None, log_path: Path | None, demo: bool, wanted: tuple[str, ...], by: str, output: Path | None,
    json_path: Path | None, plots_path: Path | None, units: Any,
) -> None:  # fmt: skip
    from service.planning.check import read_day
    from service.planning.learning.cases import cases_of
    from service.planning.learning.log_files import read_log
    from service.planning.learning.proposals import accepted

    if wanted and output is None:
        raise Refusal("--apply: say with --output FILE where the changed document goes")
    if demo:
        from service.planning.demo import demo_document, demo_log

        day_name, log_name, day_bytes, log_bytes = "the demo day", "its log", demo_document(), demo_log()
    elif path is None or log_path is None:
        raise Refusal("DAY: say which launch-day document the log belongs to")
    else:
        day_name, log_name, day_bytes, log_bytes = Path(path).name, log_path.name, _read(Path(path)), _read(log_path)
        for written in (output, json_path, plots_path):
            if written is not None and written.exists() and any(written.samefile(each) for each in (path, log_path)):
                raise Refusal(f"{written}: that is what is read; give another file for the result")
    day = _refusing(lambda: read_day(day_bytes, day_name))
    cases = _refusing(lambda: cases_of(day, read_log(log_bytes, log_name), log_name))
    found = _learn(day, cases)
    chosen = _chosen(found, wanted)
    _tell(found, json_path, plots_path, units)
    for proposal in chosen:
        day = accepted(day, proposal, by, datetime.now(UTC).replace(microsecond=0))
    if chosen and output is not None:
        text = json.dumps(day.model_dump(mode="json", by_alias=True), indent=2, ensure_ascii=False) + "\n"
        _refusing(lambda: read_day(text.encode(), output.name))
        _write(output, text.encode())
        click.echo(f"accepted by {by}: {', '.join(wanted)}; wrote {output}")


def _from_database(
    day_id: str | None, where: str, wanted: tuple[str, ...], by: str, json_path: Path | None,
    plots_path: Path | None, units: Any,
) -> None:  # fmt: skip
    from service.planning.learning.kept import kept_cases
    from service.planning.learning.proposals import accepted, reason_of

    with opened(where) as store:
        if day_id is None:
            for each in store.days.all():
                click.echo(f"{each.id}  {each.date}  {each.name}, {len(store.flights.all(each.id))} flights")
            return
        header = store.days.header(day_id)
        cases = kept_cases(store, [each.id for each in store.days.all()])
        found = _learn(store.day_document(day_id), cases)
        chosen = _chosen(found, wanted)
        _tell(found, json_path, plots_path, units)
        for proposal in chosen:
            changed = accepted(header.document, proposal, by, datetime.now(UTC).replace(microsecond=0))
            header = store.days.update(day_id, changed, by, based_on=header.revision, why=reason_of(proposal))
        if chosen:
            click.echo(f"accepted by {by}: {', '.join(wanted)}; recorded for {day_id}")


def _learn(day: Any, cases: Any) -> Any:
    from service.planning.learning.errors import NothingToLearn
    from service.planning.learning.learn import learn as learnt

    try:
        return learnt(day, cases, consequences=True, progress=_progress())
    except NothingToLearn as error:
        raise Refusal(f"{error}; nothing was changed") from None


def _chosen(found: Any, wanted: tuple[str, ...]) -> list[Any]:
    known = {proposal.id: proposal for proposal in found.proposals}
    for each in wanted:
        if each not in known:
            raise Refusal(f"--apply {each}: nothing of that name is put forward; there is {', '.join(known) or 'none'}")
    return [known[each] for each in dict.fromkeys(wanted)]


def _tell(found: Any, json_path: Path | None, plots_path: Path | None, units: Any) -> None:
    from service.planning.learning.text import learning_lines

    for line in learning_lines(found, units):
        click.echo(line)
    if json_path is not None:
        _write(json_path, found.model_dump_json(indent=1).encode())
        click.echo(f"wrote {json_path}")
    if plots_path is not None:
        from service.planning.learning.picture import learning_svgs

        for name, svg in learning_svgs(found, units):
            target = plots_path.with_name(f"{plots_path.stem}{name}{plots_path.suffix or '.svg'}")
            _write(target, svg.encode())
            click.echo(f"wrote {target}")


def _refusing(read: Callable[[], Any]) -> Any:
    """What is read; every fault is listed on the way out."""
    from service.planning.errors import DocumentRefused

    try:
        return read()
    except DocumentRefused as refused:
        for fault in refused.faults:
            click.echo(str(fault), err=True)
        count = len(refused.faults)
        raise Refusal(f"{refused.name}: {count} fault{'' if count == 1 else 's'}; nothing was written") from None


def _read(path: Path) -> bytes:
    return read_file(path)


def _write(path: Path, data: bytes) -> None:
    write_file(path, data)


def _progress() -> Callable[[int, int, str], None] | None:
    if not sys.stderr.isatty():
        return None

    def show(done: int, total: int, what: str) -> None:
        click.echo(f"\rlearning {done} of {total} ({what})".ljust(70), nl=done == total, err=True)

    return show
