"""What goes wrong while a day is planned.

AdviceError
├── AdviceStopped   the asker called it off (from advise)
└── NothingToPlan   there is no forecast, or no entry, to plan with
"""

from __future__ import annotations

from service.planning.advise.errors import AdviceError


class NothingToPlan(AdviceError):
    """No plan can be made; the text says why."""
