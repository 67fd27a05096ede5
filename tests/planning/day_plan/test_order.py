"""The order: hand-made wishes whose right answer can be counted out, and its rules at random."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np

from service.planning.day_plan.order import Pace, Stretch, Wish, order

NINE = datetime(2028, 7, 9, 9, 0, tzinfo=UTC)
HOUR = timedelta(hours=1)
STRETCHES = [Stretch(NINE + number * HOUR, NINE + (number + 1) * HOUR) for number in range(3)]


def minutes(value):
    return timedelta(minutes=value)


PACE = Pace(minutes(3), minutes(10), minutes(30))


def wish(entry, hours, pad="A", flyer=None, apogee_m=100.0, fits=lambda start: True):
    return Wish(entry, pad, flyer or entry, apogee_m, minutes(2), hours, len(hours), fits)


def test_the_narrow_window_is_kept_for_who_needs_it():
    any_hour = {0: (0,), 1: (0,), 2: (0,)}
    many = [wish(f"low-{number}", any_hour) for number in range(12)]
    placed, left = order([*many, wish("sensitive", {0: (0,)})], STRETCHES, PACE)
    assert not left and len(placed) == 13
    assert next(each.hour for each in placed if each.entry == "sensitive") == 0


def test_one_pad_holds_six_flights_an_hour():
    # 10 minutes a flight: at 0, 10, ... 50 minutes; a seventh finds no room
    placed, left = order([wish(f"n{number}", {1: (0,)}) for number in range(7)], STRETCHES, PACE)
    assert [each.start for each in placed] == [NINE + HOUR + minutes(10 * number) for number in range(6)]
    assert len(left) == 1


def test_a_better_rank_is_worth_waiting_for():
    placed, _ = order([wish("n", {0: (1,), 2: (0,)})], STRETCHES, PACE)
    assert placed[0].hour == 2


def test_a_window_that_opens_later_is_waited_for():
    opens = NINE + minutes(20)
    placed, left = order([wish("high", {0: (0,)}, fits=lambda start: start >= opens)], STRETCHES, PACE)
    assert placed[0].start == opens and not left
    assert order([wish("never", {0: (0,)}, fits=lambda start: False)], STRETCHES, PACE) == ([], ["never"])


def test_rules_hold_at_random_and_the_same_twice():
    for seed in range(20):
        rng = np.random.default_rng(seed)
        wishes = [
            wish(
                f"n{number:02}",
                {int(hour): (int(rng.integers(0, 2)),) for hour in rng.choice(3, rng.integers(1, 4), replace=False)},
                pad=str(rng.choice(["A", "B"])), flyer=str(rng.choice(["x", "y", "z", f"own {number}"])),
                apogee_m=float(rng.uniform(50.0, 900.0)),
            )
            for number in range(20)
        ]  # fmt: skip
        placed, left = order(wishes, STRETCHES, PACE)
        assert (placed, left) == order(wishes, STRETCHES, PACE)
        assert sorted([each.entry for each in placed] + left) == [each.entry for each in wishes]
        by_id = {each.entry: each for each in wishes}
        for i, one in enumerate(placed):
            stretch = STRETCHES[one.hour]
            assert one.hour in by_id[one.entry].hours
            assert stretch.start <= one.start and one.start + minutes(2) <= stretch.end
            for other in placed[i + 1 :]:
                apart = abs(other.start - one.start)
                assert apart >= minutes(3)
                assert other.pad != one.pad or apart >= minutes(10)
                assert other.flyer != one.flyer or apart >= minutes(30)
