"""One process at a time compiles the kernel, or fetches it compiled.

Numba replaces the files of its cache whole, but index and code are two files: of two processes that compile the same
function for different arguments at once, both may take the same name for their code, and a third may then read the
one's index with the other's code, which ends the process. SQLite's lock on a file is the one lock of the standard
library that works the same on every system and goes with the process that holds it.
"""

from __future__ import annotations

import sqlite3
from pathlib import Path
from types import TracebackType

LONGEST_WAIT_S = 300.0  # some ten times what a slow machine needs to compile everything


class CompileLock:
    """Held by one process; enter it under a lock between threads. Entered again while held, it only counts.

    Where nothing can be locked (a file system without locks, a wait past all reason) it goes on without: the cache
    then is as it would be without this.
    """

    def __init__(self, file: Path, longest_wait_s: float = LONGEST_WAIT_S) -> None:
        self.file, self.longest_wait_s = file, longest_wait_s
        self._depth = 0
        self._connection: sqlite3.Connection | None = None

    def __enter__(self) -> None:
        self._depth += 1
        if self._depth > 1:
            return
        try:
            # numba's own lock lets only one thread come here at a time, though not always the same one
            self._connection = sqlite3.connect(
                self.file, timeout=self.longest_wait_s, isolation_level=None, check_same_thread=False
            )
            self._connection.execute("BEGIN EXCLUSIVE")
        except sqlite3.Error:
            self._let_go()

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._depth -= 1
        if self._depth == 0:
            self._let_go()

    def _let_go(self) -> None:
        if self._connection is not None:
            self._connection.close()
        self._connection = None
