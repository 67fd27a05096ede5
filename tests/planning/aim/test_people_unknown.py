"""A field on which nobody has drawn the people: what leans or moves a flight says that the chance is unknown."""

from __future__ import annotations

import json
from functools import cache

import pytest

from service.models.advice import FixStep
from service.planning.advise.fix_words import fix_of
from service.planning.advise.lever import Trial
from service.planning.advise.single import Answer, Seeker
from service.planning.advise.text import fix_lines
from service.planning.advise.trials import Trials
from service.planning.aim.aim import aim_entry
from service.planning.aim.picture import aim_picture
from service.planning.aim.text import aim_lines
from service.planning.ground import ground_of
from tests.planning.advise.few_flights import demo

FEW = {"samples": 16, "most_samples": 128, "threads": 1}


def without_people(*keep):
    """The demo day with only the zones of these kinds."""
    zones = tuple(each for each in demo().field.zones if each.kind in keep)
    return demo().model_copy(update={"field": demo().field.model_copy(update={"zones": zones})})


@cache
def aimed(undrawn=True):
    day = without_people("road") if undrawn else demo()
    return aim_entry(day, day.entry_by_id("e-03"), **FEW)


def test_aimed_with_nobody_drawn_every_share_is_unknown_and_said_so():
    found = aimed()
    assert found.changes and found.after.tilt_deg > 0.0
    for each in (found.before, found.after, found.worst, *found.tried):
        assert each.people_share is None and each.ballistic_people_share is None
        assert each.toward_people is (None if each.tilt_deg > 0.0 else False)
    lines = [" ".join(line.split()) for line in aim_lines(found)]
    assert "UNKNOWN" in " ".join(lines[:6]), "before the table, not in a note below it"
    assert "No zone of people is drawn" in found.people_unknown
    told = json.loads(found.model_dump_json())
    assert told["after"]["people_share"] is None and "UNKNOWN" in told["people_unknown"]


def test_its_picture_marks_no_setting_as_reaching_nobody():
    day = without_people("road")
    scene = aim_picture(day, aimed(), "si", 520.0, 400.0)
    assert "people UNKNOWN" in " ".join(scene.labels()) and "People UNKNOWN" in scene.description
    assert "with nothing open it may reach people" not in " ".join(scene.labels())
    drawn = aim_picture(demo(), aimed(undrawn=False), "si", 520.0, 400.0)
    assert "UNKNOWN" not in drawn.description and "it may reach people" in " ".join(drawn.labels())


def test_where_they_are_drawn_nothing_is_unknown():
    found = aimed(undrawn=False)
    assert found.people_unknown == "" and found.after.people_share is not None
    assert found.after.toward_people in (True, False)


def fixed(day, lever):
    """The fix that one moved lever would make, as the search for fixes words it."""
    entry, ground = day.entry_by_id("e-03"), ground_of(day)
    trials = Trials(day, ground, day.conditions, None, 16, 128, 1, lambda: False)
    now = trials.quick(entry)
    pad = day.pad_by_name(entry.pad).model_copy(update={"tilt_deg": 5.0})
    trial = Trial(entry, pad, FixStep(lever=lever, words="Do this.", step="1"), 1.0)
    return fix_of(Seeker(trials, entry, now), now.findings[0], Answer((trial,), now, (), lambda finding: None))


@pytest.mark.parametrize(
    ("kinds", "lever", "told"),
    [
        (("road",), "setting", True),
        (("road",), "pad", True),
        (("road",), "delay", False),
        (("road", "people"), "setting", False),
    ],
)
def test_a_fix_that_sends_it_another_way_says_so_too(kinds, lever, told):
    found = fixed(without_people(*kinds), lever)
    assert ("UNKNOWN" in found.people_unknown) is told
    assert ("is UNKNOWN" in " ".join(fix_lines([found]))) is told
