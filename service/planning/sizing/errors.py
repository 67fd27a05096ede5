"""What goes wrong while a field is sized.

PlanningError
└── TableRefused     a CSV of winds or of a fleet has faults; all of them are listed
AdviceError
├── AdviceStopped    the asker called it off (from advise)
└── NothingToSize    the question misses a part: no fleet, no hour that could be flown
"""

from __future__ import annotations

from collections.abc import Sequence

from service.planning.advise.errors import AdviceError
from service.planning.errors import Fault, PlanningError

LISTED_FAULTS = 100


class TableRefused(PlanningError):
    """A CSV cannot be used. `faults` lists what is wrong, by row and column; `name` says which file."""

    def __init__(self, faults: Sequence[Fault], name: str) -> None:
        listed = tuple(faults[:LISTED_FAULTS])
        if len(faults) > LISTED_FAULTS:
            more = f"{len(faults) - LISTED_FAULTS:,} more faults"
            listed = (*listed, Fault(name, more, "none; mend those above first"))
        self.faults = listed
        self.name = name
        super().__init__("\n".join([f"{name} cannot be used", *map(str, listed)]))


class NothingToSize(AdviceError):
    """No answer can be worked out; the text says why."""
