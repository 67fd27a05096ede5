"""The data sheet: every item of the regulation, answered from the document or standing open.

Items: 14 CFR 101.27(a) to (g) and 101.29(a)(1) to (7), (b)(1) to (10), as read in copies of 2019 to 2026.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from service.planning.sizing.affected import affected_ground
from service.planning.sizing.ceiling import ceiling_to_ask
from service.planning.sizing.data_sheet import data_sheet
from service.planning.sizing.fleet import Fleet, fleet_of_entries
from service.planning.sizing.fleet_csv import read_fleet_csv
from tests.planning.advise.few_flights import demo
from tests.planning.sizing.seasons import few, ground

CLASS_2 = [f"14 CFR 101.29(a)({number})" for number in range(1, 8)]
CLASS_3 = [f"14 CFR 101.29(b)({number})" for number in range(2, 11)]
NOTICE = [f"14 CFR 101.27({letter})" for letter in "abcdefg"]


def sheet(fleet: Fleet, tops=None):
    tops = [1000.0] * len(fleet.rockets) if tops is None else tops
    circle = affected_ground(demo(), ground(), fleet, {(0, "planned"): np.full((100, 2), 700.0)}, None)
    return data_sheet(demo(), fleet, tops, ceiling_to_ask(demo(), fleet, tops), circle)


def whole() -> Fleet:
    return fleet_of_entries(demo(), ground())


def test_every_item_of_the_notice_is_there():
    found = sheet(whole())
    assert list(dict.fromkeys(item.clause for item in found.notice)) == NOTICE
    open_clauses = [item.clause[-2] for item in found.notice if item.answer is None]
    assert open_clauses == ["a", "b", "f", "g"]  # name, time of day, duration, whatever else: no document holds them
    answers = {item.asks: item.answer for item in found.notice}
    assert answers["date of the activity"] == "2027-05-15"
    assert answers["radius of the affected ground, in nautical miles"].endswith("NM")
    assert "3,700 ft above the field" in answers["highest affected altitude"]  # 1,000 m and a tenth: 3,609 ft


def test_every_class_2_item_is_there_for_each_type():
    found = sheet(whole())
    assert found.needed and [each.name for each in found.types] == [f"class {letter} motors" for letter in "IJL"]
    for each in found.types:
        assert list(dict.fromkeys(item.clause for item in each.items)) == CLASS_2
        answers = {item.clause[-2]: item.answer for item in each.items if item.answer}
        assert answers["1"] == "1" and "46°54" in answers["6"] and "310 m (1,017 ft)" in answers["6"]
        assert "rail" in answers["3"] and "parachute" in answers["4"] and "3,300 ft" in answers["5"]
        assert [item.clause for item in each.items if item.answer is None] == [CLASS_2[1], CLASS_2[6]]
        assert all(item.basis == "to be filled in by hand" for item in each.items if item.answer is None)


def test_class_3_has_every_further_item():
    fleet = read_fleet_csv("class,count\nO,1", demo(), "large", ground())
    rocket = replace(fleet.rockets[0], entry=fleet.rockets[0].entry.model_copy(update={"motor_count": 2}))
    (kind,) = sheet(replace(fleet, rockets=(rocket,))).types
    assert kind.faa_class == 3  # two of them are over 40,960 N s
    assert list(dict.fromkeys(item.clause for item in kind.items)) == [*CLASS_2, *CLASS_3]
    impact = next(item for item in kind.items if item.clause == "14 CFR 101.29(b)(7)")
    assert "98.9 of 100" in impact.answer


def test_small_rockets_need_no_notice():
    found = sheet(few())
    assert found.needed is False and not found.types and "Class 1" in found.needed_words


def test_a_height_that_is_not_known_stands_open():
    tops = [None] * len(whole().rockets)
    found = sheet(whole(), tops)
    heights = [item for each in found.types for item in each.items if item.clause == CLASS_2[4]]
    assert heights and all(item.answer is None for item in heights)
    assert found.open_items == sum(item.answer is None for item in found.notice) + sum(
        item.answer is None for each in found.types for item in each.items
    )


def test_black_powder_alone_is_known_by_its_parts():
    text = "class,count,motor,mass_kg\nC,1,lantern-c7,1.6"
    (kind,) = sheet(read_fleet_csv(text, demo(), "heavy", ground())).types
    fuel = next(item for item in kind.items if item.asks == "fuel and oxidizer")
    assert kind.faa_class == 2 and "potassium nitrate" in fuel.answer  # over 1,500 g: Class 2
