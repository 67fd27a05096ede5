"""The version of the distribution, and a fingerprint of everything an assessment is computed with."""

from __future__ import annotations

import hashlib
from functools import lru_cache
from pathlib import Path

VERSION = "0.1.0"
# what computes an assessment; pages, drawings and printing may change without making one stale
ENGINE_PARTS = (
    "service/flight", "service/models", "service/codes", "geo", "service/planning/assess.py",
    "service/planning/estimate.py", "service/planning/facts.py", "service/planning/flight_inputs.py",
    "service/planning/footprints.py", "service/planning/ground.py", "service/planning/people_risk.py",
    "service/planning/plain_words.py", "service/planning/words.py", "reports/figures.py", "reports/sentences.py",
)  # fmt: skip
NOT_FLOWN = ("plain.py", "plain_equations.py", "trial_flights.py")  # the bench's and the tests' own


@lru_cache(maxsize=1)
def engine() -> str:
    """Version and source fingerprint: two engines of one name compute the same figures. `0.1.0+1a2b3c4d5e6f`"""
    root = Path(__file__).resolve().parent.parent
    digest = hashlib.sha256()
    for part in ENGINE_PARTS:
        place = root / part
        for path in sorted(place.rglob("*")) if place.is_dir() else [place]:
            if path.suffix in (".py", ".toml") and path.name not in NOT_FLOWN and "__pycache__" not in path.parts:
                digest.update(path.relative_to(root).as_posix().encode())
                digest.update(path.read_bytes())
    return f"{VERSION}+{digest.hexdigest()[:12]}"
