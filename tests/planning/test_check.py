"""Broken launch days: each fault is found where it stands, with what was found and what would be right.

The expectations are written from the document's own description (units, bounds, GeoJSON as in RFC 7946, times as
in RFC 3339, JSON pointers as in RFC 6901), not taken from the program's output.
"""

from __future__ import annotations

import json
import math

import pytest

from service.flight import mass
from service.models.day import LaunchDay
from service.models.entry import MOST_MOTORS
from service.planning.check import faults, read_day, read_day_file
from service.planning.errors import DocumentRefused, Fault, pointer
from tests.builders import as_bytes, small_day
from tests.planning.spoilt import BOUNDARY, BOW_TIE, SPOILT, Change, drop, put


@pytest.mark.parametrize(
    ("change", "where", "found", "expected"), [row[1:] for row in SPOILT], ids=[row[0] for row in SPOILT]
)
def test_a_spoilt_document_names_the_fault(change: Change, where: str, found: str, expected: str):
    document = small_day()
    change(document)
    listed = faults(as_bytes(document) if "\ud800" not in str(document["name"]) else json.dumps(document).encode())
    at_place = [fault for fault in listed if fault.pointer == where]
    assert len(at_place) == 1, f"wanted one fault at {where}, found {[str(fault) for fault in listed]}"
    fault = at_place[0]
    assert found in fault.found
    assert any(words in fault.expected for words in expected.split("|"))
    check_wording(fault)


def check_wording(fault: Fault) -> None:
    """One sentence in our own words, with something found and something expected."""
    assert fault.found and fault.expected
    text = str(fault)
    assert "\n" not in text and len(text) < 600
    for foreign in ("Input should", "pydantic", "Traceback", "Extra inputs", "Field required", "Value error"):
        assert foreign not in text


def test_a_good_document_has_no_faults_and_reads():
    day = read_day(as_bytes(small_day()))
    assert isinstance(day, LaunchDay)
    assert [entry.id for entry in day.entries] == ["n1", "n2", "n3"]
    assert day.motor_by_id("i200").letter == "I"  # 320 to 640 N s, NFPA 1125 bands
    assert day.ceilings[1].height_agl_m(day.field.elevation_m) == pytest.approx(2020.0)


def test_what_was_read_can_be_written_and_read_again():
    day = read_day(as_bytes(small_day()))
    assert read_day(day.model_dump_json().encode()) == day


UNREADABLE: list[tuple[str, bytes, str, str]] = [
    ("empty", b"", "empty", "JSON"),
    ("blank", b" \n\t ", "empty", "JSON"),
    ("utf-16", json.dumps(small_day()).encode("utf-16"), "UTF-16", "UTF-8"),
    ("utf-16-unmarked", json.dumps(small_day()).encode("utf-16-le"), "zero", "UTF-8"),
    ("utf-32", json.dumps(small_day()).encode("utf-32"), "UTF-32", "UTF-8"),
    ("latin-1", json.dumps(small_day(), ensure_ascii=False).encode("latin-1"), "0xE9 in line 1", "UTF-8"),
    ("not-json", b"name: Caldin\n", "line 1, column 1", "JSON value"),
    ("cut-short", as_bytes(small_day())[:-40], "line 1", ""),
    ("trailing-comma", b'{"name": "x",\n}', "line 2, column 1", "field name"),
    ("single-quotes", b"{'name': 1}", "line 1, column 2", "double quotes"),
    ("comment", b'{"a": 1 // one\n}', "line 1, column 9", "comma"),
    ("two-documents", b"{}{}", "line 1, column 3", "end of the document"),
    ("raw-line-break", b'{"name": "a\nb"}', "line 1", "control characters"),
    ("bad-escape", b'{"name": "\\q"}', "line 1", "escape"),
    ("bad-unicode-escape", b'{"name": "\\u12"}', "line 1", "escape"),
    ("never-closed", b"[" * 200_000, "nested", "levels"),
    ("deep", b"[" * 60 + b"]" * 60, "nested", "levels"),
    ("deep-objects", b'{"a":' * 100_000 + b"1" + b"}" * 100_000, "nested", "levels"),
    ("huge", b" " * 6_000_000 + b"{}", "6.0 MB", "5 MB"),
    ("a-picture", b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "zero", "UTF-8"),
]


@pytest.mark.parametrize(
    ("data", "found", "expected"), [row[1:] for row in UNREADABLE], ids=[row[0] for row in UNREADABLE]
)
def test_a_file_that_is_no_document_is_refused_in_one_sentence(data: bytes, found: str, expected: str):
    (fault,) = faults(data)
    assert fault.pointer == ""
    assert found in fault.found and expected in fault.expected
    check_wording(fault)


@pytest.mark.parametrize("data", [b"[]", b"null", b"12", b'"day"', b"true", b"NaN"])
def test_a_document_that_is_no_object_is_refused(data: bytes):
    (fault,) = faults(data)
    assert fault.pointer == "" and "an object" in fault.expected
    check_wording(fault)


def test_a_byte_order_mark_is_ignored():
    """RFC 8259, section 8.1: a parser may ignore one."""
    assert faults(b"\xef\xbb\xbf" + as_bytes(small_day())) == []


def test_a_name_given_twice_is_named():
    text = as_bytes(small_day()).decode().replace('"elevation_m": 180.0', '"elevation_m": 180.0, "elevation_m": 18.0')
    (fault,) = faults(text.encode())
    assert fault.pointer == "/field/elevation_m" and "more than once" in fault.found


def test_a_number_beyond_all_bounds_is_no_number():
    text = as_bytes(small_day()).decode().replace('"elevation_m": 180.0', '"elevation_m": 1e999')
    assert [fault.pointer for fault in faults(text.encode())] == ["/field/elevation_m"]


def test_faults_everywhere_are_listed_together():
    document = small_day()
    put("/motors/0/thrust_curve/1/1", math.nan)(document)
    put(f"{BOUNDARY}/coordinates/0", BOW_TIE)(document)
    put("/entries/2/motor", "nope")(document)
    put("/entries/1/pad", "P9")(document)
    put("/extra", 1)(document)
    drop("/conditions/source")(document)
    put("/ceiling/0/height_m", 20.0)(document)
    assert {fault.pointer for fault in faults(as_bytes(document))} == {
        "/motors/0/thrust_curve/1/1",
        f"{BOUNDARY}/coordinates/0",
        "/entries/2/motor",
        "/entries/1/pad",
        "/extra",
        "/conditions/source",
        "/ceiling/0/height_m",
    }


def test_a_bad_motor_does_not_make_its_entry_wrong():
    document = small_day()
    put("/motors/0/length_m", -1)(document)
    assert [fault.pointer for fault in faults(as_bytes(document))] == ["/motors/0/length_m"]


def test_a_long_list_of_like_faults_is_counted():
    document = small_day()
    put("/motors/0/thrust_curve", [[i * 0.01, -1.0] for i in range(200)])(document)
    listed = faults(as_bytes(document))
    assert len(listed) == 4 and "197 more" in listed[-1].found


def test_more_than_can_be_held_is_refused_not_chewed():
    document = small_day()
    document["entries"] *= 400
    (fault,) = [fault for fault in faults(as_bytes(document)) if fault.pointer == "/entries"]
    assert "1,000" in fault.expected


@pytest.mark.parametrize(
    ("data", "where", "expected"),
    [
        (b'{"motors": [' + b"{}," * 1_600_000 + b"{}]}", "/motors", "10,000"),
        (b'{"entries": [' + b",".join([b'{"recovery": [' + b"{}," * 99 + b"{}]}"] * 9_000) + b"]}", "", "fewer"),
        (b"[" + b"1," * 2_000_000 + b"1]", "", "10,000"),
    ],
    ids=["many-motors", "many-devices", "many-numbers"],
)
def test_a_flood_is_refused_at_once(data: bytes, where: str, expected: str):
    (fault,) = faults(data)
    assert fault.pointer == where and expected in fault.expected
    check_wording(fault)


def test_the_refusal_carries_every_fault_and_the_name_of_the_file():
    document = small_day()
    put("/name", 3)(document)
    put("/date", "soon")(document)
    with pytest.raises(DocumentRefused) as refused:
        read_day(as_bytes(document), "winter.json")
    assert str(refused.value).startswith("winter.json has 2 faults\n/name: found 3; expected")
    assert len(refused.value.faults) == 2


def test_a_file_that_is_not_there_is_a_refusal(tmp_path):
    with pytest.raises(DocumentRefused, match="no such file"):
        read_day_file(tmp_path / "none.json")
    with pytest.raises(DocumentRefused, match="is a directory"):
        read_day_file(tmp_path)


def test_pointers_escape_as_rfc_6901_says():
    """RFC 6901, section 5: the names "a/b" and "m~n" are written /a~1b and /m~0n."""
    assert pointer(["a/b"]) == "/a~1b" and pointer(["m~n"]) == "/m~0n" and pointer(["foo", 0]) == "/foo/0"


@pytest.mark.parametrize(
    ("change", "where", "words"),
    [
        (put("/codes", ["practise"]), "/codes/0", "practice"),
        (put("/attestations", {"no-such": {"by": "RSO", "at": "2028-07-09T08:00:00-03:00"}}),
         "/attestations/no-such", "rule"),
        (put("/local_rules", [{"id": "club-wind", "protects": "people"}]), "/local_rules/0", "at_least"),
        (put("/local_rules", [{"protects": "people"}]), "/local_rules/0/id", ""),
        (put("/local_rules", [{"id": "club-wind", "protects": "people", "quantity": "surface_wnd_mps", "at_most": 5}]),
         "/local_rules/0/quantity", ""),
    ],
)  # fmt: skip
def test_codes_and_local_rules_are_checked_at_the_door(change: Change, where: str, words: str):
    document = small_day()
    change(document)
    (fault,) = faults(as_bytes(document))
    assert fault.pointer == where
    assert words in fault.expected
    check_wording(fault)


def test_spreads_of_unknown_sources_and_beyond_belief_are_refused():
    document = small_day()
    document["policy"] = {"spreads": {"drag": 0.2, "dragg": 0.2, "mass": 5.0}}
    found = {fault.pointer: fault for fault in faults(as_bytes(document))}
    assert set(found) == {"/policy/spreads/dragg", "/policy/spreads/mass"}
    assert "centre_of_gravity_cal" in found["/policy/spreads/dragg"].expected
    assert found["/policy/spreads/mass"].expected == "at most 0.3 (fraction)"


def test_the_door_takes_as_many_motors_as_the_flight_model():
    assert MOST_MOTORS == mass.MOST_MOTORS == 16


def test_what_is_missing_is_described_in_one_sentence_with_its_unit():
    document = small_day()
    del document["entries"][0]["rocket"]["airframe"]["nose"]["length_m"]
    (fault,) = faults(as_bytes(document))
    assert (fault.found, fault.expected) == ("nothing", "from tip to base [m]")
