"""Running the service on a laptop in a field, and the ready-made demonstration.

    initialise("day.db", login="olga", name="Olga", password="...")   # tables and the first organiser
    serve("day.db", port=8080)                                          # until interrupted
    serve_demo()                                                        # a throw-away database with a demo day
"""

from __future__ import annotations

import logging
import os
import secrets
import signal
import socket
import sys
import tempfile
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

from service.planning.check import read_day
from service.planning.demo import demo_document, demo_log
from service.planning.signing.club_key import ClubKey
from service.store import AlreadyThere, Store, Unavailable, open_store
from service.store.people import Person, Role
from service.web.app import create_app
from service.web.club import club_key, make_club_key
from service.web.config import Config
from service.web.learning.state import log_name
from service.web.passwords import Passwords
from service.web.weather_fetch import address_fault

THREADS = 8
PORT = 8080
DEMO_DAY = "heron-meadow"
DEMO_PEOPLE: tuple[tuple[str, str, Role, str], ...] = (  # login, name, role, day
    ("organiser", "Organiser 1", "organiser", ""),
    ("rso", "Safety officer 1", "rso", DEMO_DAY),
)
DEMO_PASSWORD_WORDS = ("heron", "meadow", "lantern", "willow", "kestrel", "barley", "thistle", "ember", "plover")

Say = Callable[[str], None]


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
    where: str, *, host: str = "0.0.0.0", port: int = PORT, say: Say = print, config: Config | None = None
) -> None:
    """Serve a database until interrupted. Prints the addresses that phones can use, and a QR code of the first."""
    with open_store(where) as store:
        run(config or settings_of(where), store, host=host, port=port, say=say)


def serve_demo(*, host: str = "0.0.0.0", port: int = PORT, say: Say = print) -> None:
    """Serve the demo day from a throw-away database, with an account for each role and a flyer's private link."""
    with demo_store() as (store, config, password, link):
        say("Demonstration: an invented club, in a throw-away database, on a clock of its own.")
        for login, name, role, _ in DEMO_PEOPLE:
            say(f"  {role:<10} login {login:<10} password {password}   ({name})")
        say(f"  flyer      no account; the private link of entry e-01 is  /private/{link}")
        run(config, store, host=host, port=port, say=say)


@contextmanager
def demo_store() -> Iterator[tuple[Store, Config, str, str]]:
    """The demo day in a throw-away database: store, configuration, password of the accounts, token of a flyer's link.

    The clock starts ten minutes after the demo day's reading, whatever the time is: light, wind and ages then fit.
    """
    day = read_day(demo_document(), "the demo day")
    offset = day.conditions.observed_at + timedelta(minutes=10) - datetime.now(UTC)

    def clock() -> datetime:
        return datetime.now(UTC) + offset

    password = "-".join(secrets.choice(DEMO_PASSWORD_WORDS) for _ in range(3)) + f"-{secrets.randbelow(90) + 10}"
    config = Config(clock=clock, demo=True, key_passphrase=password)
    with tempfile.TemporaryDirectory(prefix="rangehand-demo-") as folder:
        with open_store(Path(folder) / "demo.db", clock) as store:
            day_id = store.import_day(day, "demo", day_id=DEMO_DAY)
            store.settings.set(log_name(day_id), demo_log().decode(), "demo", based_on=0)  # the season before
            make_club_key(store, "Heron Meadow Rocket Club", password, clock(), "demo")
            hashed = Passwords(*config.password_cost).hash(password)
            for login, name, role, where in DEMO_PEOPLE:
                store.people.add(login, name, hashed, "demo", roles={role: where})
            yield store, config, password, store.links.new(day_id, "e-01", "demo")


def run(config: Config, store: Store, *, host: str, port: int, say: Say = print) -> None:
    """Serve a store until interrupted."""
    from waitress.server import create_server

    logging.basicConfig(level=logging.INFO, format="%(asctime)s %(name)s %(message)s")
    app = create_app(config, store)
    server = create_server(
        app,
        host=host,
        port=port,
        threads=THREADS,
        ident="rangehand",
        max_request_body_size=8_000_000,
        channel_timeout=30,
        connection_limit=400,
    )
    found = addresses(host, server.effective_port)  # type: ignore[union-attr]
    announce(found, say)
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


def _stop(number: int, frame: object) -> None:
    raise KeyboardInterrupt


def announce(found: list[str], say: Say = print) -> None:
    """Print the addresses, and a QR code of the first."""
    say("Rangehand is at")
    for each in found:
        say(f"  {each}")
    if len(found) > 1 or not found[0].startswith("http://127."):
        say("A phone in the same network opens it by this code:")
        for line in qr_lines(found[0]):
            say(line)
    say("Stop it with Ctrl-C.")


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


def addresses(host: str, port: int) -> list[str]:
    """Where the service can be reached, those that phones can use first."""
    if host not in ("0.0.0.0", "::", ""):
        return [f"http://{_bracketed(host)}:{port}/"]
    found = [each for each in _own_addresses() if not each.startswith("127.")]
    return [f"http://{each}:{port}/" for each in [*found, "127.0.0.1"]]


def qr_lines(address: str) -> list[str]:
    """The QR code (ISO/IEC 18004) of an address, two modules a character, dark on light.

    >>> len(qr_lines("http://192.0.2.7:8080/")) > 10
    True
    """
    import segno

    rows = [list(row) for row in segno.make(address, error="m").matrix_iter(border=2)]
    if len(rows) % 2:
        rows.append([0] * len(rows[0]))
    blocks = {(0, 0): " ", (1, 0): "▀", (0, 1): "▄", (1, 1): "█"}
    ink = "\x1b[30;107m" if sys.stdout.isatty() else ""
    end = "\x1b[0m" if ink else ""
    return [
        ink + "".join(blocks[bool(top), bool(low)] for top, low in zip(*pair)) + end
        for pair in zip(rows[::2], rows[1::2])
    ]


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


def _own_addresses() -> list[str]:
    """This machine's own IPv4 addresses; no packet is sent to find them."""
    found: list[str] = []
    for beyond in ("192.0.2.1", "10.255.255.255", "192.168.255.255", "172.31.255.255"):
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            try:
                probe.connect((beyond, 9))
                found.append(probe.getsockname()[0])
            except OSError:
                continue
    try:
        found += [str(info[4][0]) for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)]
    except OSError:
        pass
    return list(dict.fromkeys(found))


def _bracketed(host: str) -> str:
    return f"[{host}]" if ":" in host else host
