"""The one written form, and the hash of an audit record, against published examples and a second calculation."""

from __future__ import annotations

import hashlib
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.store.audit import record_hash
from service.store.canonical import canonical, changed_places, digest

TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
KEYS = st.text(st.characters(max_codepoint=126, min_codepoint=32), max_size=8)
VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | TEXTS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS, inner, max_size=4),
    max_leaves=12,
)


def test_digest_of_the_published_example():
    """FIPS 180-4 example "abc", from memory, not re-read; hashlib is OpenSSL's, not ours."""
    assert digest("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def test_letters_and_escapes_as_in_the_standard():
    """RFC 8785, section 3.2.2.2: only what must be escaped is, control letters in their short form; from memory."""
    text = "\u20ac$\u000f\u000aA'\u0042\u0022\u005c\\\"\u002f"
    assert canonical({"string": text}) == '{"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'


@given(VALUES)
def test_written_form_reads_back_and_is_stable(value):
    text = canonical(value)
    assert json.loads(text) == value
    assert canonical(json.loads(text)) == text


@pytest.mark.parametrize("value", [1.0, {"a": [float("nan")]}, {1: "a"}, {"é": 1}, b"a", {"a": object()}])
def test_what_has_no_single_form_is_refused(value):
    with pytest.raises(TypeError):
        canonical(value)


def _by_hand(number: int, texts: dict[str, str]) -> str:
    """The same hash, with its JSON put together letter by letter in the order of the alphabet."""
    quoted = {name: json.dumps(text, ensure_ascii=False) for name, text in texts.items()}
    body = (
        f'{{"at":{quoted["at"]},"number":{number},"payload":{quoted["payload"]},"previous":{quoted["previous"]},'
        f'"subject":{quoted["subject"]},"what":{quoted["what"]},"who":{quoted["who"]}}}'
    )
    return hashlib.sha256(body.encode()).hexdigest()


NAMES = ("at", "who", "what", "subject", "payload", "previous")


@given(st.integers(1, 10**9), st.tuples(*[TEXTS] * 6))
def test_record_hash_is_the_one_worked_out_by_hand(number, texts):
    assert record_hash(number, *texts) == _by_hand(number, dict(zip(NAMES, texts)))


@given(st.integers(1, 10**9), st.tuples(*[TEXTS] * 6), st.integers(0, 6), TEXTS)
def test_record_hash_moves_with_every_part(number, texts, which, other):
    changed = list((number, *texts))
    changed[which] = number + 1 if which == 0 else other
    same = changed == [number, *texts]
    assert (record_hash(*changed) == record_hash(number, *texts)) is same


@given(TEXTS, TEXTS, st.integers(0, 40))
def test_letters_moved_from_one_part_to_the_next_change_the_hash(subject, payload, cut):
    """Parts are quoted, not strung together: "ab" + "c" is not "a" + "bc"."""
    both = subject + payload
    moved = (both[:cut], both[cut:])
    parts = ("t", "w", "x")
    same = moved == (subject, payload)
    assert (record_hash(1, *parts, *moved, "p") == record_hash(1, *parts, subject, payload, "p")) is same


def test_changed_places_are_json_pointers():
    """RFC 6901, section 3: ~ and / are written ~0 and ~1."""
    assert changed_places('{"a/b": 1, "m~n": {"x": [1, 2]}}', '{"a/b": 2, "m~n": {"x": [1, 3]}}') == (
        "/a~1b",
        "/m~0n/x/1",
    )
    assert changed_places('{"a": [1, 2]}', '{"a": [1]}') == ("/a",)
    assert changed_places("null", "{}") == ("",)
