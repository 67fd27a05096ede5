"""Models read once: never an old one, never one of a change that was taken back, never more than so many."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import pytest

from service.models.conditions import Conditions
from service.models.day import LaunchDay
from service.store import Conflict, open_store, reading
from service.store.reading import Readings


def test_what_is_read_is_what_stands(store, small):
    day_id = store.import_day(small, "x")
    first = store.day_document(day_id)
    assert first == small and store.day_document(day_id) is first
    warm = small.conditions.model_copy(update={"temperature_c": 25.0})
    store.weather.enter(day_id, warm, "x", based_on=1)
    assert store.day_document(day_id) == small.model_copy(update={"conditions": warm})
    store.weather.enter(day_id, small.conditions, "x", based_on=2)
    assert store.day_document(day_id) == small, "the first weather again, by another revision"


def test_a_change_that_was_taken_back_leaves_nothing(store, small):
    day_id = store.import_day(small, "x")
    with pytest.raises(ZeroDivisionError), store._database.write("x") as change:
        from service.store import parts, versions

        colder = small.conditions.model_copy(update={"temperature_c": -5.0})
        versions.save(change, day_id, "conditions", "", colder, based_on=1, current=1)
        change.connection.exec_driver_sql("UPDATE launch_day SET conditions_revision = 2")
        assert parts.document(change.connection, day_id).conditions == colder
        _ = 1 / 0
    warm = small.conditions.model_copy(update={"temperature_c": 25.0})
    store.weather.enter(day_id, warm, "x", based_on=1)
    assert store.day_document(day_id).conditions == warm


def test_two_databases_do_not_get_into_each_others_way(tmp_path, small):
    other = small.model_copy(update={"name": "Another"})
    with open_store(tmp_path / "a.db") as one, open_store(tmp_path / "b.db") as two:
        ids = one.import_day(small, "x", day_id="same"), two.import_day(other, "x", day_id="same")
        assert (one.day_document(ids[0]), two.day_document(ids[1])) == (small, other)


def test_readers_see_one_moment_each_while_others_write(store, small):
    """Temperature and source are written together, forty times, while four threads read: they always fit."""
    day_id = store.import_day(small, "x")

    def written(number: int) -> Conditions:
        return small.conditions.model_copy(update={"temperature_c": float(number), "source": f"mast {number}"})

    store.weather.enter(day_id, written(0), "x", based_on=1)

    def write(which: int) -> None:
        for number in range(which, 40, 2):
            while True:
                try:
                    based_on = store.weather.current(day_id).revision
                    store.weather.enter(day_id, written(number), f"writer-{which}", based_on=based_on)
                    break
                except Conflict:
                    continue

    def look(_: int) -> list[str]:
        wrong, last = [], 0
        for _ in range(60):
            seen = store.day_document(day_id).conditions
            kept = store.weather.current(day_id)
            if seen.source != f"mast {seen.temperature_c:.0f}" or kept.revision < last:
                wrong.append(f"{seen.source}, {seen.temperature_c}, {kept.revision} after {last}")
            last = kept.revision
        return wrong

    with ThreadPoolExecutor(6) as pool:
        writing = [pool.submit(write, which) for which in (0, 1)]
        assert [each for found in pool.map(look, range(4)) for each in found] == []
        [each.result() for each in writing]
    assert store.day_document(day_id).conditions == store.weather.current(day_id).document


def test_no_more_than_so_many_and_so_much():
    kept = Readings(most=3, characters=10)
    made: list[str] = []

    def get(key: str, length: int) -> str:
        return kept.get(key, length, lambda: made.append(key) or key.upper())

    assert [get(each, 2) for each in "abcab"] == list("ABCAB") and made == list("abc")
    get("d", 2)  # c was not asked for since: it goes
    get("a", 2)
    assert made == list("abcd") and len(kept) == 3
    get("c", 2)
    assert made == list("abcdc")
    get("long", 9)
    assert len(kept) == 1, "nine characters leave room for one more only"
    get("too long", 11)
    assert len(kept) == 1
    kept.clear()
    assert len(kept) == 0 and get("a", 2) == "A"


def test_erasing_forgets_what_was_read(store, small):
    day_id = store.import_day(small, "x")
    store.day_document(day_id)
    assert len(reading.parts_read) and len(reading.days_read)
    store.entries.erase(day_id, "e-07", "x", based_on=1)
    assert len(reading.parts_read) == 0 and len(reading.days_read) == 0
    assert store.day_document(day_id).entry_by_id("e-07").flyer.name == "erased"
    assert isinstance(store.day_document(day_id), LaunchDay)
