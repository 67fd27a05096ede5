"""A wind whose direction ranges over an arc: what has to be said wherever something rests on one direction."""

from __future__ import annotations

from collections.abc import Iterator

from service.models.conditions import Conditions

ANYWHERE_DEG = 360.0


def widest_arc_deg(conditions: Conditions) -> float:
    """The widest arc told of any height; 0 where none is. [degrees]"""
    return max(level.arc_deg or 0.0 for level in conditions.wind)


def arc_words(conditions: Conditions) -> Iterator[str]:
    """One sentence where the direction ranges over an arc, of the level with the widest; none elsewhere."""
    level = max(conditions.wind, key=lambda each: each.arc_deg or 0.0)
    if not level.arc_deg:
        return
    if level.arc_deg >= ANYWHERE_DEG:
        told = "The wind's direction is variable: the simulated flights come from every direction alike"
    else:
        told = f"The wind's direction ranges over {level.arc_deg:.0f}°: the simulated flights are drawn over all of it"
    yield f"{told}. The path drawn, and every figure of the nominal flight, is for a wind from {level.from_deg:.0f}°."
