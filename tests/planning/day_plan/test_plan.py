"""A day planned: hours cut at windows, more wind, standings as an assessment gives them, order, cancel."""

from __future__ import annotations

import threading
from datetime import datetime, timedelta
from functools import cache

import pytest

from reports.scene import walk
from service.models.ceiling import Ceiling
from service.planning.advise.errors import AdviceStopped
from service.planning.assess import assess_entry
from service.planning.day_plan.errors import NothingToPlan
from service.planning.day_plan.hours import hours_of, stronger
from service.planning.day_plan.looks import Look
from service.planning.day_plan.picture import day_hours
from service.planning.day_plan.plan import _wish, plan_day
from service.planning.day_plan.text import plan_lines
from service.planning.day_plan.wording import stronger_words
from tests.planning.advise.few_flights import demo, ground

QUICK = {"entries": ("e-03", "e-04", "e-12", "e-13"), "most_samples": 128, "threads": 1}


def at(text):
    return datetime.fromisoformat(f"2027-05-15T{text}:00-05:00")


@cache
def short_day():
    """Four hours of the demo's forecast; a high window from 11:30 to 12:00, 250 m else."""
    opens, closes = "2027-05-15T11:30:00-05:00", "2027-05-15T12:00:00-05:00"
    ceilings = tuple(
        Ceiling.model_validate({"datum": "agl", **each})
        for each in (
            {"height_m": 250.0, "to": opens},
            {"height_m": 1500.0, "from": opens, "to": closes},
            {"height_m": 250.0, "from": closes},
        )
    )
    return demo().model_copy(update={"forecast": demo().forecast[:4], "ceiling": ceilings})


@cache
def planned():
    return plan_day(short_day(), ground=ground(), **QUICK)


def test_hours_are_cut_where_a_window_opens_or_closes():
    found = hours_of(short_day())
    assert [each.start for each in found] == [at("09:00"), at("10:00"), at("11:00"), at("11:30"), at("12:00")]
    assert found[-1].end == at("13:00")
    open_m = [[c.height_m for c in short_day().ceilings_at(each.conditions.observed_at)] for each in found]
    assert open_m == [[250.0], [250.0], [250.0], [1500.0], [250.0]]


def test_a_forecast_line_speaks_for_three_hours_at_most():
    sparse = demo().model_copy(update={"forecast": (demo().forecast[0], demo().forecast[8])})
    assert [each.end - each.start for each in hours_of(sparse)] == [timedelta(hours=3)] * 2


def test_stronger_wind_adds_to_every_level_and_gust():
    before = demo().forecast[0]
    after = stronger(before, 2.0)
    for was, will in zip(before.wind, after.wind, strict=True):
        assert will.speed_mps == pytest.approx(was.speed_mps + 2.0) and will.from_deg == was.from_deg
        assert was.gust_mps is None or will.gust_mps == pytest.approx(was.gust_mps + 2.0)


def test_the_order_keeps_ceilings_pads_and_hours_and_says_who_is_left():
    plan = planned()
    placed = {each.entry: each for each in plan.order}
    # Harrier rises to about 550 m: only the window holds it; a certification that is missing no hour mends
    assert at("11:30") <= datetime.fromisoformat(placed["e-12"].starts) < at("12:00")
    assert {each.entry for each in plan.left_out} == {"e-13"} and "18 or older" in plan.left_out[0].why
    assert next(row for row in plan.rows if row.entry == "e-13").always
    same_pad = [datetime.fromisoformat(placed[each].starts) for each in ("e-03", "e-04")]
    assert abs(same_pad[0] - same_pad[1]) >= timedelta(minutes=plan.minutes_per_flight)
    for each in plan.order:
        hour = plan.hours[each.hour]
        assert hour.starts <= each.starts < hour.ends and each.standing in ("clear", "caution")


def test_the_chosen_hour_stands_as_a_whole_assessment_says():
    for each in planned().order:
        conditions = hours_of(short_day())[each.hour].conditions
        whole = assess_entry(
            short_day(), short_day().entry_by_id(each.entry), conditions, ground=ground(), most_samples=128, threads=1
        )
        assert (each.standing, each.assessment) == (whole.standing, whole.id)


def test_more_wind_is_flown_and_told():
    plan = planned()
    assert plan.shifts and "2 m/s stronger" in plan.stronger_words
    for shift in plan.shifts:
        row = next(each for each in plan.rows if each.entry == shift.entry)
        assert row.cells[shift.hour].stronger == shift.after != shift.before


def test_no_flight_in_the_dark():
    # sunset at 47 N in mid-May falls near 21:00 local time: 23:00 is night by any almanac
    night = demo().forecast[0].model_copy(update={"observed_at": at("23:00")})
    plan = plan_day(demo().model_copy(update={"forecast": (night,)}), ground=ground(), **QUICK)
    assert not plan.order and not plan.hours[0].daylight


def test_the_same_twice_whatever_the_threads_with_progress():
    told = []
    again = plan_day(
        short_day(), ground=ground(), progress=lambda *each: told.append(each), **{**QUICK, "threads": 2}
    )
    assert again == planned()
    assert told[-1][0] == told[-1][1] and [each[0] for each in told] == sorted(each[0] for each in told)


def test_called_off_and_refused():
    stop = threading.Event()
    with pytest.raises(AdviceStopped):
        plan_day(short_day(), ground=ground(), should_stop=stop, progress=lambda *each: stop.set(), **QUICK)
    with pytest.raises(NothingToPlan, match="no forecast"):
        plan_day(demo().model_copy(update={"forecast": ()}), ground=ground())
    with pytest.raises(NothingToPlan, match="rest"):
        plan_day(short_day(), ground=ground(), rest_min=float("nan"))
    with pytest.raises(KeyError):
        plan_day(short_day(), ground=ground(), entries=("nobody",))


def test_said_in_lines_and_drawn():
    text = "\n".join(plan_lines(planned()))
    assert all(each.entry in text for each in planned().rows) and planned().words in text
    assert "safe " not in text
    scene = day_hours(planned(), 360.0)
    assert all(each.label in scene.description for each in planned().order)
    rings = [each for each in walk(scene.shapes) if each.name == "standing-clear"]  # one shape each, one in the key
    cells = [cell for row in planned().rows for cell in row.cells]
    small = [cell for cell in cells if cell.stronger == "clear" != cell.standing]
    assert len(rings) == 1 + len(small) + sum(cell.standing == "clear" for cell in cells)


def test_what_few_flights_decide_is_not_called_too_near_to_call_as_well():
    for row in planned().rows:
        for cell in row.cells:
            assert cell.standing == "unknown" or "too near to call" not in cell.limits


def test_no_word_of_a_plan_approves_anything():
    text = "\n".join(plan_lines(planned()))
    assert "may fly" not in text and "can fly" not in text and "approve" not in text
    assert any(f"clear in {number} of 5 hours" in text for number in range(1, 5)) or "in every hour" in text


def look(standing, *rules):
    said = [f"{rule} is not clear." for rule in rules]
    return Look(standing, said[0] if said else "", tuple(said[1:]), rules, 100.0, 110.0, 30.0, 64, "")


def test_of_hours_that_stand_alike_the_one_with_the_fewest_findings_comes_first():
    day, hours = short_day(), hours_of(short_day())
    entry = day.entries[0]
    one = look("caution", "a")
    looks = [look("caution", "a", "b", "c"), one, look("stop", "a"), one, look("clear")]
    more = [one, look("stop", "a"), look("stop", "a"), one, look("stop", "a")]
    seen, then = ({(entry.id, number): each for number, each in enumerate(found)} for found in (looks, more))
    wish = _wish(day, entry, hours, seen, then)
    assert sorted(wish.hours, key=lambda number: (wish.hours[number], number)) == [4, 3, 1, 0]


def test_more_wind_is_counted_for_the_order_and_who_is_lost_is_named():
    first = planned().order[0]
    moves = [("clear", "clear"), ("clear", "caution"), ("clear", "caution"), ("caution", "stop")]
    order = [
        first.model_copy(
            update={"entry": f"e-{n}", "standing": was, "stronger": then, "holds_in_stronger": then != "stop"}
        )
        for n, (was, then) in enumerate(moves)
    ]
    said = stronger_words(order, [], 2.0)
    assert "of the order's 4" in said and "2 go from clear to caution" in said
    assert "1 goes from caution to stop (e-3)" in said
    assert "stands as before" in stronger_words(order[:1], [], 2.0)


def test_everything_that_is_not_clear_in_the_chosen_hour_is_told():
    for each in planned().order:
        conditions = hours_of(short_day())[each.hour].conditions
        whole = assess_entry(
            short_day(), short_day().entry_by_id(each.entry), conditions, ground=ground(), most_samples=128, threads=1
        )
        assert len([each.limits] * bool(each.limits)) + len(each.also) == sum(
            found.standing != "clear" for found in whole.findings
        )


def test_a_flyer_flies_in_hours_of_their_own_or_is_left_out_with_the_reason():
    def of(start, until):
        flyer = demo().entry_by_id("e-03").flyer.model_copy(update={"here_from": start, "here_until": until})
        entries = (short_day().entry_by_id("e-03").model_copy(update={"flyer": flyer}), *short_day().entries[3:])
        return plan_day(
            short_day().model_copy(update={"entries": entries}), ground=ground(), **{**QUICK, "entries": ("e-03",)}
        )

    placed = of(at("10:20"), at("11:00")).order[0]
    assert at("10:20") <= datetime.fromisoformat(placed.starts) < at("11:00")
    late = of(at("18:00"), None)
    assert not late.order and "the flyer's own hours" in late.left_out[0].why
