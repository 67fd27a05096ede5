"""Whole documents in and out, and what keeps them whole."""

from __future__ import annotations

import json

import pytest

from service.models.day import LaunchDay
from service.store import AlreadyThere, DayHeader, NotFound, Refused, Store, open_store
from service.store.header import KEPT_APART


@pytest.mark.parametrize("which", ["demo", "station"])
def test_a_document_comes_out_as_it_went_in(store, which, request):
    document: LaunchDay = request.getfixturevalue(which)
    day_id = store.import_day(document, "organiser-1")
    out = store.day_document(day_id)
    assert out == document
    assert out.model_dump_json() == document.model_dump_json()  # order of ticks and entries too
    again = store.import_day(out, "organiser-1", day_id="again")
    assert store.day_document(again).model_dump_json() == document.model_dump_json()
    assert store.verify_chain().whole


def test_a_document_survives_closing(place, demo):
    with open_store(place) as first:
        first.import_day(demo, "organiser-1", day_id="heron")
    with open_store(place) as second:
        assert second.day_document("heron") == demo
        assert [line.entries for line in second.days.all()] == [len(demo.entries)]


def test_an_awkward_document_comes_out_as_it_went_in(store, demo):
    """Names in other scripts, quotes, both kinds of ceiling, a dropped forecast, no entries."""
    raw = json.loads(demo.model_dump_json())
    raw |= {"name": 'Früh’s "day" \\ 朝 🚀', "forecast": [], "entries": [], "attestations": {}}
    raw["ceiling"] = [
        {"height_m": 900.0000001, "datum": "msl", "from": "2027-05-15T10:00:00.123456Z"},
        {"height_m": 1e-1 + 2e-1 + 500, "datum": "agl"},
    ]
    document = LaunchDay.model_validate_json(json.dumps(raw))
    assert store.day_document(store.import_day(document, "organiser-1")) == document


def test_a_day_with_an_entry_beyond_the_stock_comes_in_as_it_went_out(store, demo):
    """All of a stock is set aside; then somebody registers who asked for none to be set aside: what came out of one
    service goes into another, and into this one over itself, and who holds none is named."""
    entry = demo.entries[0]
    motors = tuple(
        each.model_copy(update={"stock": entry.motor_count}) if each.id == entry.motor else each for each in demo.motors
    )
    day_id = store.import_day(demo.model_copy(update={"motors": motors, "entries": (entry,)}), "x", day_id="one")
    more = store.entries.add(day_id, entry, "flyer", reserve=False).record.id
    out = store.day_document(day_id)
    again = store.import_day(out, "x", day_id="two")
    assert store.day_document(again) == out
    assert store.entries.without_stock(again) == (more,) == store.entries.without_stock(day_id)
    assert store.motors.get(again, entry.motor).left == 0
    assert store.days.replace(day_id, out, "x", based_on=None).without_stock == ()
    assert store.day_document(day_id) == out and store.verify_chain().whole


def test_the_id_comes_from_name_and_date(store, demo):
    assert store.import_day(demo, "organiser-1") == "heron-meadow-spring-launch-2027-05-15"
    with pytest.raises(AlreadyThere, match="heron-meadow-spring-launch"):
        store.import_day(demo, "organiser-1")
    assert len(store.days.all()) == 1


def test_header_has_every_field_that_is_not_kept_apart():
    assert set(DayHeader.model_fields) | set(KEPT_APART) == set(LaunchDay.model_fields)
    for name, field in DayHeader.model_fields.items():
        assert field.annotation == LaunchDay.model_fields[name].annotation


@pytest.mark.parametrize("day_id", ["", "../up", "a b", "x" * 65, "é", "a\nb"])
def test_an_id_that_is_none_is_refused(store, demo, day_id):
    with pytest.raises(Refused, match="day_id"):
        store.import_day(demo, "organiser-1", day_id=day_id)
    assert store.days.all() == ()


def test_a_header_that_takes_an_entrys_pad_away_is_refused(store, demo):
    day_id = store.import_day(demo, "organiser-1")
    header = store.days.header(day_id)
    pad = demo.entries[0].pad
    field = header.document.field
    without = field.model_copy(update={"pads": tuple(each for each in field.pads if each.name != pad)})
    number, _ = store.audit.head()
    with pytest.raises(Refused) as refused:
        store.days.update(
            day_id, header.document.model_copy(update={"field": without}), "organiser-1", based_on=header.revision
        )
    assert ("entries", 0, "pad") in [problem.at for problem in refused.value.problems]
    assert store.day_document(day_id) == demo
    assert store.audit.head()[0] == number


def test_a_header_is_saved_with_its_history(store, demo, station):
    day_id = store.import_day(demo, "organiser-1")
    other = store.import_day(station, "organiser-1")
    header = store.days.header(day_id).document.model_copy(update={"name": "Moved by a week"})
    saved = store.days.update(day_id, header, "organiser-2", based_on=1, why="rain")
    assert (saved.revision, saved.by, saved.why) == (2, "organiser-2", "rain")
    assert [version.document.name for version in store.days.history(day_id)] == [demo.name, "Moved by a week"]
    assert store.day_document(day_id).name == "Moved by a week"
    assert {line.id: line.name for line in store.days.all()}[day_id] == "Moved by a week"
    assert store.day_document(other) == station
    record = store.audit.newest(1)[0]
    assert (record.who, record.what, record.subject) == ("organiser-2", "changed", f"day/{day_id}")
    assert json.loads(record.payload)["changed"] == ["/name"]


def test_saving_what_stands_already_makes_no_revision(store, demo):
    day_id = store.import_day(demo, "organiser-1")
    head = store.audit.head()
    assert store.days.update(day_id, store.days.header(day_id).document, "organiser-1", based_on=1).revision == 1
    assert store.audit.head() == head


def test_what_is_not_there_is_said(store, demo):
    day_id = store.import_day(demo, "organiser-1")
    for call in (
        lambda: store.day_document("none"),
        lambda: store.entries.get("none", "e-01"),
        lambda: store.entries.get(day_id, "e-99"),
        lambda: store.motors.get(day_id, "none"),
        lambda: store.weather.current("none"),
        lambda: store.assessments.get("f" * 32),
        lambda: store.desk("none"),
        lambda: store.settings.get("none"),
        lambda: store.keys.get("none"),
        lambda: store.sheets.pdf(day_id, "none"),
        lambda: store.people.by_login("none"),
    ):
        with pytest.raises(NotFound):
            call()


def test_in_memory_keeps_the_same_and_each_its_own(demo):
    one, other = Store.in_memory(), Store.in_memory()
    day_id = one.import_day(demo, "organiser-1")
    assert one.day_document(day_id) == demo
    assert other.days.all() == ()
    assert one.verify_chain().whole and other.verify_chain().count == 0
