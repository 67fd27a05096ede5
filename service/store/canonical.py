"""One way of writing JSON, its digest, and what differs between two documents."""

from __future__ import annotations

import hashlib
import json
from typing import Any

from pydantic import BaseModel

from service.store.errors import TooLarge

CHANGES_TOLD = 40  # more places than this are counted, not listed


def canonical(value: Any) -> str:
    """Write a value of texts, whole numbers, yes/no, null, lists and objects in the one form that is hashed.

    Keys are sorted, nothing is spaced out, letters stand as themselves. Fractions are refused: programs differ
    in how they write them. Within these values and ASCII keys this is the form of RFC 8785.

    >>> canonical({"b": [1, None], "a": "é"})
    '{"a":"é","b":[1,null]}'
    """
    _only_exact(value)
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def _only_exact(value: Any) -> None:
    if isinstance(value, dict):
        for key, item in value.items():
            if not isinstance(key, str) or not key.isascii():
                raise TypeError(f"a key of {key!r}; keys are ASCII texts")
            _only_exact(item)
    elif isinstance(value, list | tuple):
        for item in value:
            _only_exact(item)
    elif value is not None and not isinstance(value, str | bool | int):
        raise TypeError(f"a {type(value).__name__} has no single written form; write it as a text")


def digest(text: str | bytes) -> str:
    """SHA-256 (FIPS 180-4) of a text's UTF-8 bytes, in hexadecimal."""
    return hashlib.sha256(text.encode() if isinstance(text, str) else text).hexdigest()


def dump(model: BaseModel, subject: str, limit: int) -> str:
    """Write a model as it is kept, once it has been read back in: what is kept can always be read again."""
    text = model.model_dump_json()
    size = len(text.encode())
    if size > limit:
        raise TooLarge(subject, size, limit)
    type(model).model_validate_json(text)
    return text


def changed_places(before: str, after: str) -> tuple[str, ...]:
    """JSON pointers (RFC 6901) to what differs between two JSON texts.

    >>> changed_places('{"a": [1, 2], "b": 3}', '{"a": [1, 5], "c": 3}')
    ('/a/1', '/b', '/c')
    """
    places: list[str] = []
    _compare(json.loads(before), json.loads(after), "", places)
    if len(places) > CHANGES_TOLD:
        return (*places[:CHANGES_TOLD], f"and {len(places) - CHANGES_TOLD} more")
    return tuple(places)


def _compare(before: Any, after: Any, at: str, places: list[str]) -> None:
    if isinstance(before, dict) and isinstance(after, dict):
        for key in [*before, *(key for key in after if key not in before)]:
            here = f"{at}/{key.replace('~', '~0').replace('/', '~1')}"
            if key not in before or key not in after:
                places.append(here)
            else:
                _compare(before[key], after[key], here, places)
    elif isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        for index, pair in enumerate(zip(before, after)):
            _compare(*pair, f"{at}/{index}", places)
    elif before != after:
        places.append(at)
