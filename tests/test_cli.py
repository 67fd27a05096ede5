"""The commands: figures out, files written whole, refusals in sentences with status 2, never a traceback."""

from __future__ import annotations

import csv
import json
import os
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner

from service.cli import main
from service.models.assessment import DayAssessment
from tests.builders import as_bytes, square
from tests.planning.quick import drop, put, quick_document, too_heavy

ROOT = Path(__file__).resolve().parent.parent
STATION = ROOT / "tests" / "fixtures" / "emberwell_station.json"
RESULTS = ["assessment.json", "footprints.geojson", "footprints.kml", "recovery.gpx"]


def calm(document):
    """Leaves the first entry clear."""
    document["entries"][0]["recovery"] = [
        {"name": "it", "kind": "parachute", "descent_speed_mps": 5.0, "deploy": {"at": "motor_delay"}}
    ]


def write(folder: Path, *changes) -> Path:
    path = folder / "day.json"
    path.write_bytes(as_bytes(quick_document(*changes)))
    return path


def run(*arguments):
    """Exit status, standard output, standard error."""
    found = CliRunner().invoke(main, [str(each) for each in arguments])
    if found.exception is not None and not isinstance(found.exception, SystemExit):
        raise found.exception
    return found.exit_code, found.stdout, found.stderr


def real(*arguments, cwd: Path):
    """The same in a process of its own."""
    command = [sys.executable, "-m", "service.cli", *map(str, arguments)]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    found = subprocess.run(command, cwd=cwd, env=environment, capture_output=True, text=True, timeout=300, check=False)
    return found.returncode, found.stdout, found.stderr


# check and schema


def test_check_of_a_good_day(tmp_path):
    status, out, err = run("check", write(tmp_path))
    assert (status, err) == (0, "") and "no faults; 3 entries, 3 motors, 2 pads" in out
    assert os.listdir(tmp_path) == ["day.json"]


def test_check_lists_all_faults_at_once(tmp_path):
    path = write(tmp_path, put("/motors/0/loaded_mass_kg", -1.0), put("/field/terrain", "lawn"), drop("/date"))
    status, out, err = run("check", path)
    assert status == 2 and out == ""
    for pointer in ("/motors/0/loaded_mass_kg", "/field/terrain", "/date"):
        assert any(line.startswith(f"{pointer}: found ") and "expected" in line for line in err.splitlines())
    assert "day.json: 3 faults; nothing was written" in err
    assert os.listdir(tmp_path) == ["day.json"]


def test_check_tells_what_it_mended(tmp_path):
    path = write(tmp_path, put("/field/boundary/coordinates/0", square(0.012)[::-1]))
    status, out, _err = run("check", path)
    assert status == 0 and "mended: /field/boundary" in out


def test_schemas_are_json_schemas_and_describe_the_files(tmp_path):
    status, out, _err = run("schema")
    document_schema = json.loads(out)
    assert status == 0
    jsonschema.Draft202012Validator.check_schema(document_schema)
    jsonschema.validate(quick_document(), document_schema)
    broken = quick_document(put("/field/pads/0/guide_length_m", "long"))
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(broken, document_schema)
    status, out, _err = run("schema", "--of", "assessment")
    assessment_schema = json.loads(out)
    jsonschema.Draft202012Validator.check_schema(assessment_schema)
    run("assess", write(tmp_path), "--out", tmp_path / "out", "--entry", "n1")
    jsonschema.validate(json.loads((tmp_path / "out" / "assessment.json").read_text("utf-8")), assessment_schema)


# fly


def test_fly_prints_figures_and_writes_the_history(tmp_path):
    status, out, err = run("fly", write(tmp_path), "--entry", "n2", "--csv", tmp_path / "n2.csv")
    assert (status, err) == (0, "")
    assert out.startswith("n2  Carancho, 1 × Alfar I200-P, pad P2")
    for words in ("mass at lift-off", "2.600 kg", "speed off the guide", "apogee above the field", "best delay",
                  "lands with recovery as planned", "lands with nothing open", "lands on the drogue alone",
                  "the model errs too"):  # fmt: skip
        assert words in out
    with (tmp_path / "n2.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) > 100 and f"{len(rows)} rows" in out
    assert {"time_s", "east_m", "north_m", "height_m", "mach", "thrust_n", "mass_kg"} <= set(rows[0])
    times = [float(row["time_s"]) for row in rows]
    assert times[0] < 0.5 and times == sorted(times)  # from lift-off on
    heights = [float(row["height_m"]) for row in rows]
    apogee = next(line for line in out.splitlines() if "apogee above" in line)
    assert f"{max(heights):,.0f} m" in apogee and abs(heights[-1]) < 0.01
    assert float(rows[0]["mass_kg"]) == pytest.approx(2.1 + 0.5) and float(rows[0]["height_m"]) == 0.0
    assert float(rows[-1]["mass_kg"]) == pytest.approx(2.1 + 0.5 - 0.22)
    assert "nan" not in (tmp_path / "n2.csv").read_text().lower()


def test_fly_says_that_a_shape_was_made_up(tmp_path):
    _status, out, _err = run("fly", write(tmp_path), "--entry", "n3")
    assert "flown as a generic one" in out and "static margin there" not in out


def test_fly_names_the_entries_there_are(tmp_path):
    status, _out, err = run("fly", write(tmp_path), "--entry", "n9")
    assert status == 2 and "n9" in err and "n1, n2, n3" in err


def test_fly_refuses_what_cannot_be_flown(tmp_path):
    status, _out, err = run("fly", write(tmp_path, too_heavy), "--entry", "n1", "--csv", tmp_path / "n1.csv")
    assert status == 2 and "never carries the rocket" in err
    assert not (tmp_path / "n1.csv").exists()


# assess


@pytest.mark.parametrize(
    ("entry_id", "changes", "status", "standing"),
    [("n1", [calm], 0, "CLEAR"), ("n1", [], 0, "CAUTION"), ("n3", [], 1, "UNKNOWN"), ("n2", [], 1, "STOP")],
)
def test_assess_tells_by_its_status_whether_anything_stops(tmp_path, entry_id, changes, status, standing):
    found, out, _err = run("assess", write(tmp_path, *changes), "--out", tmp_path / "out", "--entry", entry_id)
    assert found == status and standing in out
    assert sorted(os.listdir(tmp_path / "out")) == RESULTS


def test_assess_writes_what_it_prints(tmp_path):
    status, out, err = run("assess", write(tmp_path, calm), "--out", tmp_path / "a" / "b")
    assert status == 1 and err == ""
    result = DayAssessment.model_validate_json((tmp_path / "a" / "b" / "assessment.json").read_bytes())
    assert [each.entry for each in result.assessments] == ["n2", "n3", "n1"]
    lines = out.splitlines()
    for each in result.assessments:
        line = next(line for line in lines if line.startswith(f"{each.entry} "))
        assert each.standing.upper() in line and each.rocket in line and each.motor in line
        planned = each.footprint("planned")
        assert planned.inside.estimate == 1.0 and f" all {planned.samples:,} " in line
    assert "3 entries: 1 stop, 1 unknown, 0 caution, 1 clear." in out
    assert result.engine in out
    for name in RESULTS:
        assert str(tmp_path / "a" / "b" / name) in out


def test_assess_takes_the_entries_named_once_each(tmp_path):
    path = write(tmp_path, calm)
    _status, out, _err = run(
        "assess", path, "--out", tmp_path / "out", "--entry", "n1", "--entry", "n3", "--entry", "n1"
    )
    assert "2 entries: 0 stop, 1 unknown, 0 caution, 1 clear." in out
    status, _out, err = run("assess", path, "--out", tmp_path / "none", "--entry", "n1", "--entry", "zz")
    assert status == 2 and "zz" in err and "n1, n2, n3" in err and not (tmp_path / "none").exists()


# sheet


@pytest.mark.parametrize(("paper", "wide_pt"), [("A4", 595), ("letter", 612)])
def test_sheet_writes_a_pdf_on_that_paper(tmp_path, paper, wide_pt):
    from pypdf import PdfReader

    path = tmp_path / "out" / "sheet.pdf"
    status, out, _err = run("sheet", write(tmp_path), "-o", path, "--entry", "n1", "--paper", paper, "--units", "us")
    assert status == 0 and str(path) in out and path.read_bytes().startswith(b"%PDF-")
    pages = PdfReader(path).pages
    assert float(pages[0].mediabox.width) == pytest.approx(wide_pt, abs=1.0)
    assert " ft" in pages[0].extract_text() and "UNSIGNED" in pages[0].extract_text()


# what cannot be used


MALFORMED = {
    "empty": (b"", "the document"),
    "no-json": (b"{'name': 1}", "the document"),
    "a-list": (b"[]", "the document"),
    "utf-16": (json.dumps(quick_document()).encode("utf-16"), "the document"),
    "cut-short": (as_bytes(quick_document())[:-40], "the document"),
    "nan": (as_bytes(quick_document(put("/conditions/temperature_c", float("nan")))), "/conditions/temperature_c"),
    "infinity": (as_bytes(quick_document(put("/motors/0/length_m", float("inf")))), "/motors/0/length_m"),
    "negative": (as_bytes(quick_document(put("/entries/0/rocket/mass_kg", -0.06))), "/entries/0/rocket/mass_kg"),
    "absurd": (as_bytes(quick_document(put("/field/elevation_m", 1e9))), "/field/elevation_m"),
    "missing": (as_bytes(quick_document(drop("/conditions/pressure_hpa"))), "/conditions/pressure_hpa"),
    "unknown-field": (as_bytes(quick_document(put("/colour", "blue"))), "/colour"),
    "unknown-motor": (as_bytes(quick_document(put("/entries/0/motor", "x9"))), "/entries/0/motor"),
    "unknown-code": (as_bytes(quick_document(put("/codes", ["mars"]))), "/codes/0"),
    "two-of-one-id": (as_bytes(quick_document(put("/entries/1/id", "n1"))), "/entries/1/id"),
    "swapped": (as_bytes(quick_document(put("/field/pads/0/position", [-32.1, -63.2]))), "/field/pads/0/position"),
    "crossed": (
        as_bytes(quick_document(put("/field/boundary/coordinates/0", [
            [-63.212, -32.112], [-63.188, -32.088], [-63.188, -32.112], [-63.212, -32.088], [-63.212, -32.112]]))),
        "/field/boundary/coordinates/0",
    ),
    "looser-without-reason": (
        as_bytes(quick_document(put("/local_rules", [{"id": "x", "quantity": "nonsense"}]))), "/local_rules/0"),
}  # fmt: skip


@pytest.mark.parametrize("name", MALFORMED)
@pytest.mark.parametrize("command", ["assess", "sheet", "fly"])
def test_a_malformed_day_is_refused_and_leaves_nothing(tmp_path, command, name):
    data, pointer = MALFORMED[name]
    path, out = tmp_path / "day.json", tmp_path / "out"
    path.write_bytes(data)
    options = {
        "assess": ["--out", out],
        "sheet": ["-o", out / "s.pdf"],
        "fly": ["--entry", "n1", "--csv", out / "h.csv"],
    }
    status, printed, err = run(command, path, *options[command])
    assert status == 2 and printed == ""
    assert any(line.startswith(pointer) for line in err.splitlines()), err
    assert "nothing was written" in err and "Traceback" not in err
    assert not out.exists()


@pytest.mark.parametrize("command", ["check", "assess", "sheet", "fly"])
def test_a_file_that_is_not_there_is_a_sentence(tmp_path, command):
    options = {
        "check": [],
        "assess": ["--out", tmp_path / "o"],
        "sheet": ["-o", tmp_path / "s"],
        "fly": ["--entry", "n"],
    }
    status, _out, err = run(command, tmp_path / "none.json", *options[command])
    assert status == 2 and "none.json" in err and "no such file" in err
    assert os.listdir(tmp_path) == []


def test_an_output_that_cannot_be_written_is_a_sentence(tmp_path):
    """Found before the work, where it can be; no traceback where it cannot."""
    path, file, folder = write(tmp_path), tmp_path / "file", tmp_path / "folder"
    file.write_text("here before")
    folder.mkdir()
    calls = [
        ("assess", path, "--out", file, "--entry", "n1"),
        ("assess", path, "--out", file / "below", "--entry", "n1"),
        ("sheet", path, "-o", folder, "--entry", "n1"),
        ("sheet", path, "-o", file / "s.pdf", "--entry", "n1"),
        ("fly", path, "--entry", "n1", "--csv", folder),
        ("demo", "--out", file),
    ]
    for call in calls:
        status, _out, err = run(*call)
        assert status == 2 and len(err) > 20, call
    assert file.read_text() == "here before" and os.listdir(folder) == []
    assert sorted(os.listdir(tmp_path)) == ["day.json", "file", "folder"]


# the second day


@pytest.fixture(scope="module")
def station(tmp_path_factory):
    """A launch day on another continent, through the command, with no code of ours changed for it."""
    out = tmp_path_factory.mktemp("station") / "out"
    status, printed, _err = run("assess", STATION, "--out", out, "--entry", "s-05", "--entry", "s-02")
    result = DayAssessment.model_validate_json((out / "assessment.json").read_bytes())
    return status, printed, {each.entry: each for each in result.assessments}


def test_the_second_day_is_decided_by_its_own_ceiling(station):
    """1,200 m above the sea over a paddock at 145 m; a higher window hangs on a call that nobody has made."""
    status, printed, by_id = station
    assert status == 1 and "Emberwell Station winter muster" in printed
    high = by_id["s-05"]
    stops = {f.rule: f for f in high.findings if f.standing == "stop"}
    assert high.standing == "stop" and set(stops) == {"club-ceiling", "local-ceiling"}
    assert stops["club-ceiling"].limit_si == pytest.approx(1200.0 - 145.0)
    assert stops["local-ceiling"].limit_si == pytest.approx(0.95 * (1200.0 - 145.0))
    assert stops["local-ceiling"].source.clause == "Emberwell airspace agreement, paragraph 6"


def test_a_local_rule_stricter_than_common_practice_decides(station):
    """Common practice cautions under 30 mph or four times the crosswind. At the station the flight then stops."""
    _status, _printed, by_id = station
    found = by_id["s-02"]
    local = next(f for f in found.findings if f.rule == "local-exit-speed")
    assert local.limit_si == pytest.approx(4.0 * 4.1, rel=0.002)  # a guide that leans 3 degrees loses next to nothing
    assert 30.0 * 0.44704 < local.measured_si < local.limit_si
    assert next(f for f in found.findings if f.rule == "adv-exit-speed").standing == "caution"
    assert [f.rule for f in found.findings if f.standing == "stop"] == ["local-exit-speed"]
    assert local.weight == "club" and local.rule in {f.rule for f in found.findings} and found.standing == "stop"


# the demo, about, and real processes


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    """The whole demo, once, in a process and folder of its own."""
    folder = tmp_path_factory.mktemp("demo")
    return folder, real("demo", cwd=folder)


def test_the_demo_leaves_all_it_names(demo):
    folder, (status, out, err) = demo
    assert status == 0, err
    made = folder / "rangehand-demo"
    assert sorted(os.listdir(made)) == sorted(["day.json", *RESULTS, "range-sheet.pdf"])
    assert (made / "day.json").read_bytes() == (ROOT / "fixtures" / "heron_meadow.json").read_bytes()
    assert "18 entries" in out and "What to do next" in out
    result = DayAssessment.model_validate_json((made / "assessment.json").read_bytes())
    assert min(result.standings.values()) >= 1 and sum(result.standings.values()) == 18
    assert (made / "range-sheet.pdf").read_bytes().startswith(b"%PDF-")
    assert "Traceback" not in err


def test_what_is_clear_stands_under_its_heading(demo):
    """The list once slipped to a page of its own, though there was room for it."""
    from pypdf import PdfReader

    told = [page.extract_text() for page in PdfReader(demo[0] / "rangehand-demo" / "range-sheet.pdf").pages]
    begun = [text for text in told if "Clear: " in text]
    assert len(begun) == 18 and all(text.count("practice") >= 2 for text in begun)
    assert len(told) == 22, "two in front, one an entry, two on how it was reckoned"



def test_what_the_demo_says_to_do_next_works(demo):
    folder, (_status, out, _err) = demo
    check = next(line.split("then: rangehand ")[1] for line in out.splitlines() if "then: rangehand" in line)
    fly = next(line.split("rangehand ")[1] for line in out.splitlines() if "fly one entry" in line)
    assert real(*check.split(), cwd=folder)[0] == 0
    status, out, _err = real(*fly.split(), cwd=folder)
    assert status == 0 and "apogee above the field" in out


def test_a_real_refusal(tmp_path):
    path = write(tmp_path, put("/field/terrain", "lawn"))
    status, out, err = real("assess", path, "--out", "out", cwd=tmp_path)
    assert status == 2 and out == "" and err.startswith("/field/terrain: found") and "Traceback" not in err
    assert os.listdir(tmp_path) == ["day.json"]


def test_about_names_engine_and_editions():
    from service.version import VERSION, engine

    status, out, _err = run("about")
    assert status == 0 and f"rangehand {VERSION}, engine {engine()}" in out
    for code in ("us-model", "us-high-power", "us-airspace", "practice", "canada"):
        assert f"  {code}: " in out
    status, out, _err = run("--version")
    assert status == 0 and out == f"rangehand {VERSION}\n"


def test_help_names_every_command_and_never_promises():
    status, out, _err = run("--help")
    assert status == 0
    for command in ("check", "schema", "fly", "assess", "sheet", "demo", "bench", "about"):
        assert f"\n  {command}" in out
    assert "safe " not in out and "it never approves" in " ".join(out.split()).lower()


def test_an_unknown_command_is_a_refusal():
    status, _out, err = run("launch")
    assert status == 2 and "launch" in err


@pytest.mark.parametrize("call", [["sheet", "DAY", "-o", "DAY"], ["fly", "DAY", "--entry", "n1", "--csv", "DAY"]])
def test_no_result_is_written_over_the_document(call, tmp_path):
    path = tmp_path / "day.json"
    path.write_bytes(as_bytes(quick_document()))
    before = path.read_bytes()
    result = CliRunner().invoke(main, [str(path) if word == "DAY" else word for word in call])
    assert result.exit_code == 2 and "launch-day document itself" in result.output
    assert path.read_bytes() == before
