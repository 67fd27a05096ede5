"""Whatever is put into a launch day, reading it either works or is refused in words."""

from __future__ import annotations

import json
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.planning.check import faults, read_day
from service.planning.errors import DocumentRefused
from tests.builders import as_bytes, small_day


def places(value: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """Paths of everything in a document but the whole."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [place for key, item in inner for place in [(*path, key), *places(item, (*path, key))]]


PLACES = places(small_day())
MODEST = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-10, 10**20),
    st.floats(),
    st.text(max_size=8),
    st.sampled_from(["c6", "P1", "n1", "apogee", "fixed", "Polygon", "2028-07-09T10:00:00Z", "Etc/GMT+12", "/", "~"]),
)
ANYTHING = st.recursive(
    MODEST,
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.text(max_size=6) | st.sampled_from(["at", "kind", "type", "one", "fixed"]), inner, max_size=4
        )
    ),
    max_leaves=8,
)
SPOILING = st.tuples(st.sampled_from(PLACES), st.sampled_from(["put", "drop", "double", "rename"]), ANYTHING)


def spoil(document: Any, place: tuple[str | int, ...], how: str, value: Any) -> None:
    """Change one place of a document, if it is still there."""
    *parents, last = place
    node = document
    try:
        for step in parents:
            node = node[step]
        if how == "put":
            node[last] = value
        elif how == "drop":
            del node[last]
        elif how == "double" and isinstance(node, list):
            node.insert(last, node[last])
        elif how == "rename" and isinstance(node, dict):
            node[str(value)[:20]] = node.pop(last)
    except (KeyError, IndexError, TypeError):
        pass


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(SPOILING, min_size=1, max_size=4))
def test_a_spoilt_document_reads_or_is_refused_in_words(changes):
    document = small_day()
    for place, how, value in changes:
        spoil(document, place, how, value)
    data = json.dumps(document).encode()  # ASCII, so that half a surrogate pair arrives as an escape
    try:
        read_day(data)
    except DocumentRefused as refused:
        assert refused.faults
        for fault in refused.faults:
            assert fault.pointer == "" or fault.pointer.startswith("/")
            assert fault.found and fault.expected
            assert "Input should" not in str(fault) and "pydantic" not in str(fault)
            str(fault).encode()  # no half surrogate in what is printed
    else:
        assert faults(data) == []


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes_are_refused_in_words(data):
    assert all(fault.found and fault.expected for fault in faults(data))
    assert faults(data)


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 10_000), st.integers(0, 255))
def test_one_changed_byte_never_breaks_the_reader(where, byte):
    data = bytearray(as_bytes(small_day()))
    data[where % len(data)] = byte
    for fault in faults(bytes(data)):
        assert fault.found and fault.expected
