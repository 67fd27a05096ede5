"""`rangehand learn`: the demo log, a file beside a document, the kept logs; nothing changes without a name."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner

from service.cli import main
from service.models.flight_log import Flight
from service.planning.check import read_day_file
from service.planning.demo import demo_log
from service.planning.learning.log_files import read_log, write_log
from service.store import open_store
from tests.planning.learning.logs import DEMO, REED, as_log, demo_day, planned


def run(*arguments):
    """Exit status, standard output, standard error."""
    found = CliRunner().invoke(main, ["learn", *map(str, arguments)])
    if found.exception is not None and not isinstance(found.exception, SystemExit):
        raise found.exception
    return found.exit_code, found.stdout, found.stderr


@pytest.fixture(scope="module")
def log(tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("log") / "season.csv"
    path.write_text(write_log(as_log(planned(REED, 8, 1.2, seed=51))), encoding="utf-8")
    return path


def test_the_demo_log_teaches_a_small_bias(tmp_path):
    status, out, err = run("--demo", "--json", tmp_path / "found.json", "--plots", tmp_path / "plots.svg")
    assert status == 0, err
    said = " ".join(out.split())
    found = json.loads((tmp_path / "found.json").read_text())
    assert 0.93 < found["overall"]["ratio"]["high"] < 1.0
    assert {"drag-long-heron", "drag-all"} <= {each["id"] for each in found["proposals"]}
    spire = next(each for each in found["rockets"] if each["rocket"] == "Spire")
    assert spire["factor"] is None and spire["words"].startswith("Too few")
    for words in (
        "odd one out",
        "it ended otherwise: no deployment",
        "before the apogee, which it then does not reach",
        "Nothing changes until the organiser",
    ):
        assert words in said, words
    for name in ("plots.svg", "plots-rockets.svg", "plots-landings.svg"):
        assert (tmp_path / name).read_text().startswith("<svg")
    assert " safe" not in out.lower()


def test_the_demo_log_holds_what_it_should():
    flights = read_log(demo_log()).flights
    endings = {flight.happened for flight in flights}
    assert len(flights) > 30 and len({flight.entry for flight in flights}) >= 5
    assert {"planned", "no_deployment", "drogue_only", "main_at_apogee", "one_unlit", "misfire", "lost"} <= endings


def test_nothing_is_written_unless_it_is_accepted_by_name(log, tmp_path):
    output = tmp_path / "new.json"
    status, out, _ = run(DEMO, "--log", log)
    assert status == 0 and "drag-reed-41" in out
    assert run(DEMO, "--log", log, "--apply", "drag-reed-41", "-o", output)[0] == 2  # without --by
    assert run(DEMO, "--log", log, "--apply", "drag-reed-41", "--by", "Olga")[0] == 2  # without --output
    status, _, err = run(DEMO, "--log", log, "--apply", "drag-other", "--by", "Olga", "-o", output)
    assert status == 2 and "nothing of that name is put forward; there is drag-reed-41" in " ".join(err.split())
    assert list(tmp_path.iterdir()) == []


def test_an_accepted_correction_stands_in_the_new_document(log, tmp_path):
    output = tmp_path / "new.json"
    status, out, err = run(DEMO, "--log", log, "--apply", "drag-reed-41", "--by", "Olga", "-o", output)
    assert status == 0, err
    (correction,) = read_day_file(output).corrections
    assert (correction.rocket, correction.by, correction.flights) == ("Reed 41", "Olga", 8)
    assert 1.1 < correction.drag_factor < 1.3 and "accepted by Olga: drag-reed-41" in out
    again = run(output, "--log", log)
    assert again[0] == 0 and "Nothing is put forward." in again[1]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("missing.json", "--log", "LOG"), "missing.json"),
        ((DEMO, "--log", "missing.csv"), "missing.csv"),
        (("--log", "LOG"), "say which launch-day document"),
        (("some-day", "--database", "missing.db"), "no database is there"),
        ((DEMO, "--log", DEMO), "flights"),
    ],
)
def test_refusals_are_sentences(log, arguments, said):
    status, _, err = run(*(log if each == "LOG" else each for each in arguments))
    assert status == 2 and said in err


def test_the_log_itself_is_not_written_over(log):
    before = log.read_bytes()
    status, _, err = run(DEMO, "--log", log, "--apply", "drag-reed-41", "--by", "Olga", "-o", log)
    assert status == 2 and "give another file" in err and log.read_bytes() == before


def test_faults_of_a_log_are_listed_by_line(log, tmp_path):
    broken = tmp_path / "broken.csv"
    broken.write_text(log.read_text().replace("planned", "fine", 2))
    status, _, err = run(DEMO, "--log", broken)
    assert status == 2 and "/2/happened" in err and "/3/happened" in err and "2 faults" in err


def test_the_kept_logs_are_learnt_from_and_the_change_is_recorded(tmp_path):
    """Eight flights written down in the conditions of the demo day, 8 % lower than estimated."""
    where = tmp_path / "club.db"
    day = demo_day()
    with open_store(where, lambda: datetime(2027, 5, 15, 14, 20, tzinfo=UTC)) as store:
        day_id = store.import_day(day, "test", day_id="heron")
        for number in range(8):
            flight = Flight(
                entry=REED, flown_at=f"2027-05-15T14:{10 + number}:00Z", pad="B1", happened="planned",
                apogee_m=236.0 + number,
            )  # fmt: skip
            store.flights.add(day_id, flight, "test", another=True)
    status, out, _ = run("--database", where)
    assert status == 0 and "heron" in out and "8 flights" in out
    status, out, err = run("heron", "--database", where, "--apply", "drag-reed-41", "--by", "Olga")
    assert status == 0, err
    with open_store(where) as store:
        header = store.days.header("heron")
        assert header.document.corrections[0].rocket == "Reed 41" and header.by == "Olga"
        assert (
            header.why.startswith("learnt: drag-reed-41: Take the drag of Reed 41") and "8 flights went" in header.why
        )
        assert store.verify_chain().broken is None
    assert run("nowhere", "--database", where)[0] == 2
