"""How the kernel is compiled, and where the compiled code is kept.

Numba's own cache looks at one file at a time: a helper changed in another module would go unnoticed and an old
kernel would fly. So the cache folder is named after a hash of every source file of this package. Where nothing
can be written (a read-only tree without a home), the folder falls back to the temporary directory. Processes that
start at once on changed sources compile one after the other; those that wait then find it done.
"""

from __future__ import annotations

import hashlib
import os
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numba
from numba.core.compiler_lock import global_compiler_lock

from .compile_lock import CompileLock

NOT_COMPILED = ("plain.py", "plain_equations.py", "trial_flights.py", "compile_lock.py")


def source_hash() -> str:
    """Hash of this package's sources: changes with any change of the physics. 16 hex digits."""
    digest = hashlib.sha256()
    for path in sorted(Path(__file__).parent.glob("*.py")):
        if path.name in NOT_COMPILED:
            continue
        digest.update(path.name.encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


def _cache_folder() -> Path:
    chosen = os.environ.get("NUMBA_CACHE_DIR") or os.environ.get("XDG_CACHE_HOME")
    candidates = [Path(chosen)] if chosen else []
    try:
        candidates.append(Path.home() / ".cache")
    except RuntimeError:
        pass  # no home: the temporary directory below
    candidates.append(Path(tempfile.gettempdir()) / f"rangehand-{os.getuid() if hasattr(os, 'getuid') else 'user'}")
    for base in candidates:
        folder = base / "rangehand" / source_hash()
        try:
            folder.mkdir(parents=True, exist_ok=True)
            with tempfile.TemporaryFile(dir=folder):
                return folder
        except OSError:
            continue
    return Path(tempfile.mkdtemp(prefix="rangehand-"))


numba.config.CACHE_DIR = str(_cache_folder())  # type: ignore[attr-defined]
compile_lock = CompileLock(Path(numba.config.CACHE_DIR) / "compiling")  # type: ignore[attr-defined]


def kernel(function: Callable[..., Any]) -> Any:
    """A compiled entry point: cached on disk, free of the GIL, plain IEEE arithmetic (NaN stays NaN)."""
    dispatcher: Any = numba.njit(cache=True, nogil=True, error_model="numpy")(function)
    if numba.config.DISABLE_JIT:  # type: ignore[attr-defined]
        return dispatcher  # the function itself
    compiles = dispatcher.compile

    def one_process_at_a_time(signature: Any) -> Any:
        with global_compiler_lock, compile_lock:
            return compiles(signature)

    dispatcher.compile = one_process_at_a_time
    return dispatcher


def helper(function: Callable[..., Any]) -> Any:
    """A compiled function of the kernel's own, called as it is: compiled once, however many callers it has."""
    return numba.njit(nogil=True, error_model="numpy")(function)


def inlined(function: Callable[..., Any]) -> Any:
    """A compiled helper, pasted into its caller."""
    return numba.njit(nogil=True, error_model="numpy", forceinline=True)(function)
