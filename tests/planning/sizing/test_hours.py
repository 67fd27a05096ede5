"""Flyable hours, counted again from the same CSV with nothing of ours: csv, datetime, and the astral sun library."""

from __future__ import annotations

import csv
from collections import Counter
from datetime import datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from astral import Observer
from astral.sun import elevation

from service.models.rule import Rule
from service.planning.sizing.hours import USUAL_LIMIT_MPS, flyable_hours, hour_kinds, wind_limit
from service.planning.sizing.season import light_of
from service.planning.sizing.season_csv import read_winds_csv
from tests.planning.advise.few_flights import demo
from tests.planning.sizing.seasons import DEMO_WINDS, demo_winds, few

LIMIT_MPS = 7.5  # local-wind of the demo's document, below the 20 mph of the codes
NEAR_MIN = timedelta(minutes=3)  # two libraries may differ by this at sunrise and sunset


@cache
def rows() -> dict[datetime, dict[str, str]]:
    with DEMO_WINDS.open(encoding="utf-8", newline="") as file:
        return {datetime.fromisoformat(row["time"]): row for row in csv.DictReader(file)}


@cache
def by_hand() -> tuple[Counter, set[datetime]]:
    """Kind of hour by (month, hour), and the hours too near sunrise or sunset to tell."""
    lon_deg, lat_deg = demo().field.pads[0].position
    observer, zone = Observer(latitude=lat_deg, longitude=lon_deg), ZoneInfo(demo().timezone)
    counts: Counter = Counter()
    near: set[datetime] = set()
    when, last = min(rows()), max(rows())
    while when <= last:
        ends = [elevation(observer, each, with_refraction=False) for each in (when, when + timedelta(hours=1))]
        if any(abs(each + 0.833) < 0.6 for each in ends):  # 0.833 degrees: refraction and half the sun's width
            near.add(when)
        lit = all(each >= -0.833 for each in ends)
        row = rows().get(when)
        known = row is not None and all(row[name] for name in ("wind_speed_mps", "wind_speed_600m_mps"))
        kind = "dark" if not lit else "unknown" if not known else "flyable"
        if kind == "flyable" and float(row["wind_speed_mps"]) > LIMIT_MPS:
            kind = "windy"
        local = when.astimezone(zone)
        counts[local.month, local.hour, kind] += when not in near
        when += timedelta(hours=1)
    return counts, near


@cache
def counted():
    light = light_of(demo_winds(), demo())
    kinds = hour_kinds(demo_winds(), light, LIMIT_MPS)
    nothing = {letter: np.zeros(light.light.size) for letter in few().letters}
    return light, kinds, flyable_hours(few(), light, kinds, wind_limit(demo(), few()), nothing, {}, 0.01)


@pytest.mark.parametrize("kind", ["flyable", "windy", "unknown", "dark"])
def test_hours_by_month_and_hour_agree_with_a_count_by_hand(kind):
    counts, near = by_hand()
    light, kinds, _ = counted()
    marks = getattr(kinds, kind)
    mine: Counter = Counter()
    for start, month, hour, mark in zip(demo_winds().starts, light.month, light.hour, marks, strict=True):
        mine[int(month), int(hour)] += bool(mark) and start not in near
    theirs = {place: counts[*place, kind] for place in mine}
    assert dict(mine) == theirs
    assert len(near) < 0.03 * len(demo_winds().starts)


def test_the_cells_hold_the_same_hours():
    light, kinds, found = counted()
    assert sum(cell.hours for cell in found.cells) == found.hours == len(demo_winds().starts)
    for cell in found.cells:
        here = (light.month == cell.month) & (light.hour == cell.hour)
        assert cell.flyable == int((kinds.flyable & here).sum())
        assert cell.flyable + cell.windy + cell.unknown + cell.dark == cell.hours
        assert cell.share == pytest.approx(cell.flyable / cell.hours)
    assert found.flyable + found.windy + found.unknown + found.dark == found.hours
    assert found.share == pytest.approx(found.flyable / (found.hours - found.dark))


def test_a_missing_hour_is_unknown_and_never_flyable():
    text = "time,wind_speed_mps,wind_from_deg\n" + "\n".join(
        f"2026-06-10T{hour:02}:00:00-05:00,{speed},200" for hour, speed in ((9, "3"), (12, ""), (14, "3"))
    )
    winds = read_winds_csv(text)
    kinds = hour_kinds(winds, light_of(winds, demo()), LIMIT_MPS)
    assert kinds.flyable.tolist() == [True, False, False, False, False, True]
    assert kinds.unknown.tolist() == [False, True, True, True, True, False]


def test_a_wind_at_the_limit_may_fly_and_one_above_may_not():
    text = "time,wind_speed_mps,wind_from_deg\n2026-06-10T12:00:00-05:00,7.5,200\n2026-06-10T13:00:00-05:00,7.6,200"
    winds = read_winds_csv(text)
    assert hour_kinds(winds, light_of(winds, demo()), LIMIT_MPS).flyable.tolist() == [True, False]


def test_the_limit_is_that_of_the_strictest_rule():
    assert wind_limit(demo(), few()).rule == "local-wind" and wind_limit(demo(), few()).speed_mps == LIMIT_MPS
    bare = demo().model_copy(update={"local_rules": ()})
    found = wind_limit(bare, few())
    assert found.speed_mps == pytest.approx(20 * 1609.344 / 3600)  # 20 mph, NAR model rocket code item 9
    assert found.rule == "us-mr-wind"
    nothing = wind_limit(bare.model_copy(update={"codes": ("practice",)}), few())
    assert nothing.rule is None and nothing.speed_mps == USUAL_LIMIT_MPS and "No rule in force" in nothing.words


def test_a_limit_beyond_what_is_flown_is_cut():
    rule = Rule.model_validate(
        {"id": "local-gale", "protects": "kites", "kind": "measured", "quantity": "surface_wind_mps", "unit": "m/s",
         "at_most": 30.0, "weight": "club"}
    )  # fmt: skip
    day = demo().model_copy(update={"codes": ("practice",), "local_rules": (rule,)})
    found = wind_limit(day, few())
    assert found.speed_mps == 15.0 and "too windy" in found.words


def test_a_class_flies_in_those_hours_in_which_it_stays_inside():
    light, kinds, _ = counted()
    leaves = np.where(np.arange(light.light.size) % 2 == 0, 0.0101, 0.0099)
    shares = {letter: leaves for letter in few().letters}
    found = flyable_hours(few(), light, kinds, wind_limit(demo(), few()), shares, shares, 0.01)
    odd = int(kinds.flyable[1::2].sum())
    assert [each.hours for each in found.classes] == [odd] * 3
    assert found.classes[0].share_best == found.classes[0].share == pytest.approx(odd / (found.hours - found.dark))
    unknown = flyable_hours(few(), light, kinds, wind_limit(demo(), few()), {**shares, "A": None}, {}, 0.01)
    assert unknown.classes[0].share is None and all(cell.fleet_share is None for cell in unknown.cells)
