"""The command that sets a service up, and gives somebody who has forgotten a password another one."""

from __future__ import annotations

import getpass
import os
import secrets
import sys
from pathlib import Path

import click

from service.commands import DATABASE, database_option, opened, shown
from service.console import Refusal, file_type, ready_file, write_file

__all__ = ["init"]


@click.command()
@database_option
@click.option("--club", help="The club's name: it stands in every signature. Asked for where it is not given.")
@click.option("--login", default="organiser", show_default=True, help="Login of the first organiser.")
@click.option("--name", default="Organiser", show_default=True, help="Their name.")
@click.option("--ask-password", is_flag=True, help="Ask for the password rather than make one.")
@click.option("--certificate", "certificate_path", type=file_type, help="Write the club's certificate here as well.")
@click.option(
    "--reset", metavar="LOGIN", help="Only give this account a new first password, in a database that is set up."
)
def init(
    where: str,
    club: str | None,
    login: str,
    name: str,
    ask_password: bool,
    certificate_path: Path | None,
    reset: str | None,
) -> None:
    """Set up the database, the club's key and the first organiser.

    The passphrase of the key comes from RANGEHAND_KEY_PASSPHRASE, is asked for, or is made and printed where nobody
    can be asked. It is kept nowhere: without it no sheet can be signed.

    With --reset nothing is set up: for who has forgotten a password, by whoever holds the database itself.
    """
    if reset is not None:
        _reset(where, reset, ask_password)
        return
    from service.planning.signing.club_key import fingerprint
    from service.planning.signing.errors import SigningRefused
    from service.store import StoreError
    from service.web.passwords import password_fault
    from service.web.serve import initialise

    if certificate_path is not None:
        ready_file(certificate_path)
    if club is None:
        club = click.prompt("The club's name") if sys.stdin.isatty() else "Rocket club"
    password, made_password = _secret("Password of the first organiser", "", ask_password)
    if password_fault(password):
        raise Refusal(f"password: {password_fault(password)}")
    passphrase, made_passphrase = _secret("Passphrase of the club's key", "RANGEHAND_KEY_PASSPHRASE", True)
    try:
        person, key = initialise(
            where, login=login, name=name, password=password, club=club, passphrase=passphrase,
            first_password=made_password,
        )  # fmt: skip
    except (StoreError, SigningRefused) as error:
        raise Refusal(str(error)) from None
    assert key is not None  # there is a passphrase
    click.echo(f"Database: {shown(where)}")
    click.echo(f"First organiser: login {person.login}")
    if made_password:
        click.echo(f"  first password, printed this once: {password}")
        click.echo("  it has to be changed at the first sign-in")
    click.echo(f"Key of {club}: certificate SHA-256 {fingerprint(key.certificate_pem)}")
    if made_passphrase:
        click.echo(f"  passphrase, printed this once and kept nowhere: {passphrase}")
        click.echo("  write it down: no sheet can be signed without it")
    if certificate_path is not None:
        write_file(certificate_path, key.certificate_pem.encode())
        click.echo(f"Certificate: {certificate_path}")
    click.echo(f"Next: rangehand serve{'' if where == DATABASE else f' --database {shown(where)}'}")


def _reset(where: str, login: str, ask_password: bool) -> None:
    """Give an account a first password; its sessions end."""
    from service.web.config import Config
    from service.web.passwords import Passwords, password_fault

    with opened(where) as store:
        person = store.people.by_login(login)
        password, made = _secret(f"New password of {person.login}", "", ask_password)
        if password_fault(password):
            raise Refusal(f"password: {password_fault(password)}")
        hashed = Passwords(*Config().password_cost).hash(password)
        store.people.set_password_hash(person.id, hashed, "init", first_password=made)
    click.echo(f"Account {person.login}: sessions have ended{'' if person.active else '; it is closed'}")
    if made:
        click.echo(f"  first password, printed this once: {password}")
        click.echo("  it has to be changed at the first sign-in")


def _secret(what: str, variable: str, ask: bool) -> tuple[str, bool]:
    """A secret from the environment, from whoever sits there, or made; and whether it was made."""
    if variable and os.environ.get(variable):
        return os.environ[variable], False
    if ask and sys.stdin.isatty():
        given = getpass.getpass(f"{what}: ")
        if given != getpass.getpass("Again: "):
            raise Refusal(f"{what.lower()}: the two are not the same")
        return given, False
    return "-".join(secrets.token_hex(2) for _ in range(5)), True
