"""Erasing a flyer's personal data: no name is left, everything else is, and the trail still proves it."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from service.store import Conflict, NotFound, StoreError, Verdict, open_store, upgrade
from service.store.database import Database, database_url
from service.store.flights import Flight
from service.store.header import DayHeader, Forecast
from service.store.migrate import upgrade_database
from service.store.versions import subject
from tests.store.samples import assessment

NAME, ADULT, MENDED = "Quillon Varga", "Odalys Brandt", "Quillon V."


@pytest.fixture
def day_id(store, small) -> str:
    """A minor's entry with two revisions that name people, an assessment, a ruling, a flight and a sheet."""
    day_id = store.import_day(small, "organiser-1", day_id="heron")
    for revision, name in ((1, NAME), (2, MENDED)):
        entry = store.entries.get(day_id, "e-07").entry
        flyer = entry.flyer.model_copy(update={"name": name, "adult": False, "responsible_adult": ADULT})
        store.entries.update(day_id, entry.model_copy(update={"flyer": flyer}), "flyer e-07", based_on=revision)
    basis = store.assessments.snapshot(day_id).bases["e-07"]
    store.assessments.keep(day_id, [(assessment("e-07", flyer=MENDED), basis)], "service")
    store.rulings.rule(day_id, "e-07", Verdict(word="approved"), "rso-1", assessment_id="a" * 32, based_on=0)
    flown = Flight(entry="e-07", flown_at="2027-05-15T10:00:00-05:00", pad="A1", happened="planned")
    store.flights.add(day_id, flown, "rso-1")
    store.sheets.add(day_id, b"%PDF-1.7 sheet", "rso-1", entry_id="e-07")
    return day_id


def everything(store) -> str:
    """All that the database holds, as one text."""
    with store._database.read() as connection:
        names = sa.inspect(connection).get_table_names()
        return "\n".join(str(row) for name in names for row in connection.execute(sa.text(f'SELECT * FROM "{name}"')))


def test_no_name_is_left_and_the_trail_is_whole(store, day_id):
    links = store.links.new(day_id, "e-07", "organiser-1")
    assert NAME in everything(store) and ADULT in everything(store) and MENDED in everything(store)
    told = store.entries.erase(day_id, "e-07", "organiser-1", based_on=3)
    assert (told.revisions, told.links, told.sheets) == (4, 1, 1)
    text = everything(store)
    assert not [each for each in (NAME, ADULT, MENDED) if each in text]
    report = store.verify_chain()
    assert report.whole, report.broken
    with pytest.raises(NotFound):
        store.links.open(links)
    flyers = [each.document.flyer for each in store.entries.history(day_id, "e-07")]
    assert {each.name for each in flyers} == {"erased"}
    assert [each.responsible_adult for each in flyers][1:] == ["erased"] * 3


def test_everything_else_of_the_entry_stays(store, day_id):
    before = [each.document for each in store.entries.history(day_id, "e-07")]
    store.entries.erase(day_id, "e-07", "organiser-1", based_on=3)
    after = [each.document for each in store.entries.history(day_id, "e-07")]
    for one, other in zip(before, after):
        assert one.model_dump(exclude={"flyer": {"name", "responsible_adult"}}) == other.model_dump(
            exclude={"flyer": {"name", "responsible_adult"}}
        )
    assert store.rulings.history(day_id, "e-07")[0].verdict.word == "approved"
    assert store.flights.all(day_id)[0].flight.entry == "e-07"
    assert store.entries.get(day_id, "e-02").entry.flyer.name != "erased"


def test_a_form_that_was_open_before_does_not_bring_the_name_back(store, day_id):
    seen = store.entries.get(day_id, "e-07")
    store.entries.erase(day_id, "e-07", "organiser-1", based_on=3)
    with pytest.raises(Conflict):
        store.entries.update(day_id, seen.entry, "flyer e-07", based_on=seen.revision)
    with pytest.raises(Conflict):
        store.entries.erase(day_id, "e-07", "organiser-1", based_on=3)


@pytest.mark.parametrize(
    "statement, told",
    [
        ("UPDATE revision SET document = replace(document, 'erased', 'X') WHERE id = 'e-07'", "yet holds personal"),
        ("UPDATE revision SET document = replace(document, '0.', '1.') WHERE id = 'e-07'", "altered afterwards"),
        ("UPDATE revision SET personal = salt, salt = NULL WHERE id = 'e-02'", "altered afterwards"),
        ("UPDATE revision SET salt = NULL, document = replace(document, 'Flyer 02', 'erased') WHERE id = 'e-02'",
         "no record tells of erasing"),
        ("UPDATE revision SET document = replace(document, 'Flyer 02', 'Flyer 20') WHERE id = 'e-02'", "altered"),
        ("UPDATE revision SET salt = personal WHERE id = 'e-02'", "altered"),
    ],
)  # fmt: skip
def test_what_is_done_behind_the_back_is_found_all_the_same(store, day_id, tamper, statement, told):
    assert "Flyer 02" == store.entries.get(day_id, "e-02").entry.flyer.name
    store.entries.erase(day_id, "e-07", "organiser-1", based_on=3)
    tamper(statement)
    report = store.verify_chain()
    assert not report.whole and told in str(report.broken)


def test_the_database_lets_nothing_but_erasing_touch_a_revision(store, day_id):
    for change in ("document = 'x'", "salt = NULL, \"by\" = 'x'", "salt = NULL, personal = salt", "salt = 'x'"):
        with pytest.raises(StoreError, match="kept for good"):
            with store._database.write("someone") as writing:
                writing.connection.execute(sa.text(f"UPDATE revision SET {change} WHERE id = 'e-07'"))


def test_the_file_itself_holds_no_name_afterwards(tmp_path, small):
    """Neither in freed pages nor in the log beside it: read as bytes."""
    path = tmp_path / "day.db"
    with open_store(path) as store:
        entry = small.entry_by_id("e-07")
        flyer = entry.flyer.model_copy(update={"name": NAME})
        day_id = store.import_day(small, "organiser-1")
        store.entries.update(day_id, entry.model_copy(update={"flyer": flyer}), "x", based_on=1)
        files = [each for each in tmp_path.iterdir() if each.name.startswith("day.db")]
        assert any(NAME.encode() in each.read_bytes() for each in files)
        store.entries.erase(day_id, "e-07", "organiser-1", based_on=2)
        assert not [each for each in tmp_path.iterdir() if NAME.encode() in each.read_bytes()]


def test_a_database_of_before_is_sealed_anew_and_can_be_erased(empty_place, small):
    """Rows as the first tables held them, sealed as they were then; the newer version takes them over."""
    from service.store.canonical import canonical, digest

    upgrade(empty_place, "0001")
    old = small.model_copy(update={"entries": small.entries[:1]})
    database = Database(database_url(empty_place))
    _write_as_before(database, old, canonical, digest)
    upgrade_database(database)
    database.close()
    with open_store(empty_place) as store:
        report = store.verify_chain()
        assert report.whole, report.broken
        assert store.audit.newest(1)[0].who == "upgrade"
        assert store.assessments.get("a" * 32).flyer == ""
        kept = store.day_document("heron")
        assert kept.entries == old.entries and store.links.all("heron", "e-01") and store.people.by_login("olga")
        store.entries.erase("heron", "e-01", "organiser-1", based_on=1)
        assert store.verify_chain().whole and old.entries[0].flyer.name not in everything(store)


def _write_as_before(database, day, canonical, digest) -> None:
    """What a first version wrote of a day with one entry: rows, and records with seals over whole rows. Of the motor
    that is set aside, the account and the private link its records told less than later ones."""
    entry, made = day.entries[0], assessment(day.entries[0].id, flyer=day.entries[0].flyer.name)
    motor, at = day.motor_by_id(entry.motor), "2027-05-01T10:00:00.000000Z"
    parts = {
        ("day", ""): DayHeader.of(day), ("conditions", ""): day.conditions, ("forecast", ""): Forecast(),
        ("motor", motor.id): motor, ("entry", entry.id): entry,
    }  # fmt: skip
    rows = {
        "launch_day": {"id": "heron", "name": day.name, "date": day.date.isoformat(), "revision": 1,
                       "conditions_revision": 1, "forecast_revision": 1, "created_at": at},
        "motor": {"day_id": "heron", "id": motor.id, "position": 1, "revision": 1, "stock": motor.stock,
                  "reserved": entry.motor_count},
        "entry": {"day_id": "heron", "id": entry.id, "position": 1, "revision": 1, "motor_id": motor.id},
        "reservation": {"day_id": "heron", "entry_id": entry.id, "motor_id": motor.id, "count": entry.motor_count},
        "person": {"id": "5f", "login": "olga", "name": "Olga", "password_hash": "$argon2id$x", "created_at": at},
        "link": {"id": "77", "day_id": "heron", "entry_id": entry.id, "token_sha256": "0" * 64, "created_at": at},
    }  # fmt: skip
    with database.write("x") as change:

        def insert(table: str, values: dict[str, Any]) -> str:
            change.connection.execute(sa.table(table, *map(sa.column, values)).insert().values(**values))
            return digest(canonical(values))

        for table, values in rows.items():
            insert(table, values)
        for (kind, of), document in parts.items():
            values = {"day_id": "heron", "kind": kind, "id": of, "revision": 1, "by": "x", "why": "",
                      "document": document.model_dump_json(), "at": at}  # fmt: skip
            told = {"revision": 1, "documents": {f"revision/heron/{kind}/{of}/1": insert("revision", values)}}
            change.record("added", subject("heron", kind, of), told)
        values = {"id": made.id, "standing": "clear", "engine": "0", "document": made.model_dump_json(), "kept_at": at}
        told = {"documents": {f"assessment/{made.id}": insert("assessment", values)}, "current": {}, "lapsed": []}
        change.record("assessed", "day/heron", told)
        change.record("link made", f"day/heron/entry/{entry.id}", {"link": "77"})
        change.record("added", "person/5f", {"login": "olga"})


def test_the_driver_is_told_to_overwrite(tmp_path):
    with open_store(tmp_path / "day.db") as store, store._database.read() as connection:
        assert connection.exec_driver_sql("PRAGMA secure_delete").scalar_one() == 1
    assert Path(tmp_path / "day.db").is_file() and sqlite3.sqlite_version
