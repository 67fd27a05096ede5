"""From bytes to plain JSON values, with the faults that a file can have before anyone asks what it means."""

from __future__ import annotations

import codecs
import json
from collections import Counter
from collections.abc import Iterator
from typing import Any

from service.models.base import shown
from service.planning.errors import Fault, pointer

SIZE_LIMIT_BYTES = 5_000_000
DEPTH_LIMIT = 40
LIST_LIMIT = 10_000  # the most that any list of the document may hold
BRACKET_LIMIT = 200_000  # lists and objects in all: past this a broken file would be chewed for minutes
WHOLE_DIGITS = 18  # longer whole numbers are read as real ones

_WIDE_MARKS = {
    codecs.BOM_UTF32_LE: "UTF-32 text",
    codecs.BOM_UTF32_BE: "UTF-32 text",
    codecs.BOM_UTF16_LE: "UTF-16 text",
    codecs.BOM_UTF16_BE: "UTF-16 text",
}
_WANTED = {
    "Expecting value": "a JSON value",
    "Expecting property name enclosed in double quotes": "a field name in double quotes",
    "Expecting ':' delimiter": "a colon after the field name",
    "Expecting ',' delimiter": "a comma or the closing bracket",
    "Extra data": "the end of the document",
    "Unterminated string starting at": "a closing double quote for the string that begins there",
    "Invalid control character at": "a string without raw line breaks, tabs or other control characters",
}


class Unreadable(Exception):
    """The bytes are no JSON document at all; `fault` says why."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(str(fault))
        self.fault = fault


class _Object(dict[str, Any]):
    """A JSON object in which names were given more than once, and which."""

    repeated: tuple[str, ...] = ()


def decode(data: bytes) -> tuple[Any, list[Fault]]:
    """Read a document's bytes into JSON values and list names given twice and numbers that are none.

    Raises
    ------
    Unreadable
        If there is no document to speak of: too large, not UTF-8, not JSON, nested too deep.
    """
    text = _decoded(data)
    try:
        document = json.loads(
            text, object_pairs_hook=_object, parse_int=_whole, parse_constant=lambda name: float(name.lower())
        )
    except json.JSONDecodeError as error:
        raise Unreadable(_syntax_fault(error)) from None
    except RecursionError:
        raise Unreadable(_too_deep("brackets nested beyond counting")) from None
    return document, list(_value_faults(document))


def _decoded(data: bytes) -> str:
    if len(data) > SIZE_LIMIT_BYTES:
        size_mb, limit_mb = len(data) / 1e6, SIZE_LIMIT_BYTES / 1e6
        raise Unreadable(Fault("", f"a file of {size_mb:.1f} MB", f"at most {limit_mb:g} MB"))
    if not data.strip():
        raise Unreadable(Fault("", "an empty file", "a launch-day document in JSON"))
    for mark, what in _WIDE_MARKS.items():
        if data.startswith(mark):
            raise Unreadable(Fault("", what, "UTF-8 text"))
    if b"\0" in data:
        raise Unreadable(Fault("", "bytes of zero, as in UTF-16 text or a file that is no text", "UTF-8 text"))
    try:
        return data.decode("utf-8-sig")  # a byte order mark may be ignored, RFC 8259 section 8.1
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        found = f"byte 0x{data[error.start]:02X} in line {line}, which is not UTF-8"
        raise Unreadable(Fault("", found, "UTF-8 text; save the file in that encoding")) from None


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    plain = dict(pairs)
    if len(plain) == len(pairs):
        return plain
    marked = _Object(plain)
    names = [name for name, _ in pairs]
    marked.repeated = tuple(name for name, count in Counter(names).items() if count > 1)
    return marked


def _whole(digits: str) -> int | float:
    return int(digits) if len(digits) <= WHOLE_DIGITS else float(digits)


def _syntax_fault(error: json.JSONDecodeError) -> Fault:
    rest = error.doc[error.pos : error.pos + 20].split("\n")[0]
    here = shown(rest) if rest.strip() else "the end" if error.pos >= len(error.doc.rstrip()) else "the end of the line"
    if error.msg.startswith("Invalid \\"):
        expected = "a string escape that JSON knows"
    else:
        expected = _WANTED.get(error.msg, "JSON (RFC 8259)")
    return Fault("", f"{here} in line {error.lineno}, column {error.colno}, which is not JSON", expected)


def _value_faults(document: Any) -> Iterator[Fault]:
    """Walk the whole document without recursion, however deep it is."""
    waiting: list[tuple[tuple[str | int, ...], Any]] = [((), document)]
    brackets = 0
    while waiting:
        path, value = waiting.pop()
        if isinstance(value, dict | list):
            brackets += 1
            if len(value) > LIST_LIMIT:
                raise Unreadable(Fault(pointer(path), shown(value), f"at most {LIST_LIMIT:,} values"))
            if brackets > BRACKET_LIMIT:
                raise Unreadable(Fault("", f"more than {BRACKET_LIMIT:,} lists and objects", "a document of fewer"))
        if len(path) > DEPTH_LIMIT:
            raise Unreadable(_too_deep(f"brackets nested {len(path)} deep"))
        if isinstance(value, dict):
            for name in getattr(value, "repeated", ()):
                yield Fault(pointer((*path, name)), "the field given more than once", "each field once")
            waiting.extend(((*path, name), inner) for name, inner in reversed(value.items()))
        elif isinstance(value, list):
            waiting.extend(((*path, i), inner) for i, inner in reversed(list(enumerate(value))))
        elif isinstance(value, float) and value - value != 0.0:
            yield Fault(pointer(path), shown(value), "a finite number")


def _too_deep(found: str) -> Fault:
    return Fault("", found, f"at most {DEPTH_LIMIT} levels")
