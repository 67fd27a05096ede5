"""The flight simulator: plain values in, plain values out. `simulate` flies once, `disperse` many times."""

from __future__ import annotations

from typing import Any


def __getattr__(name: str) -> Any:
    """Load the compiled kernel only when something is flown: `rangehand check` needs none of it."""
    if name == "simulate":
        from .nominal import simulate

        return simulate
    if name == "disperse":
        from .dispersion import disperse

        return disperse
    if name == "Setup":
        from .setup import Setup

        return Setup
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
