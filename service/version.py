"""The version of the distribution, and a fingerprint of everything an assessment is computed with."""

from __future__ import annotations

import hashlib
from functools import lru_cache
from pathlib import Path

VERSION = "0.1.0"
ENGINE_PARTS = ("service/flight", "service/models", "service/codes", "service/planning", "geo")


@lru_cache(maxsize=1)
def engine() -> str:
    """Version and source fingerprint: two engines of one name compute the same figures. `0.1.0+1a2b3c4d5e6f`"""
    root = Path(__file__).resolve().parent.parent
    digest = hashlib.sha256()
    for part in ENGINE_PARTS:
        for path in sorted((root / part).rglob("*")):
            if path.suffix in (".py", ".toml") and "__pycache__" not in path.parts:
                digest.update(path.relative_to(root).as_posix().encode())
                digest.update(path.read_bytes())
    return f"{VERSION}+{digest.hexdigest()[:12]}"
