"""Commands about the service and its store: serving, the audit trail, signatures, whole days in and out."""

from __future__ import annotations

import errno
import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import click

from service.console import (
    EXIT_BAD,
    EXIT_REFUSED,
    OUT,
    Refusal,
    file_type,
    list_faults,
    read_file,
    ready_file,
    write_file,
)

__all__ = ["COMMANDS", "DATABASE", "EXIT_REFUSED", "Refusal", "database_option", "file_type", "opened", "shown"]

DATABASE = "rangehand.db"
MOST_TOLD = 40  # things that do not agree, besides the first
NO_STOCK = "no motors are set aside, for none are left of the stock"

database_option = click.option(
    "--database",
    "where",
    envvar="RANGEHAND_DATABASE_URL",
    default=DATABASE,
    show_default=True,
    show_envvar=True,
    help="A file, or a URL such as postgresql://host/name.",
)


@contextmanager
def opened(where: str) -> Iterator[Any]:
    """An existing store. What it refuses is said in a sentence."""
    from service.store import StoreError, open_store

    _there(where)
    try:
        with open_store(where, existing=True) as store:
            yield store
    except StoreError as error:
        raise Refusal(str(error)) from None


def _there(where: str) -> None:
    path = where.removeprefix("sqlite:///")
    if "://" not in path and not Path(path).is_file():
        raise Refusal(f"{path}: no database is there; make one with: rangehand init --database {path}")


def shown(where: str) -> str:
    """A database as it may be printed: without its password."""
    from service.store.database import database_url

    return database_url(where).render_as_string(hide_password=True) if "://" in where else where


@click.command()
@database_option
@click.option("--host", default="0.0.0.0", show_default=True, help="Address to listen on.")
@click.option(
    "--port", type=click.IntRange(0, 65535), default=8080, show_default=True, help="Port to listen on; 0 for any."
)
@click.option("--demo", is_flag=True, help="A ready-made demo day in a throw-away database, with printed passwords.")
def serve(where: str, host: str, port: int, demo: bool) -> None:
    """Serve the pages and the API until interrupted. Prints the addresses for phones, and a QR code.

    Read from the environment, besides RANGEHAND_DATABASE_URL:

    \b
    RANGEHAND_KEY_PASSPHRASE  passphrase of the club's key: officers sign without typing it
    RANGEHAND_SECRET_KEY      what sign-ins are signed with; else kept in a file beside the database, or made
                              anew at each start where the database is a server's: sign-ins end with it
    RANGEHAND_WEATHER_URL     where an aviation observation is fetched from when somebody asks for it, with
                              {station} in the place of the station; without it nothing is fetched
    """
    from service.store import StoreError
    from service.web import serve as web

    try:
        if demo:
            web.serve_demo(host=host, port=port, say=click.echo)
        else:
            _there(where)
            web.serve(where, host=host, port=port, say=click.echo, existing=True)
    except StoreError as error:
        raise Refusal(str(error)) from None
    except OSError as error:
        raise Refusal(_not_listening(host, port, error)) from None


def _not_listening(host: str, port: int, error: OSError) -> str:
    """Why nothing can listen there, and what to do."""
    if error.errno == errno.EADDRINUSE:
        other = port + 1 if port < 65535 else port - 1
        return (
            f"--port {port}: another program listens there already; "
            f"end it, or take another port, such as --port {other} (0 for any that is free)"
        )
    if error.errno in (errno.EACCES, errno.EPERM):
        return f"--port {port}: this account may not listen there; expected a port from 1024 on, such as --port 8080"
    if error.errno == errno.EADDRNOTAVAIL:
        return f"--host {host}: this machine has no such address; expected one of its own, or 0.0.0.0 for all of them"
    return f"--host {host} --port {port}: {(error.strerror or str(error)).lower()}"


@click.command()
@database_option
@click.option("--head", help="Number and hash of a record noted earlier, as NUMBER:HASH, to hold the trail against.")
def audit(where: str, head: str | None) -> None:
    """Check the audit trail, and hold what stands in the database against what it says.

    Held against it: every document, assessment, ruling and signed sheet; which revision of each is in force and which
    assessment is current; attestations; the flight log; motors set aside; accounts, roles, tokens, private links,
    signing keys and settings.

    Not vouched for: the order in which motors and entries are listed, and what the desk tells of earlier passes. What
    an older version made may have left fewer records. Whoever writes the whole trail anew is found out only by a head
    that was noted outside: give it with --head.

    Exit status: 0 when all agrees, 1 when something does not (each is named, the earliest record first), 2 when there
    is no such database or what is there is no Rangehand database.
    """
    noted = None
    if head is not None:
        number, _, noted_hash = head.partition(":")
        if not number.isdecimal() or len(noted_hash) != 64:
            raise Refusal(f"--head {head}: expected a number, a colon and a hash of 64 digits, such as 12:9f86d0...")
        noted = (int(number), noted_hash.lower())
    with opened(where) as store:
        report = store.verify_chain(noted)
    if report.broken is not None:
        click.echo(f"Broken at {report.broken}")
        for each in report.more[:MOST_TOLD]:
            click.echo(f"  also {each}")
        if len(report.more) > MOST_TOLD:
            click.echo(f"  and {len(report.more) - MOST_TOLD} more")
        raise SystemExit(EXIT_BAD)
    click.echo(f"Whole: {report.count} record{'' if report.count == 1 else 's'}, head {report.count}:{report.head}")


@click.command()
@click.argument("file", type=file_type)
@database_option
@click.option("--certificate", "certificates", type=file_type, multiple=True, help="Trust this certificate (PEM) only.")
def verify(file: Path, where: str, certificates: tuple[Path, ...]) -> None:
    """Check the signatures of a sheet.

    Trusted is the key of the club in the database, or the certificates that are named. Nothing is fetched.

    Exit status: 0 when it is untouched since the club signed it, 1 when it is not, 2 when it cannot be checked.
    """
    from service.planning.signing.club_key import fingerprint
    from service.planning.signing.errors import SigningRefused
    from service.planning.signing.verify import verify as verdict_on
    from service.web.club import trusted

    if certificates:
        roots = [read_file(path).decode("ascii", "replace") for path in certificates]
    else:
        with opened(where) as store:
            roots = trusted(store)
    try:
        for root in roots:
            fingerprint(root)
    except SigningRefused as error:
        raise Refusal(f"--certificate: {error}") from None
    verdict = verdict_on(read_file(file), roots)
    click.echo(f"{file.name}: {verdict.sentence}")
    for line in verdict.lines:
        click.echo(f"  {line}")
    if not verdict.good:
        raise SystemExit(EXIT_BAD)


@click.command("export")
@click.argument("day_id", required=False)
@click.option(*OUT, type=file_type, help="The document to write; else it is printed.")
@database_option
def export_day(day_id: str | None, out: Path | None, where: str) -> None:
    """Write a launch day as one document. Without DAY_ID the days that are kept are listed."""
    if out is not None:
        ready_file(out)
    with opened(where) as store:
        if day_id is None:
            for day in store.days.all():
                click.echo(f"{day.id}  {day.date}  {day.name}, {day.entries} entries")
            return
        kept = store.day_document(day_id)
        document = kept.model_dump(mode="json", by_alias=True)
    data = (json.dumps(document, indent=2, ensure_ascii=False) + "\n").encode()
    if out is None:
        click.echo(data, nl=False)
        return
    write_file(out, data)
    click.echo(f"wrote {out}")


@click.command("import")
@click.argument("file", type=file_type)
@click.option("--as", "day_id", help="Id of the launch day; made from its name and date where it is not given.")
@click.option("--replace", is_flag=True, help="Put it in the place of the launch day with that id, its entries too.")
@database_option
def import_day(file: Path, day_id: str | None, replace: bool, where: str) -> None:
    """Keep a launch-day document as a new launch day, or with --replace in the place of one that is there.

    Replacing keeps every earlier version, withdraws the entries that the document does not have, and says which.
    """
    from service.planning.check import read_day
    from service.planning.errors import DocumentRefused

    if replace and day_id is None:
        raise Refusal("--replace: say which launch day, with --as ID")
    try:
        day = read_day(read_file(file), file.name)
    except DocumentRefused as refused:
        list_faults(refused, "nothing was kept")
    with opened(where) as store:
        if replace:
            _tell_replaced(str(day_id), store.days.replace(str(day_id), day, "import", based_on=None))
            return
        made = store.import_day(day, "import", day_id=day_id)
        click.echo(f"kept as {made}")
        without = store.entries.without_stock(made)
        if without:
            click.echo(f"  {NO_STOCK}: {', '.join(without)}")


def _tell_replaced(day_id: str, done: Any) -> None:
    """What a document that took a day's place has changed."""
    click.echo(f"replaced {day_id}")
    for words, ids in (
        ("withdrawn", done.withdrawn),
        ("private links ended of", done.links),
        ("new", done.added),
        ("changed", done.changed),
        ("rulings to be looked at again", done.lapsed),
        ("motors off the offer", done.motors_removed),
        (NO_STOCK, done.without_stock),
    ):
        if ids:
            click.echo(f"  {words}: {', '.join(ids)}")


COMMANDS = (serve, audit, verify, export_day, import_day)
