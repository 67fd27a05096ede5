"""Running the service on a laptop in a field, and the ready-made demonstration.

initialise("day.db", login="olga", name="Olga", password="...")   # tables and the first organiser
serve("day.db", port=8080)                                          # until interrupted
serve_demo()                                                        # a throw-away database with a demo day
"""

from __future__ import annotations

import errno
import logging
import os
import secrets
import signal
import threading
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from flask import Flask

from service.planning.signing.club_key import ClubKey
from service.store import AlreadyThere, Store, Unavailable, open_store
from service.store.people import Person
from service.web.addresses import Say, addresses, announce
from service.web.app import create_app
from service.web.club import club_key, make_club_key
from service.web.config import Config
from service.web.demo_store import DEMO_PEOPLE, demo_store
from service.web.passwords import Passwords
from service.web.weather_fetch import address_fault

THREADS = 8
PORT = 8080


def initialise(
    where: str,
    *,
    login: str,
    name: str,
    password: str,
    club: str = "Rocket club",
    passphrase: str = "",
    first_password: bool = False,
) -> tuple[Person, ClubKey | None]:
    """Make the tables, the club's key and the first organiser, who may organise every launch day.

    Without a passphrase no key is made, and nothing can be signed. `first_password`: to be changed at the first
    sign-in, before anything else.

    Raises
    ------
    StoreError
        If the database cannot be made, or the login or the key is there already.
    SigningRefused
        If the passphrase is too short.
    """
    passwords = Passwords(*Config().password_cost)
    with open_store(where) as store:
        if passphrase and club_key(store) is not None:
            raise AlreadyThere("found the club's key already; expected a database that is not set up")
        hashed, roles = passwords.hash(password), {"organiser": ""}
        person = store.people.add(login, name, hashed, "init", roles=roles, first_password=first_password)  # type: ignore[arg-type]
        key = make_club_key(store, club, passphrase, datetime.now(UTC), "init") if passphrase else None
        return person, key


def serve(
    where: str, *, host: str = "0.0.0.0", port: int = PORT, say: Say = print, config: Config | None = None,
    existing: bool = False,
) -> None:  # fmt: skip
    """Serve a database until interrupted. Prints the addresses that phones can use, and a QR code of the first.

    `existing`: only one that has been set up; else what is missing is made.
    """
    with open_store(where, existing=existing) as store:
        run(config or settings_of(where), store, host=host, port=port, say=say)


def serve_demo(*, host: str = "0.0.0.0", port: int = PORT, say: Say = print) -> None:
    """Serve the demo day from a throw-away database, with an account for each role and a flyer's private link."""
    with demo_store() as (store, config, password, link):
        before = ["Demonstration: an invented club, in a throw-away database, on a clock of its own."]
        for login, name, role, _ in DEMO_PEOPLE:
            before.append(f"  {role:<10} login {login:<10} password {password}   ({name})")
        before.append(f"  flyer      no account; the private link of entry e-01 is  /private/{link}")
        run(config, store, host=host, port=port, say=say, before=before)


class _Later:
    """The app as the server sees it: the port is taken first, so that nothing is begun or said in vain."""

    app: Flask

    def __call__(self, environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        return self.app(environ, start_response)


def run(config: Config, store: Store, *, host: str, port: int, say: Say = print, before: Sequence[str] = ()) -> None:
    """Serve a store until interrupted. `before` is said above the addresses, once the port is ours.

    Raises
    ------
    OSError
        If nothing can listen on that host and port: another program does, or this machine has no such address.
    """
    logging.basicConfig(level=logging.INFO, format="%(asctime)s %(name)s %(message)s")
    later = _Later()
    server = _server(later, host, port)
    try:
        app = later.app = create_app(config, store)
    except BaseException:
        server.close()
        raise
    for line in before:
        say(line)
    announce(addresses(host, _port_of(server)), say)
    if threading.current_thread() is threading.main_thread():
        signal.signal(signal.SIGTERM, _stop)
    try:
        server.run()
    except KeyboardInterrupt:
        pass
    finally:
        say("Stopping: what has not been assessed yet goes on at the next start.")
        server.close()
        app.extensions["jobs"].close()
        app.extensions["reassessor"].close()


def _server(app: _Later, host: str, port: int) -> Any:
    """The server, its port taken; it answers once it runs."""
    from waitress.server import create_server

    try:
        return create_server(
            app,
            host=host,
            port=port,
            threads=THREADS,
            ident="rangehand",
            max_request_body_size=8_000_000,
            channel_timeout=30,
            connection_limit=400,
        )
    except ValueError:  # a name that no address belongs to
        raise OSError(errno.EADDRNOTAVAIL, os.strerror(errno.EADDRNOTAVAIL)) from None


def _port_of(server: Any) -> int:
    """The port that was taken; a name with several addresses has a socket for each."""
    listening = getattr(server, "effective_listen", None)
    return int(listening[0][1] if listening else server.effective_port)


def _stop(number: int, frame: object) -> None:
    raise KeyboardInterrupt


def settings_of(where: str) -> Config:
    """What the environment says of the service on a database.

    Raises
    ------
    Unavailable
        When RANGEHAND_WEATHER_URL is set to what is no address.
    """
    weather_url = os.environ.get("RANGEHAND_WEATHER_URL", "").strip()
    if address_fault(weather_url):
        raise Unavailable(f"RANGEHAND_WEATHER_URL: {address_fault(weather_url)}")
    passphrase = os.environ.get("RANGEHAND_KEY_PASSPHRASE", "")
    return Config(secret_key=secret_key(where), key_passphrase=passphrase, weather_url=weather_url)


def secret_key(where: str) -> bytes:
    """The key that signs sessions: from RANGEHAND_SECRET_KEY, or kept in a file of its own beside the database."""
    given = os.environ.get("RANGEHAND_SECRET_KEY", "")
    if given:
        return given.encode()
    if "://" in where and not where.startswith("sqlite:///"):
        return secrets.token_bytes(32)
    path = Path(where.removeprefix("sqlite:///") + ".key")
    try:
        handle = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
    except FileExistsError:
        return path.read_bytes()
    with os.fdopen(handle, "wb") as file:
        key = secrets.token_bytes(32)
        file.write(key)
    return key
