"""What goes wrong while advice is worked out.

AdviceError
├── AdviceStopped    the asker called it off
└── NothingToAdvise  the question does not make sense for this rocket
"""

from __future__ import annotations


class AdviceError(Exception):
    """Advice that cannot be given; the text says why."""


class AdviceStopped(AdviceError):
    """Called off by whoever asked."""


class NothingToAdvise(AdviceError):
    """The question misses a part, such as a rocket without its flyer."""
