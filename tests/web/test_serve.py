"""Starting the service: the first organiser, keys, addresses, the demonstration."""

from __future__ import annotations

import signal
import stat
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest
import segno

from service.store import AlreadyThere, open_store
from service.web import addresses, demo_store, serve
from service.web.passwords import Passwords

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(autouse=True)
def cheap(monkeypatch):
    monkeypatch.setattr(serve, "Passwords", lambda *_: Passwords(1, 16))


def test_the_first_organiser(tmp_path):
    where = str(tmp_path / "day.db")
    person, _key = serve.initialise(where, login="olga", name="Olga", password="seven plain herons")
    with open_store(where) as store:
        assert store.people.roles(person.id, "") == {"organiser"}
    with pytest.raises(AlreadyThere):
        serve.initialise(where, login="OLGA", name="Again", password="seven plain herons")


def test_the_key_is_made_once_and_is_private(tmp_path, monkeypatch):
    where = str(tmp_path / "day.db")
    first = serve.secret_key(where)
    assert len(first) == 32 and serve.secret_key(where) == first
    assert stat.S_IMODE((tmp_path / "day.db.key").stat().st_mode) == 0o600
    monkeypatch.setenv("RANGEHAND_SECRET_KEY", "given")
    assert serve.secret_key(where) == b"given"


def test_addresses_that_phones_can_use_come_first():
    found = addresses.addresses("0.0.0.0", 8080)
    assert found[-1] == "http://127.0.0.1:8080/" and len(set(found)) == len(found)
    assert addresses.addresses("192.0.2.7", 80) == ["http://192.0.2.7:80/"]
    assert addresses.addresses("2001:db8::7", 80) == ["http://[2001:db8::7]:80/"]


def test_the_code_in_the_terminal_is_the_code(monkeypatch):
    """Each half block is one module: read back, the lines are the matrix of the standard's symbol."""
    monkeypatch.setattr(sys.stdout, "isatty", lambda: False, raising=False)
    address = "http://192.0.2.7:8080/"
    lines = addresses.qr_lines(address)
    read = [row for line in lines for row in ([c in "▀█" for c in line], [c in "▄█" for c in line])]
    matrix = [[bool(module) for module in row] for row in segno.make(address, error="m").matrix_iter(border=2)]
    assert read[: len(matrix)] == matrix
    size = len(matrix) - 4
    assert size % 4 == 1 and size >= 21  # ISO/IEC 18004: sides of 17 + 4 v modules
    finder = [row[2:9] for row in matrix[2:9]]
    assert finder[0] == [True] * 7 and finder[3] == [True, False, True, True, True, False, True]


def test_what_is_said():
    said: list[str] = []
    addresses.announce(["http://192.0.2.7:8080/", "http://127.0.0.1:8080/"], said.append)
    assert any("192.0.2.7" in line for line in said) and any("█" in line for line in said)
    alone: list[str] = []
    addresses.announce(["http://127.0.0.1:8080/"], alone.append)
    assert not any("█" in line for line in alone), "no phone can use that one"


def test_the_demonstration_is_ready_made_and_leaves_nothing(tmp_path):
    with demo_store.demo_store() as (store, config, password, link):
        day = store.day_document(demo_store.DEMO_DAY)
        age_min = (config.clock() - day.conditions.observed_at).total_seconds() / 60.0
        assert 10.0 <= age_min < 11.0 and len(day.entries) > 10
        assert {person.login for person in store.people.all()} == {"organiser", "rso"}
        assert store.links.open(link).entry_id == "e-01"
        person = store.people.by_login("rso")
        assert Passwords(1, 16).fits(password, person.password_hash)
        assert store.people.roles(person.id, demo_store.DEMO_DAY) == {"rso"}
        folder = store._database.url.database
    assert folder and not Path(folder).exists()


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM])
def test_a_running_service_answers_and_stops(tmp_path, how):
    """On a port of the system's choosing: it says where it is, answers, and ends by itself when told to."""
    # what is started behind a shell's back has SIGINT ignored, and so have its children
    code = (
        "import signal; signal.signal(signal.SIGINT, signal.default_int_handler); from service.web.serve import serve; "
        f"serve({str(tmp_path / 'day.db')!r}, host='127.0.0.1', port=0)"
    )
    command = [sys.executable, "-u", "-c", code]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=ROOT) as running:
        try:
            assert running.stdout is not None
            said = [running.stdout.readline() for _ in range(3)]
            with urllib.request.urlopen(said[1].strip() + "health", timeout=10) as answer:
                assert answer.status == 200 and answer.headers["Server"] == "rangehand"
            running.send_signal(how)
            rest, complaints = running.communicate(timeout=120)
        finally:
            running.kill()
    assert running.returncode == 0 and "goes on at the next start" in rest and "Traceback" not in complaints
