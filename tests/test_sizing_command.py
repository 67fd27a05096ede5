"""The command that sizes a field: an answer and two files, or a refusal that names every fault and writes nothing."""

from __future__ import annotations

import os

import pytest
from click.testing import CliRunner

from service.cli import main
from service.models.sizing import Sizing
from tests.builders import as_bytes
from tests.planning.quick import quick_document
from tests.planning.sizing.seasons import winds_text


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "day.json").write_bytes(as_bytes(quick_document()))
    (tmp_path / "winds.csv").write_text(winds_text(hours=72, start="2028-07-07T00:00:00-03:00"))
    (tmp_path / "fleet.csv").write_text("class,count,motor\nC,5,c6\n")
    return tmp_path


def run(folder, *more):
    arguments = ["size", folder / "day.json", "--winds", folder / "winds.csv", "-o", folder / "out", *more]
    found = CliRunner().invoke(main, [str(each) for each in arguments])
    if found.exception is not None and not isinstance(found.exception, SystemExit):
        raise found.exception
    return found.exit_code, found.stdout, found.stderr


def test_it_prints_the_answer_and_writes_two_files(folder):
    status, out, err = run(folder, "--fleet", folder / "fleet.csv", "--no-altitudes")
    assert (status, err) == (0, "")
    assert sorted(os.listdir(folder / "out")) == ["field-report.pdf", "sizing.json"]
    found = Sizing.model_validate_json((folder / "out" / "sizing.json").read_text())
    assert [each.letter for each in found.fleet] == ["C"] and found.words[1] in out.replace("\n  ", " ")
    assert (folder / "out" / "field-report.pdf").read_bytes().startswith(b"%PDF")
    first = {name: (folder / "out" / name).read_bytes() for name in os.listdir(folder / "out")}
    run(folder, "--fleet", folder / "fleet.csv", "--no-altitudes")
    assert first == {name: (folder / "out" / name).read_bytes() for name in os.listdir(folder / "out")}


def test_bad_winds_are_listed_by_line_and_nothing_is_written(folder):
    (folder / "winds.csv").write_text("time,wind_speed_mps,wind_from_deg\nmonday,3,200\n2028-07-07T00:00:00Z,300,200\n")
    status, out, err = run(folder)
    assert status == 2 and out == "" and not (folder / "out").exists()
    assert "line 2, time: found" in err and "line 3, wind_speed_mps: found" in err and "nothing was written" in err


def test_a_bad_fleet_a_bad_day_and_a_missing_file_are_refused(folder):
    (folder / "fleet.csv").write_text("class,count\nQ,1\n")
    assert run(folder, "--fleet", folder / "fleet.csv")[0] == 2
    status, _, err = run(folder, "--fleet", folder / "none.csv")
    assert status == 2 and "none.csv: no such file" in err
    (folder / "day.json").write_text("{}")
    status, _, err = run(folder)
    assert status == 2 and "day.json" in err and "nothing was written" in err
    assert not (folder / "out").exists()


def test_a_place_that_cannot_be_written_is_found_before_the_work(folder, monkeypatch):
    def never(*_args, **_more):
        raise AssertionError("the work was begun")

    monkeypatch.setattr("service.planning.sizing.size.size_field", never)
    (folder / "out" / "field-report.pdf").mkdir(parents=True)
    status, out, err = run(folder)
    assert (status, out) == (2, "") and "expected a file to write" in err


def test_a_season_of_nights_is_refused(folder):
    (folder / "winds.csv").write_text("time,wind_speed_mps,wind_from_deg\n2028-07-09T02:00:00-03:00,3,200\n")
    status, _, err = run(folder)
    assert status == 2 and "no hour of the season" in err and not (folder / "out").exists()


def test_called_off_in_the_middle_nothing_is_left(folder, monkeypatch):
    from service.planning.sizing import size as module

    def interrupted(*_args, **_more):
        raise KeyboardInterrupt

    monkeypatch.setattr(module, "search_pads", interrupted)
    assert run(folder, "--fleet", folder / "fleet.csv")[0] in (1, 130) and not (folder / "out").exists()
