"""The commands that advise: what they leave in a folder, what a plan goes by, places tried before any flight."""

from __future__ import annotations

import json
import os
from datetime import datetime, timedelta
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner

from service.cli import main
from service.models.advice_answer import AdviceAnswer
from service.models.aiming import Aiming
from service.models.day_plan import DayPlan
from service.planning.check import read_day
from tests.builders import as_bytes
from tests.planning.quick import put, quick_document

HOURS = 2
LATER = timedelta(hours=1)
SVG = "{http://www.w3.org/2000/svg}"


def forecast(document):
    """The day's own conditions, hour by hour."""
    start = datetime.fromisoformat(document["conditions"]["observed_at"])
    document["forecast"] = [
        {**document["conditions"], "observed_at": (start + n * LATER).isoformat()} for n in range(HOURS)
    ]


def a_fourth(document):
    """The first entry's like, of somebody else."""
    first = document["entries"][0]
    document["entries"].append({**first, "id": "n4", "flyer": {**first["flyer"], "name": "Somebody Else"}})


@pytest.fixture
def day(tmp_path):
    path = tmp_path / "day.json"
    path.write_bytes(as_bytes(quick_document(forecast, a_fourth)))
    return path


def run(*arguments):
    found = CliRunner().invoke(main, [str(each) for each in arguments])
    if found.exception is not None and not isinstance(found.exception, SystemExit):
        raise found.exception
    return found


def words_of(path) -> str:
    """All that a picture says; an SVG that stands alone has its size and its colours with it."""
    root = ElementTree.parse(path).getroot()
    assert root.tag == f"{SVG}svg" and root.get("viewBox") and root.find(f".//{SVG}style") is not None
    assert root.find(f"{SVG}rect").get("class") == "rh-fill-paper"
    return " ".join(text.strip() for text in root.itertext() if text.strip())


def test_advice_leaves_its_whole_answer_and_the_motors_as_a_picture(day, tmp_path):
    out = tmp_path / "out"
    found = run("advise", day, "--entry", "n1", "--altitude-m", "200", "-o", out)
    assert found.exit_code == 0, found.output
    assert sorted(os.listdir(out)) == ["advice-n1.json", "motors-n1.svg"]
    assert all(f"wrote {out / name}" in found.output for name in os.listdir(out))
    answer = AdviceAnswer.model_validate_json((out / "advice-n1.json").read_bytes())
    assert answer.ladder.entry == "n1" and answer.ladder.rungs and answer.assessment is not None
    assert [each.aim for each in answer.picks][-1] == "altitude"
    fixes = answer.fixes or ()
    assert fixes and all(" ".join(each.statement.split()[:3]) in found.output for each in fixes)
    said = words_of(out / "motors-n1.svg")
    assert all(rung.name in said for rung in answer.ladder.rungs)
    drawn = (out / "motors-n1.svg").read_bytes()
    run("advise", day, "--entry", "n1", "--altitude-m", "200", "--no-fixes", "-o", out)
    assert (out / "motors-n1.svg").read_bytes() == drawn
    run("advise", day, "--entry", "n1", "--no-fixes", "--units", "us", "-o", out)
    bare = json.loads((out / "advice-n1.json").read_bytes())
    assert (bare["fixes"], bare["standing"], bare["assessment"]) == (None, None, None)
    assert " ft" in words_of(out / "motors-n1.svg") and " ft" not in said


def test_an_aim_leaves_its_whole_answer_and_the_field_as_a_picture(day, tmp_path):
    out = tmp_path / "out"
    found = run("aim", day, "--entry", "n1", "--open-ground", "-o", out)
    assert found.exit_code == 0, found.output
    assert sorted(os.listdir(out)) == ["aim-n1.json", "aim-n1.svg"]
    answer = Aiming.model_validate_json((out / "aim-n1.json").read_bytes())
    pads = [tuple(pad["position"]) for pad in json.loads(day.read_bytes())["field"]["pads"]]
    assert answer.entry == "n1" and answer.target not in pads and "middle of the open ground" in answer.target_name
    assert answer.target_name in " ".join(found.output.split())
    assert " m" in words_of(out / "aim-n1.svg")


def test_a_plan_leaves_its_whole_answer_and_the_hours_as_a_picture(day, tmp_path):
    out = tmp_path / "out"
    found = run("plan", day, "-o", out)
    assert found.exit_code == 0, found.output
    assert sorted(os.listdir(out)) == ["plan.json", "plan.svg"]
    plan = DayPlan.model_validate_json((out / "plan.json").read_bytes())
    assert {hour.label for hour in plan.hours} >= {"09:40", "10:40"} and plan.words in " ".join(found.output.split())
    said = words_of(out / "plan.svg")
    assert all(row.rocket.split()[0] in said for row in plan.rows)


def test_a_plan_goes_by_the_pace_and_the_entries_asked_for(day, tmp_path):
    """The least time between flights is taken from the starts themselves."""

    def planned(*more) -> DayPlan:
        assert run("plan", day, "--entry", "n1", "--entry", "n4", "-o", tmp_path, *more).exit_code == 0
        return DayPlan.model_validate_json((tmp_path / "plan.json").read_bytes())

    def least(plan: DayPlan) -> timedelta:
        starts = [datetime.fromisoformat(each.starts) for each in plan.order]
        return min(later - earlier for earlier, later in pairwise(starts))

    usual = planned()
    assert len(usual.order) > 1 and least(usual) < timedelta(minutes=25)
    slow = planned("--gap-min", "25", "--flight-min", "40", "--rest-min", "50", "--stronger-mps", "4")
    assert len(slow.order) > 1 and least(slow) >= timedelta(minutes=25)
    assert (slow.launch_gap_min, slow.minutes_per_flight, slow.rest_min, slow.stronger_by_mps) == (25, 40, 50, 4)
    assert [row.entry for row in slow.rows] == ["n1", "n4"]


def test_on_the_day_itself_what_is_over_is_not_planned(day, tmp_path, monkeypatch):
    """The two hours begin at 09:40 and 10:40."""

    def at(clock):
        moment = datetime.fromisoformat(f"2028-07-09T{clock}:00-03:00")
        monkeypatch.setattr("service.job_commands.moment", lambda _day: (moment, None))
        return run("plan", day, "--entry", "n1", "-o", tmp_path)

    assert at("10:50").exit_code == 0
    left = DayPlan.model_validate_json((tmp_path / "plan.json").read_bytes())
    assert left.hours[0].label == "10:40" and [each.hour for each in left.order] == [0]
    found = at("15:00")
    assert found.exit_code == 2 and "every hour of the forecast is past" in found.output


def test_whoever_leaves_after_a_page_finds_it_kept(day, tmp_path, monkeypatch):
    def gone(_plan):
        yield "the first line"
        raise BrokenPipeError

    monkeypatch.setattr("service.planning.day_plan.text.plan_lines", gone)
    with pytest.raises(BrokenPipeError):
        CliRunner().invoke(main, ["plan", str(day), "--entry", "n1", "-o", str(tmp_path)], catch_exceptions=False)
    assert (tmp_path / "plan.json").is_file() and (tmp_path / "plan.svg").is_file()


@pytest.mark.parametrize(("more", "said"), [
    (("plan", "--gap-min", "0"), "1.0<=x<=120.0"), (("plan", "--rest-min", "nan"), "1.0<=x<=120.0"),
    (("plan", "--stronger-mps", "inf"), "0.5<=x<=10.0"), (("plan", "--entry", "zz"), "n1, n2, n3, n4"),
    (("aim", "--entry", "n1", "--at", "1", "91"), "-90.0<=x<=90.0"),
    (("aim", "--entry", "n1", "--at", "nan", "1"), "-180.0<=x<=180.0"),
    (("aim", "--entry", "n1", "--at", "1", "1", "--open-ground"), "expected one place to land"),
    (("advise", "--entry", "n1", "--altitude-m", "nan"), "1.0<=x<=50000.0"),
])  # fmt: skip
def test_what_makes_no_sense_is_refused_and_nothing_is_written(day, tmp_path, more, said):
    command, *rest = more
    found = run(command, day, "-o", tmp_path / "out", *rest)
    assert found.exit_code == 2 and said in found.output and not (tmp_path / "out").exists()


WORK = {
    "advise": "service.planning.advise.ladder.motor_ladder", "aim": "service.planning.aim.aim.aim_entry",
    "plan": "service.planning.day_plan.plan.plan_day",
}  # fmt: skip
NAMES = {"advise": ("advice-n1.json", "motors-n1.svg"), "aim": ("aim-n1.json", "aim-n1.svg"),
         "plan": ("plan.json", "plan.svg")}  # fmt: skip


@pytest.mark.parametrize("command", WORK)
def test_a_place_that_cannot_be_written_is_found_before_any_flight(day, tmp_path, monkeypatch, command):
    def never(*_args, **_more):
        raise AssertionError("the work was begun")

    monkeypatch.setattr(WORK[command], never)
    rest = () if command == "plan" else ("--entry", "n1")
    (tmp_path / "file").write_text("here before")
    found = run(command, day, *rest, "-o", tmp_path / "file" / "below")
    assert found.exit_code == 2 and "is a file; expected a folder" in found.output
    for name in NAMES[command]:
        (tmp_path / "in the way" / name).mkdir(parents=True)
        found = run(command, day, *rest, "-o", tmp_path / "in the way")
        assert found.exit_code == 2 and "expected a file to write" in found.output
        (tmp_path / "in the way" / name).rmdir()
    document = tmp_path / NAMES[command][0]
    day.rename(document)
    found = run(command, document, *rest, "-o", tmp_path)
    assert found.exit_code == 2 and "that is the launch-day document itself" in found.output
    read_day(document.read_bytes())


def test_without_a_forecast_there_is_no_plan_and_no_file(tmp_path):
    path = tmp_path / "day.json"
    path.write_bytes(as_bytes(quick_document(put("/forecast", []))))
    found = run("plan", path, "-o", tmp_path / "out")
    assert found.exit_code == 2 and "no forecast" in found.output and not (tmp_path / "out").exists()
