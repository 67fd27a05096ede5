"""What all commands share: places tried before the work, files that are none, leaving when interrupted."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from click.testing import CliRunner

from service.cli import main
from service.console import EXIT_INTERRUPTED, Refusal, called, read_file, ready_file, ready_folder
from tests.builders import as_bytes
from tests.planning.quick import put, quick_document

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture
def day(tmp_path) -> Path:
    path = tmp_path / "day.json"
    path.write_bytes(as_bytes(quick_document()))
    return path


def run(*arguments):
    return CliRunner().invoke(main, [str(each) for each in arguments])


def never(*_args, **_more):
    raise AssertionError("the work was begun")


# places


def test_a_place_that_cannot_be_written_is_found_before_the_work(day, tmp_path, monkeypatch):
    monkeypatch.setattr("service.planning.assess.assess_day", never)
    monkeypatch.setattr("service.planning.fly.nominal_flight", never)
    file, folder = tmp_path / "file", tmp_path / "folder"
    file.write_text("here before")
    folder.mkdir()
    calls = [
        ("assess", day, "-o", file / "below"),
        ("assess", day, "--out", file / "a" / "b"),
        ("sheet", day, "-o", file / "s.pdf"),
        ("fly", day, "--entry", "n1", "--csv", file / "h.csv"),
        ("demo", "-o", file / "below"),
    ]
    for call in calls:
        found = run(*call)
        assert found.exit_code == 2 and "is a file; expected a folder" in found.output, call
    os.mkfifo(tmp_path / "pipe")
    assert "expected a file to write" in run("sheet", day, "-o", tmp_path / "pipe").output
    assert sorted(os.listdir(tmp_path)) == ["day.json", "file", "folder", "pipe"]
    assert file.read_text() == "here before"


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may write anywhere")
def test_a_folder_that_may_not_be_written_is_refused(tmp_path):
    tmp_path.chmod(0o500)
    for ready in (ready_folder, ready_file):
        with pytest.raises(Refusal, match="nothing may be written"):
            ready(tmp_path / "new" / "deeper")


def test_a_place_that_is_not_there_yet_is_no_fault(tmp_path):
    ready_folder(tmp_path / "a" / "b")
    ready_file(tmp_path / "a" / "b" / "c.pdf")
    assert os.listdir(tmp_path) == []  # asking makes nothing


def test_every_command_names_its_place_the_same(day, tmp_path):
    for option in ("-o", "--out", "--output"):
        place = tmp_path / option
        assert run("assess", day, option, place, "--entry", "n1").exit_code in (0, 1)
        assert (place / "assessment.json").is_file()


# files that are none

NEEDS_DAY = {
    "check": [], "fly": ["--entry", "n1"], "assess": ["--out", "o"], "sheet": ["-o", "s.pdf"],
    "advise": ["--entry", "n1"], "aim": ["--entry", "n1"], "plan": [], "import": [],
    "size": ["--winds", "X", "-o", "o"],
}  # fmt: skip


@pytest.mark.parametrize("command", NEEDS_DAY)
@pytest.mark.parametrize("kind", ["folder", "empty", "binary", "pipe", "device", "nowhere"])
def test_what_is_no_document_is_a_sentence(command, kind, tmp_path, monkeypatch):
    """A pipe that nobody writes to would be waited for till night."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "folder").mkdir()
    (tmp_path / "empty").touch()
    (tmp_path / "binary").write_bytes(bytes(range(256)) * 8)
    os.mkfifo(tmp_path / "pipe")
    before = sorted(os.listdir(tmp_path))
    path = "/dev/null" if kind == "device" else kind
    found = run(command, path, *[path if word == "X" else word for word in NEEDS_DAY[command]])
    assert found.exit_code == 2 and len(found.output) > 20, found.output
    assert isinstance(found.exception, SystemExit) and "Traceback" not in found.output
    assert sorted(os.listdir(tmp_path)) == before


def test_a_file_is_read_and_what_is_none_says_what_it_is(tmp_path):
    (tmp_path / "a").write_bytes(b"x")
    assert read_file(tmp_path / "a") == b"x"
    with pytest.raises(Refusal, match="found a folder; expected a file"):
        read_file(tmp_path)
    with pytest.raises(Refusal, match="no such file"):
        read_file(tmp_path / "b")


@pytest.mark.parametrize("command", ["fly", "assess", "sheet", "advise", "aim"])
def test_an_entry_that_is_not_there_lists_those_that_are(command, day, tmp_path):
    options = {"assess": ["--out", tmp_path / "o"], "sheet": ["-o", tmp_path / "s.pdf"]}
    found = run(command, day, "--entry", "zz", *options.get(command, []))
    assert found.exit_code == 2 and "zz" in found.output and "n1, n2, n3" in found.output
    assert os.listdir(tmp_path) == ["day.json"]


def test_one_of_a_thing_is_one(tmp_path):
    path = tmp_path / "one.json"
    path.write_bytes(as_bytes(quick_document(lambda d: d["entries"].__delitem__(slice(1, None)))))
    assert "no faults; 1 entry, 3 motors, 2 pads" in run("check", path).output


# the demo keeps what it finds


def test_the_demo_leaves_a_changed_day_alone(tmp_path, monkeypatch):
    monkeypatch.setattr("service.planning.assess.assess_day", never)
    place = tmp_path / "d"
    place.mkdir()
    changed = as_bytes(quick_document(put("/name", "Mine")))
    (place / "day.json").write_bytes(changed)
    found = run("demo", "--out", place)
    assert found.exit_code == 2 and (place / "day.json").read_bytes() == changed
    assert f"rangehand assess {place / 'day.json'}" in found.output and "another folder" in found.output
    assert os.listdir(place) == ["day.json"]


# interrupted


def interrupted(*_args, **_more):
    raise KeyboardInterrupt


def test_an_interruption_is_a_sentence_and_leaves_nothing(day, tmp_path, monkeypatch):
    monkeypatch.setattr("service.planning.assess.assess_day", interrupted)
    found = run("assess", day, "--out", tmp_path / "o")
    assert found.exit_code == EXIT_INTERRUPTED == 128 + signal.SIGINT
    assert found.output.strip() == "Interrupted: nothing was written." and not (tmp_path / "o").exists()


def test_an_interruption_tells_what_had_been_written(tmp_path, monkeypatch):
    monkeypatch.setattr("service.planning.assess.assess_day", interrupted)
    found = run("demo", "--out", tmp_path / "d")
    assert found.exit_code == EXIT_INTERRUPTED
    assert f"Interrupted: {tmp_path / 'd' / 'day.json'} had been written, whole; nothing after." in found.output
    assert os.listdir(tmp_path / "d") == ["day.json"]


# what is started behind a shell's back has SIGINT ignored, and so have its children
ENDLESS = """
import signal
import sys
import service.planning.assess as assess
from service.cli import main

signal.signal(signal.SIGINT, signal.default_int_handler)

fly = assess.disperse

def endless(*setup, **more):
    print("flying", flush=True)
    while True:
        fly(*setup, **more)

assess.disperse = endless
main(["assess", sys.argv[1], "--out", "o"])
"""


def test_a_real_interruption_ends_long_work_at_once(day, tmp_path):
    """The signal comes while flights that would never end are flown in other threads."""
    work = subprocess.Popen(
        [sys.executable, "-c", ENDLESS, str(day)], cwd=tmp_path, env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    try:
        assert work.stdout is not None and work.stdout.readline().startswith("flying")
        time.sleep(0.3)
        work.send_signal(signal.SIGINT)
        _out, err = work.communicate(timeout=60)
    finally:
        work.kill()
    assert work.returncode == EXIT_INTERRUPTED
    assert err.strip() == "Interrupted: nothing was written." and os.listdir(tmp_path) == ["day.json"]


@pytest.mark.parametrize(
    "typed, found, told",
    [
        (".venv/bin/rangehand", None, ".venv/bin/rangehand"),  # as the README's first command leaves it
        (".venv/bin/rangehand", "/usr/bin/rangehand", "rangehand"),
        ("service/cli.py", None, "rangehand"),
    ],
)
def test_what_to_type_next_can_be_typed(monkeypatch, typed, found, told):
    monkeypatch.setattr("sys.argv", [typed])
    monkeypatch.setattr("shutil.which", lambda name: found)
    assert called() == told
