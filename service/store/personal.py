"""What a document holds of a person, kept so that it can be erased and the audit trail still be checked.

The seal of such a document covers the rest of it, and a salted hash of the personal values in their place. Erasing
writes "erased" over the values and forgets the salt: the seal still fits all the rest, and the hash that is left
cannot be turned back into a name by guessing.
"""

from __future__ import annotations

import json
import secrets
from typing import Any

from service.store.canonical import canonical, digest

ERASED = "erased"
PERSONAL: dict[str, tuple[tuple[str, ...], ...]] = {
    "entry": (("flyer", "name"), ("flyer", "responsible_adult")),
}  # by kind of document; never shortened, or old seals no longer fit
SALT_BYTES = 32


def new_salt() -> str:
    """A salt that cannot be guessed."""
    return secrets.token_hex(SALT_BYTES)


def parted(kind: str, text: str) -> tuple[str, list[Any]]:
    """A document without its personal values, and these.

    >>> parted("entry", '{"id": "e-1", "flyer": {"name": "Ann", "adult": true}}')
    ('{"flyer":{"adult":true},"id":"e-1"}', ['Ann', None])
    """
    document = json.loads(text)
    values = []
    for *way, last in PERSONAL[kind]:
        values.append(_holder(document, way).pop(last, None))
    return json.dumps(document, sort_keys=True, separators=(",", ":"), ensure_ascii=False), values


def salted(salt: str, values: list[Any]) -> str:
    """The hash that stands for personal values."""
    return digest(canonical([salt, *values]))


def erased(kind: str, text: str) -> str:
    """A document with "erased" over each of its personal values.

    >>> erased("entry", '{"id": "e-1", "flyer": {"name": "Ann", "responsible_adult": null}}')
    '{"id":"e-1","flyer":{"name":"erased","responsible_adult":null}}'
    """
    document = json.loads(text)
    for *way, last in PERSONAL[kind]:
        holder = _holder(document, way)
        if holder.get(last) is not None:
            holder[last] = ERASED
    return json.dumps(document, separators=(",", ":"), ensure_ascii=False)


def is_erased(values: list[Any]) -> bool:
    """Whether nothing of a person is left in these values."""
    return all(value in (ERASED, None) for value in values)


def _holder(document: dict[str, Any], way: list[str]) -> dict[str, Any]:
    for step in way:
        document = document[step]
    return document
