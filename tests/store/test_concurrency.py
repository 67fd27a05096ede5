"""Many at once: nothing lost, nothing below zero, one chain; and a process that dies in the middle."""

from __future__ import annotations

import json
import subprocess
import sys
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
import sqlalchemy as sa

from service.store import Conflict, OutOfStock, Store, Unavailable, open_store, tables
from service.store.database import Database, database_url

ROOT = Path(__file__).resolve().parents[2]
CLIENTS = 50


def at_once(count: int, work: Callable[[int], object]) -> list[object]:
    """Let `count` threads start their work at the same moment."""
    start = threading.Barrier(count)

    def one(index: int) -> object:
        start.wait(30)
        return work(index)

    with ThreadPoolExecutor(count) as pool:
        return list(pool.map(one, range(count)))


def offered(store: Store, demo, stock: int) -> tuple[str, object]:
    """A day without entries whose first entry's motor is there `stock` times; and that entry."""
    entry = demo.entries[0].model_copy(update={"attestations": {}, "motor_count": 1})
    motors = tuple(each.model_copy(update={"stock": stock}) if each.id == entry.motor else each for each in demo.motors)
    return store.import_day(demo.model_copy(update={"entries": (), "motors": motors}), "organiser-1"), entry


def test_the_last_motors_go_to_exactly_as_many(store, demo):
    day_id, entry = offered(store, demo, stock=20)

    def register(index: int) -> str | None:
        try:
            return store.entries.add(day_id, entry, f"phone-{index}").record.id
        except OutOfStock as refused:
            assert refused.left == 0
            return None

    got = [each for each in at_once(CLIENTS, register) if each is not None]
    assert len(got) == len(set(got)) == 20
    offer = store.motors.get(day_id, entry.motor)
    assert (offer.reserved, offer.left) == (20, 0)
    assert {record.id for record in store.entries.all(day_id)} == set(got)
    assert len(store.day_document(day_id).entries) == 20
    assert store.verify_chain().whole


def test_no_change_of_the_stock_is_lost(store, demo):
    """Read, take one away, write; told of a conflict, do it again. 50 clients take 50 away."""
    day_id, entry = offered(store, demo, stock=100)

    def take_one(index: int) -> int:
        for told in range(1000):
            offer = store.motors.get(day_id, entry.motor)
            fewer = offer.motor.model_copy(update={"stock": offer.motor.stock - 1})
            try:
                store.motors.save(day_id, [fewer], f"desk-{index}", based_on={entry.motor: offer.revision})
                return told
            except Conflict as conflict:
                assert conflict.current > conflict.based_on
        raise AssertionError("never got through")

    told = at_once(CLIENTS, take_one)
    assert sum(told) > 0, "nobody ever met anybody: this shows nothing"
    assert store.motors.get(day_id, entry.motor).motor.stock == 100 - CLIENTS
    stocks = [version.document.stock for version in store.motors.history(day_id, entry.motor)]
    assert stocks == list(range(100, 100 - CLIENTS - 1, -1))
    assert store.verify_chain().whole


def test_a_counter_without_revisions_counts_every_client(place):
    """A plain read-modify-write inside one transaction, on a table of its own: what loses updates by default."""
    database = Database(database_url(place))
    with database.migrating() as connection:
        connection.execute(sa.text("CREATE TABLE counter (n INTEGER)"))
        connection.execute(sa.text("INSERT INTO counter VALUES (0)"))

    def count(_: int) -> None:
        for _ in range(4):
            with database.write("client") as change:
                n = change.connection.execute(sa.text("SELECT n FROM counter")).scalar_one()
                change.connection.execute(sa.text("UPDATE counter SET n = :n"), {"n": n + 1})

    at_once(CLIENTS, count)
    with database.read() as connection:
        counted = connection.execute(sa.text("SELECT n FROM counter")).scalar_one()
    with database.migrating() as connection:
        connection.execute(sa.text("DROP TABLE counter"))
    database.close()
    assert counted == 4 * CLIENTS


def test_processes_share_a_database(store, place, demo, tmp_path):
    day_id, entry = offered(store, demo, stock=25)
    template = tmp_path / "entry.json"
    template.write_text(entry.model_dump_json(), encoding="utf-8")
    command = [sys.executable, "-m", "tests.store.clients", "register", place, day_id, str(template), "15"]
    running = [
        subprocess.Popen([*command, f"phone-{index}"], cwd=ROOT, stdout=subprocess.PIPE, text=True)
        for index in range(3)
    ]
    taken = [json.loads(each.communicate(timeout=120)[0]) for each in running]
    assert [each.returncode for each in running] == [0, 0, 0]
    ids = [each for client in taken for each in client]
    assert len(ids) == len(set(ids)) == 25
    assert store.motors.get(day_id, entry.motor).left == 0
    assert store.verify_chain().whole


def test_what_was_told_as_kept_is_there_after_a_kill(store, place, demo, tmp_path):
    day_id, entry = offered(store, demo, stock=5)
    template = tmp_path / "entry.json"
    template.write_text(entry.model_dump_json(), encoding="utf-8")
    command = [sys.executable, "-m", "tests.store.clients", "endless", place, day_id, str(template)]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True) as running:
        assert running.stdout is not None
        told = [running.stdout.readline().strip() for _ in range(20)]
        running.kill()
        told += running.stdout.read().split("\n")[:-1]
    kept = [record.id for record in store.entries.all(day_id)]
    assert len(told) >= 20 and set(told) <= set(kept)
    assert len(kept) - len(told) <= 1, "at most the one that was kept and not told"
    report = store.verify_chain()
    assert report.whole, report.broken
    assert len(store.day_document(day_id).entries) == len(kept)


def test_a_reader_sees_one_moment_and_keeps_no_writer_waiting(store, demo):
    day_id = store.import_day(demo.model_copy(update={"entries": ()}), "organiser-1")
    revision = sa.select(tables.launch_day.c.revision)
    header = store.days.header(day_id).document.model_copy(update={"name": "Changed meanwhile"})
    with store._database.read() as reader:
        assert reader.execute(revision).scalar_one() == 1
        assert store.days.update(day_id, header, "organiser-1", based_on=1).revision == 2
        assert reader.execute(revision).scalar_one() == 1
    with store._database.read() as reader:
        assert reader.execute(revision).scalar_one() == 2


@pytest.mark.parametrize("name", ["missing/day.db", "."])
def test_a_place_that_cannot_be_written_is_said(tmp_path, name):
    with pytest.raises(Unavailable, match="expected a file"):
        open_store(tmp_path / name)
