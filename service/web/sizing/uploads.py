"""Files that were sent for long work: kept in memory for a while, so that a page's address can name them.

A restart forgets them, as it forgets what came of the work; sending them again brings both back.
"""

from __future__ import annotations

import hashlib
import threading
from collections import OrderedDict
from dataclasses import dataclass

from flask import current_app

KEPT = 24
ID_DIGITS = 16


@dataclass(frozen=True)
class Upload:
    """A file as it was sent."""

    id: str
    name: str
    data: bytes


class Uploads:
    """The files of one running service; the one not asked for longest goes first."""

    def __init__(self, kept: int = KEPT) -> None:
        self._kept = kept
        self._files: OrderedDict[tuple[str, str], Upload] = OrderedDict()
        self._lock = threading.Lock()

    def put(self, day_id: str, name: str, data: bytes) -> Upload:
        """Keep a file of a launch day. The same file has the same id."""
        found = Upload(hashlib.sha256(data).hexdigest()[:ID_DIGITS], name, data)
        with self._lock:
            self._files[day_id, found.id] = found
            self._files.move_to_end((day_id, found.id))
            while len(self._files) > self._kept:
                self._files.popitem(last=False)
        return found

    def get(self, day_id: str, upload_id: str) -> Upload | None:
        """The file, if it is still kept."""
        with self._lock:
            found = self._files.get((day_id, upload_id))
            if found is not None:
                self._files.move_to_end((day_id, upload_id))
            return found


def uploads() -> Uploads:
    """Those of the running app."""
    return current_app.extensions.setdefault("uploads", Uploads())
