"""How often flights end each way, counted.

References
----------
C. J. Clopper, E. S. Pearson, Biometrika 26 (1934) 404-413, doi:10.1093/biomet/26.4.404 (interval).
H. Jeffreys, Theory of Probability, Oxford 1961, 3.1 (prior with half a success and half a failure; from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from geo.containment import lower_bound, upper_bound
from service.models.flight_log import STAYED
from service.models.learning import ModeLearning
from service.models.policy import ModeChances
from service.planning.learning.cases import Case
from service.planning.learning.statistics import CONFIDENCE

NOT_KNOWN = ("lost", "other")  # nobody saw how it ended
SIDE = 0.5 + CONFIDENCE / 2.0


def could_end(case: Case, mode: str) -> bool:
    """Whether a flight that left the pad could have ended this way."""
    if case.flight.happened in STAYED:
        return False
    if mode == "one_unlit":
        return case.entry.motor_count > 1
    return case.devices >= (1 if mode == "no_deployment" else 2)


def count_modes(cases: Sequence[Case], chances: ModeChances) -> list[ModeLearning]:
    """Each mode's count with its interval, beside the chance in force; modes that no flight could end in left out."""
    found = []
    for mode in ModeChances.model_fields:
        may = [case for case in cases if could_end(case, mode)]
        if not may:
            continue
        happened = sum(1 for case in may if case.flight.happened == mode)
        unknown = sum(1 for case in may if case.flight.happened in NOT_KNOWN)
        in_force = getattr(chances, mode)
        low = lower_bound(happened, len(may), SIDE)
        high = upper_bound(happened + unknown, len(may), SIDE)
        outside = not low <= in_force <= high
        said = "lies outside that" if outside else "fits that"
        lost = f", {unknown} of unknown end" if unknown else ""
        found.append(
            ModeLearning(
                mode=mode,
                happened=happened,
                of=len(may),
                not_known=unknown,
                in_force=in_force,
                low=low,
                high=high,
                words=f"{happened} of {len(may)} flights{lost}: between {_percent(low)} and {_percent(high)}; "
                f"the chance in force, {_percent(in_force)}, {said}.",
            )
        )
    return found


def proposed_chance(each: ModeLearning) -> float | None:
    """A chance to put in place of the one in force, where that lies outside the interval; None where it fits.

    Raised, it is the mean of what the counts leave under Jeffreys' prior, those of unknown end counted as this mode;
    lowered, it goes no lower than the top of the interval.
    """
    if each.low <= each.in_force <= each.high:
        return None
    if each.in_force > each.high:
        return _up(each.high)
    return _up((each.happened + each.not_known + 0.5) / (each.of + 1.0))


def _up(chance: float) -> float:
    """Three decimals, rounded up."""
    return min(1.0, math.ceil(1000.0 * chance - 1e-9) / 1000.0)


def _percent(chance: float) -> str:
    return f"{100.0 * chance:.2g} %" if chance < 0.995 else f"{100.0 * chance:.0f} %"
