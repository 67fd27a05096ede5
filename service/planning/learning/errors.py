"""What goes wrong while a flight log is learnt from.

AdviceError
├── AdviceStopped    the asker called it off (from advise)
└── NothingToLearn   the log or the question cannot be used
"""

from __future__ import annotations

from service.planning.advise.errors import AdviceError


class NothingToLearn(AdviceError):
    """Nothing can be learnt; the text says why."""
