"""A figure beside its limit stands as the worst finding on it does, and shows a limit where one of those has it."""

from __future__ import annotations

import pytest

from service.models.finding import WORST_FIRST
from service.planning.assess import assess_entry
from service.planning.sheet import FIGURES, _figures
from tests.planning.quick import put, quick_day

# fins a fifth as far out: the lone margin rule of common practice cautions, the one that holds everywhere stops
SMALL_FINS = put("/entries/0/rocket/airframe/fins/0/span_m", 0.006)


@pytest.mark.parametrize("changes", [(), (put("/field/pads/0/guide_length_m", 0.5),), (SMALL_FINS,)])
def test_each_figure_stands_as_its_worst_finding(changes):
    day = quick_day(*changes)
    found = assess_entry(day, day.entry_by_id("n1"))
    by_rule = {each.rule: each for each in found.findings}
    shown = {each.name: each for each in _figures(found)}
    compared = 0
    for name, _field, _quantity, rules in FIGURES:
        standings = [by_rule[rule].standing for rule in rules if rule in by_rule]
        if name in shown and standings:
            assert shown[name].standing == min(standings, key=WORST_FIRST.index), name
            compared += 1
    assert compared >= 5


def test_a_margin_that_is_met_shows_the_limit_it_is_held_to():
    day = quick_day()
    shown = {each.name: each for each in _figures(assess_entry(day, day.entry_by_id("n1")))}
    margin = shown["Static margin off the guide"]
    assert margin.standing == "clear" and margin.limit is not None and margin.limit.sense == "at_least"


def test_an_unstable_model_shows_stop_beside_its_margin():
    day = quick_day(SMALL_FINS)
    shown = {each.name: each for each in _figures(assess_entry(day, day.entry_by_id("n1")))}
    assert shown["Static margin off the guide"].standing == "stop"
