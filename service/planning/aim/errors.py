"""What goes wrong while a guide is aimed.

AdviceError
├── AdviceStopped   the asker called it off (from advise)
└── NothingToAim    the target or the flight cannot be used
"""

from __future__ import annotations

from service.planning.advise.errors import AdviceError


class NothingToAim(AdviceError):
    """No setting can be worked out; the text says why."""
