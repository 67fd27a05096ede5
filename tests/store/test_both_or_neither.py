"""A header and an entry saved in one breath: where either is refused, neither is kept."""

from __future__ import annotations

import pytest

from service.store import Conflict, Refused, Verdict
from tests.store.samples import assessment


@pytest.fixture
def day_id(store, small) -> str:
    return store.import_day(small, "organiser-1", day_id="heron")


def longer_rod(store, day_id, name="A1"):
    """The header with a longer guide on a pad."""
    header = store.days.header(day_id).document
    pads = tuple(
        each.model_copy(update={"guide_length_m": 3.0}) if each.name == name else each for each in header.field.pads
    )
    return header.model_copy(update={"field": header.field.model_copy(update={"pads": pads})})


def on(store, day_id, **changes):
    return store.entries.get(day_id, "e-07").entry.model_copy(update=changes)


def test_both_are_kept_with_a_record_each(store, day_id):
    entry = on(store, day_id, pad="A1")
    before = store.audit.head()[0]
    store.days.update_with_entry(
        day_id, longer_rod(store, day_id), entry, "rso-1", based_on=(1, 1), why="a rod", entry_why="a pad"
    )
    header, kept = store.days.header(day_id), store.entries.get(day_id, "e-07")
    assert (header.revision, header.why, kept.revision, kept.why) == (2, "a rod", 2, "a pad")
    assert kept.entry.pad == "A1" and header.at == kept.at
    assert {each.name: each.guide_length_m for each in header.document.field.pads}["A1"] == 3.0
    assert store.audit.head()[0] == before + 2 and store.verify_chain().whole


def ruled_on(store, day_id):
    basis = store.assessments.snapshot(day_id).bases["e-07"]
    store.assessments.keep(day_id, [(assessment("e-07"), basis)], "assessor")
    store.rulings.rule(day_id, "e-07", Verdict(word="approved"), "rso-1", assessment_id="a" * 32, based_on=0)


@pytest.mark.parametrize(
    ("changes", "based_on", "error"),
    [
        ({"pad": "A1"}, (1, 9), Conflict),
        ({"pad": "A1"}, (9, 1), Conflict),
        ({"pad": "nowhere"}, (1, 1), Refused),
    ],
)
def test_where_one_is_refused_neither_is_kept(store, day_id, changes, based_on, error):
    head, header = store.audit.head(), longer_rod(store, day_id)
    with pytest.raises(error):
        store.days.update_with_entry(day_id, header, on(store, day_id, **changes), "rso-1", based_on=based_on)
    assert store.audit.head() == head
    assert store.days.header(day_id).revision == 1 and store.entries.get(day_id, "e-07").revision == 1


def test_a_flyer_s_is_refused_whole_once_ruled_on(store, day_id):
    ruled_on(store, day_id)
    head, header = store.audit.head(), longer_rod(store, day_id)
    with pytest.raises(Refused, match="not ruled on yet"):
        store.days.update_with_entry(
            day_id, header, on(store, day_id, pad="A1"), "flyer e-07", based_on=(1, 1), until_ruled=True
        )
    assert store.audit.head() == head and store.days.header(day_id).revision == 1
