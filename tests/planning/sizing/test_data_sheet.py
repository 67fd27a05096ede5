"""The data sheet: every item of the regulation, answered from the document or standing open.

Items: 14 CFR 101.27(a) to (g) and 101.29(a)(1) to (7), (b)(1) to (10), as read in copies of 2019 to 2026.
"""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np

from service.models.ceiling import Ceiling
from service.planning.sizing.affected import affected_ground
from service.planning.sizing.ceiling import ceiling_to_ask
from service.planning.sizing.data_sheet import NO_FLIGHTS, data_sheet
from service.planning.sizing.fleet import Fleet, fleet_of_entries
from service.planning.sizing.fleet_csv import read_fleet_csv
from service.planning.sizing.sheet_answers import Flown, stability_words
from tests.planning.advise.few_flights import demo
from tests.planning.sizing.seasons import few, ground
from tests.planning.sizing.test_whose_class import calm

CLASS_2 = [f"14 CFR 101.29(a)({number})" for number in range(1, 8)]
CLASS_3 = [f"14 CFR 101.29(b)({number})" for number in range(2, 11)]
NOTICE = [f"14 CFR 101.27({letter})" for letter in "abcdefg"]


def sheet(fleet: Fleet, tops=None, day=None, flown=NO_FLIGHTS):
    day = day or demo()
    tops = [1000.0] * len(fleet.rockets) if tops is None else tops
    circle = affected_ground(day, ground(), fleet, {(0, "planned"): np.full((100, 2), 700.0)}, None)
    return data_sheet(day, fleet, tops, ceiling_to_ask(day, fleet, tops), circle, flown)


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
        assert [item.clause for item in each.items if item.answer is None] == [CLASS_2[1]]
        assert "Surface wind: at most 7.5 m/s" in answers["7"] and "north gate is shut" in answers["7"]
        assert all(item.basis == "to be filled in by hand" for item in each.items if item.answer is None)


def large() -> Fleet:
    """Two O motors: over 40,960 N s, which is Class 3."""
    fleet = read_fleet_csv("class,count\nO,1", demo(), "large", ground())
    rocket = replace(fleet.rockets[0], entry=fleet.rockets[0].entry.model_copy(update={"motor_count": 2}))
    return replace(fleet, rockets=(rocket,))


def test_class_3_has_every_further_item():
    (kind,) = sheet(large()).types
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


def test_time_and_duration_are_those_of_the_ceilings_windows_else_open_with_what_may_help():
    found = {item.asks: item for item in sheet(whole()).notice}
    begins, lasts = found["time it begins"], found["duration of the activity"]
    assert begins.answer is None and lasts.answer is None
    assert "the forecast entered covers 09:00 to 17:00" in begins.basis
    windows = tuple(
        Ceiling.model_validate({"height_m": 1500.0, "datum": "agl", "from": f"2027-05-15T{opens}:00-05:00",
                                "to": f"2027-05-15T{shuts}:00-05:00"})
        for opens, shuts in (("10:00", "12:00"), ("12:00", "16:30"))
    )  # fmt: skip
    day = demo().model_copy(update={"ceiling": windows})
    answers = {item.asks: item.answer for item in sheet(whole(), day=day).notice}
    assert answers["time it begins"] == "10:00 (America/Chicago), 15:00 UTC"  # UTC-5 in May
    assert answers["duration of the activity"] == "6 h 30 min, until 16:30 (America/Chicago), 21:30 UTC"


def test_what_was_flown_answers_range_and_events_and_the_rest_of_class_3_stays_open():
    rocket = large().rockets[0]
    landings = ((rocket, "planned", np.array([[30.0, 40.0]])), (rocket, "no_deployment", np.array([[0.0, 1852.0]])))
    (kind,) = sheet(Fleet((rocket,), "one"), flown=Flown(landings, calm())).types
    items = {item.clause[-6:]: item for item in kind.items if "(b)" in item.clause}
    assert items["(b)(2)"].answer.startswith("1,852 m (1.0 NM) from the pad: the farthest of 2 landings")  # a mile
    assert "leaves the guide" in items["(b)(6)"].answer and "apogee at" in items["(b)(6)"].answer
    assert "surface wind" in items["(b)(8)"].answer.lower() and "not known yet" not in items["(b)(8)"].answer
    left = [clause for clause, item in items.items() if item.answer is None]
    assert left == ["(b)(3)", "(b)(4)", "(b)(5)", "(b)(9)", "b)(10)"]  # a drawn margin shows nothing
    (none,) = sheet(large()).types
    assert all(each.answer is None for each in none.items if each.clause[-6:] in ("(b)(2)", "(b)(6)"))


def test_the_least_margin_of_a_known_rocket_is_told():
    rocket = next(each for each in whole().rockets if each.name.startswith("e-18"))
    said = stability_words(demo(), [rocket], Flown((), calm()))
    assert re.match(r"static margin at least \d\.\d calibers .* \(e-18", said)
