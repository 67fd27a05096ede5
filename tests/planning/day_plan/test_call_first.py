"""A plan under ceilings that wait for a call: which flights need it, when, and how they stand without and with it."""

from __future__ import annotations

from datetime import datetime
from functools import cache
from zoneinfo import ZoneInfo

import pytest

from reports.scene import walk
from service.models.ceiling import Ceiling
from service.planning.assess import assess_entry
from service.planning.call_first import MARK, as_called, call_words, waiting
from service.planning.day_plan.hours import hours_of
from service.planning.day_plan.looks import Look
from service.planning.day_plan.order import Place
from service.planning.day_plan.picture import day_hours
from service.planning.day_plan.plan import _flight, _left_out, _wish, plan_day
from service.planning.day_plan.text import plan_lines
from service.planning.pictures import NARROW, WIDE
from tests.planning.advise.few_flights import demo, ground
from tests.planning.day_plan.test_plan import at

ENTRIES = ("e-03", "e-12", "e-13")  # under 250 m; some 550 m; a certification that is missing
NEEDS = (
    "Needs a call to the tower first, for the ceiling of 1,500 m AGL from 11:30 until 12:00, "
    "and the lower ceiling cut around that window."
)


def ceilings(*told):
    return tuple(Ceiling.model_validate({"datum": "agl", **each}) for each in told)


LOW = {"height_m": 250.0}
HIGH = {"height_m": 1500.0, "from": at("11:30").isoformat(), "to": at("12:00").isoformat()}
CALL = {**HIGH, "condition": "a call to the tower."}


def day_under(*told):
    return demo().model_copy(update={"forecast": demo().forecast[1:3], "ceiling": ceilings(*told)})


@cache
def planned(*names):
    kept = {"low": LOW, "call": CALL, "cut": {**LOW, "to": HIGH["from"]}, "then": {**LOW, "from": HIGH["to"]}}
    day = day_under(*(kept[each] for each in names))
    return plan_day(day, entries=ENTRIES, ground=ground(), most_samples=128, threads=1)


@pytest.mark.parametrize(("names", "without"), [(("low", "call"), "stop"), (("cut", "call", "then"), "unknown")])
def test_a_flight_that_only_the_call_permits_is_placed_in_its_window_and_marked(names, without):
    """Harrier rises to some 550 m: over 250 m, and under 1,500 m from 11:30 until 12:00 once the tower was called."""
    plan = planned(*names)
    placed = {each.entry: each for each in plan.order}
    flight = placed["e-12"]
    assert at("11:30") <= datetime.fromisoformat(flight.starts) < at("12:00")
    assert (flight.standing, flight.called) == (without, "caution")
    assert flight.call_first.startswith("Needs a call to the tower first, for the ceiling of 1,500 m AGL from 11:30")
    assert flight.call_first == NEEDS or without == "unknown"
    other = placed["e-03"]
    assert (other.call_first, other.called) == ("", None) and other.standing in ("clear", "caution")
    assert "1 only after a call" in plan.words and {each.entry for each in plan.left_out} == {"e-13"}


def test_its_standings_are_those_of_whole_assessments_of_the_day_as_entered_and_as_called():
    flight = next(each for each in planned("low", "call").order if each.entry == "e-12")
    whole = {"ground": ground(), "most_samples": 128, "threads": 1}
    for told, stands in (((LOW, CALL), flight.standing), ((HIGH,), flight.called)):
        day = day_under(*told)
        conditions = hours_of(day_under(LOW, CALL))[flight.hour].conditions
        found = assess_entry(day, day.entry_by_id("e-12"), conditions, **whole)
        assert found.standing == stands
        assert told == (HIGH,) or found.id == flight.assessment


def test_hours_say_it_too_and_only_those_of_the_window():
    plan = planned("low", "call")
    row = next(each for each in plan.rows if each.entry == "e-12")
    window = [number for number, hour in enumerate(plan.hours) if hour.starts == at("11:30").isoformat()]
    assert len(window) == 1
    assert [cell.called is not None for cell in row.cells] == [number in window for number in range(len(row.cells))]
    assert all(cell.standing == "stop" for cell in row.cells)
    missing = next(each for each in plan.rows if each.entry == "e-13")
    assert all(cell.called is None for cell in missing.cells), "no call mends a certification"


def test_the_lines_mark_it_and_say_under_the_table_what_is_needed():
    text = "\n".join(plan_lines(planned("low", "call")))
    row = next(line for line in text.splitlines() if " e-12 " in line and "B1" in line)
    assert f"stop {MARK}" in row
    assert f"{MARK}: e-12 11:30 (at stop, then at caution). {NEEDS}" in " ".join(text.split())
    assert text.count(MARK) == 2


def test_the_hours_mark_it_in_lines_and_in_the_picture_and_have_a_key_only_then():
    plan, none = planned("low", "call"), planned("low")
    cells = [cell for row in plan.rows for cell in row.cells]
    for width in (WIDE[0], NARROW[0]):
        scene = day_hours(plan, width)
        corners = [each for each in walk(scene.shapes) if each.name == "call"]
        assert len(corners) == 1 + sum(cell.called is not None for cell in cells) > 1
        assert "stop, caution after a call, flies at 11:30" in scene.description
        assert not [each for each in walk(day_hours(none, width).shapes) if each.name == "call"]
    rows = {each.split()[0]: each for each in plan_lines(plan) if each.startswith("e-")}
    assert rows["e-12"].count("STOP^") == 1 and "^" not in rows["e-03"] + rows["e-13"]
    assert any(each.startswith("^ ") and "only after a call" in each for each in plan_lines(plan))
    assert not any("^" in each for each in plan_lines(none))


def test_hours_that_take_a_call_are_marked_where_none_of_them_has_room():
    """Two hours that it could fly in: one after a call, one as the ceilings are."""
    day = day_under(LOW, CALL)
    entry, hours = day.entries[0], hours_of(day)
    number = next(n for n, hour in enumerate(hours) if hour.start == at("11:30"))
    seen = {(entry.id, n): look("stop") for n in range(len(hours))}
    seen[entry.id, 0] = look("clear")
    seen[entry.id, number] = look("stop", day.ceilings[1], "caution")
    labels = [f"{hour.start:%H:%M}" for hour in hours]
    why = _left_out(day, entry, hours, labels, seen, no_room=True).why
    assert f"({labels[0]}, {labels[number]} {MARK})" in why and why.endswith(f"{MARK}: {NEEDS}")
    seen[entry.id, number] = look("stop")
    assert MARK not in _left_out(day, entry, hours, labels, seen, no_room=True).why


def test_lower_ceilings_are_cut_around_a_window_and_higher_ones_stay():
    day = day_under(LOW, CALL, {"height_m": 2000.0, "condition": "another"})
    (call, other) = waiting(day, at("11:40"))
    assert (call.height_m, other.height_m) == (1500.0, 2000.0)
    assert [each.height_m for each in waiting(day, at("10:00"))] == [2000.0]
    assert [each.height_m for each in waiting(day, at("10:00"), later=True)] == [1500.0, 2000.0]
    assert [each.height_m for each in waiting(day, at("12:00"), later=True)] == [2000.0], "it is over"
    done = as_called(day, call, at("11:40"))

    def in_force_m(moment):
        return [each.height_m for each in done.ceilings_at(at(moment)) if each.condition is None]

    assert [in_force_m(each) for each in ("11:29", "11:30", "11:59", "12:00")] == [[250.0], [1500.0], [1500.0], [250.0]]
    assert waiting(day_under({"height_m": 1600.0}, CALL), at("11:40")) == (), "it permits no more"
    early = as_called(day, call, at("10:00"))
    assert [each.height_m for each in early.ceilings_at(at("10:00")) if each.condition is None] == [1500.0]
    assert call_words(day, call, at("11:40")) == NEEDS
    alone = day_under(CALL)
    assert call_words(alone, alone.ceilings[0], at("11:40")).endswith("until 12:00.")


def lasts(height_m, opens, closes, **more):
    return {"height_m": height_m, "from": at(opens).isoformat(), "to": at(closes).isoformat(), **more}


WINDOW = lasts(2000.0, "11:00", "13:00", condition="a call")
CUT = (
    ((lasts(600.0, "10:00", "17:00"),), "09:00", None, "and the lower ceiling cut around that window."),
    ((lasts(600.0, "09:00", "11:00"),), "09:00", None, "until 13:00."),  # over before the window opens
    ((lasts(600.0, "13:00", "17:00"),), "09:00", None, "until 13:00."),  # begins when it is closed
    ((lasts(600.0, "09:00", "11:30"),), "11:30", None, "until 13:00."),  # of its window that part is over
    ((lasts(600.0, "12:00", "17:00"),), "11:00", "12:00", "until 13:00."),  # the flight's hour is over by then
    ((lasts(600.0, "12:00", "17:00"),), "11:00", "12:30", "and the lower ceiling cut around that window."),
    ((lasts(2000.0, "10:00", "17:00"), LOW | {"condition": "a flag"}), "09:00", None, "until 13:00."),
    ((LOW, lasts(600.0, "12:00", "17:00")), "09:00", None, "and the lower ceilings cut around that window."),
)  # fmt: skip


@pytest.mark.parametrize(("others", "since", "until", "ends"), CUT)
def test_a_lower_ceiling_has_to_be_cut_where_it_binds_while_the_window_is_open(others, since, until, ends):
    """Of ceilings that hold at once the lowest binds: the one entered for later too, if it meets the window."""
    day = day_under(WINDOW, *others)
    said = call_words(day, day.ceilings[0], at(since), at(until) if until else None)
    assert said.startswith("Needs a call first, for the ceiling of 2,000 m AGL from 11:00 until 13:00")
    assert said.endswith(ends)


def look(standing, call=None, called=None):
    return Look(standing, "", (), (), 100.0, 110.0, 30.0, 64, "", call, called)


LOWER, HIGHER = ceilings({"height_m": 600.0, "condition": "a call"}, {"height_m": 2000.0, "condition": "another"})
IN_MORE_WIND = (
    (look("clear"), look("stop", HIGHER, "clear"), "stop"),  # nobody is told to call, so nobody did
    (look("clear"), look("caution"), "caution"),
    (look("stop", LOWER, "clear"), look("stop", HIGHER, "clear"), "stop"),  # the call made is not the one it takes
    (look("stop", LOWER, "clear"), look("stop", LOWER, "caution"), "caution"),
    (look("stop", HIGHER, "clear"), look("stop", LOWER, "caution"), "caution"),  # it permits more than it takes
    (look("stop", LOWER, "clear"), look("clear"), "clear"),
    (look("stop", LOWER, "clear"), look("stop"), "stop"),
)


@pytest.mark.parametrize(("seen", "then", "stands"), IN_MORE_WIND)
def test_more_wind_is_met_with_the_call_that_the_plan_asks_for_and_with_no_other(seen, then, stands):
    """All that a plan says of the stronger wind is of the flight as it has it: with that call, or with none."""
    day = day_under(LOW, CALL)
    entry, hours = day.entries[0], hours_of(day)
    key = (entry.id, 0)
    worse = look("stop")
    grid = {**{(entry.id, number): worse for number in range(len(hours))}, key: seen}
    more = {**{(entry.id, number): worse for number in range(len(hours))}, key: then}
    place = Place(entry.id, entry.pad, entry.flyer.name, hours[0].start, 0)
    flight = _flight(day, 1, place, hours, grid, more, ZoneInfo(day.timezone))
    holds = stands in ("clear", "caution")
    said = "clear" if stands == "clear" else f"at {stands}"
    assert (flight.stronger, flight.holds_in_stronger) == (stands, holds)
    assert flight.why.endswith(f"; {said} in the stronger wind")
    wish = _wish(day, entry, hours, grid, more)
    assert (wish.steady, wish.hours[0][-1]) == (int(holds), int(stands != "clear"))
