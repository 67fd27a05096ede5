"""Reading what is kept back as its models, each text once.

Models are frozen, and the same text always gives the same model: so the text itself is the key. Nothing has to be
told of a change, a change that was rolled back leaves nothing behind, and several databases may share it.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any, TypeVar

from pydantic import BaseModel

M = TypeVar("M", bound=BaseModel)

MOST_KEPT = 6000  # parts: two days of a thousand entries each, with their motors
MOST_CHARACTERS = 24_000_000
DAYS_KEPT = 12
DAYS_CHARACTERS = 48_000_000


class Readings:
    """The models read last, by what they were read from. Bounded by number and by length of text; for many threads."""

    def __init__(self, most: int, characters: int) -> None:
        self._most, self._characters = most, characters
        self._lock = threading.Lock()
        self._kept: OrderedDict[Hashable, tuple[Any, int]] = OrderedDict()
        self._length = 0

    def get(self, key: Hashable, length: int, make: Callable[[], Any]) -> Any:
        """What stands under a key, made where nothing does. Two threads may both make it; either is right."""
        with self._lock:
            found = self._kept.get(key)
            if found is not None:
                self._kept.move_to_end(key)
                return found[0]
        made = make()
        with self._lock:
            if key not in self._kept and length <= self._characters:
                self._kept[key] = (made, length)
                self._length += length
                while len(self._kept) > self._most or self._length > self._characters:
                    self._length -= self._kept.popitem(last=False)[1][1]
        return made

    def clear(self) -> None:
        """Forget everything."""
        with self._lock:
            self._kept.clear()
            self._length = 0

    def __len__(self) -> int:
        return len(self._kept)


parts_read = Readings(MOST_KEPT, MOST_CHARACTERS)
days_read = Readings(DAYS_KEPT, DAYS_CHARACTERS)


def read(kind: type[M], text: str) -> M:
    """A model from its JSON as it is kept."""
    return parts_read.get((kind, text), len(text), lambda: kind.model_validate_json(text))


def reader(kind: type[M]) -> Callable[[str], M]:
    """The same, for whoever wants something that reads texts."""
    return lambda text: read(kind, text)


def forget() -> None:
    """Forget every model: what is erased must not live on here."""
    parts_read.clear()
    days_read.clear()
