"""Whether the drag of rockets is off as the dispersion draws it, from rocket to rocket.

The spread of the drag says how far the computed drag may be off for a rocket nobody has measured. What the factors of
measured rockets scatter, over what their own intervals explain, is what it should be.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from service.models.learning import RocketLearning, Scatter
from service.planning.learning.scatter import DEFAULTS, MOST, Axis, judged
from service.planning.learning.statistics import chi_square_points, student

DRAG = Axis("drag from rocket to rocket", ("drag",))
LEAST_ROCKETS = 5  # fewer leave a spread open by more than a factor of three


def _measured(rockets: Sequence[RocketLearning]) -> tuple[np.ndarray, np.ndarray, int]:
    """ln of each rocket's factor, its standard error, and the flights behind all of them."""
    found = [each.factor for each in rockets if each.rocket is not None and each.factor is not None]
    logs = np.array([math.log(each.factor) for each in found])
    errors = np.array([math.log(each.high / each.low) / 2.0 / student(each.flights - 1) for each in found])
    return logs, errors, sum(each.flights for each in found)


def _chi_square(logs: np.ndarray, errors: np.ndarray, spread: float) -> float:
    weight = 1.0 / (spread**2 + errors**2)
    mean = float(np.sum(weight * logs) / np.sum(weight))
    return float(np.sum(weight * (logs - mean) ** 2))


def better_drag_spread(
    rockets: Sequence[RocketLearning], spreads: Mapping[str, float]
) -> tuple[Scatter, dict[str, float], int] | None:
    """The scatter that speaks for another spread of the drag, that spread, and the flights it is of; None where the
    one in force fits, or too few rockets have a factor.

    Wider, it meets the scatter; narrower, it goes no lower than the top of the interval.
    """
    from scipy.optimize import brentq

    logs, errors, flights = _measured(rockets)
    if logs.size < LEAST_ROCKETS:
        return None
    in_force = spreads.get("drag", DEFAULTS["drag"])
    freedom = logs.size - 1
    low, high = chi_square_points(freedom)
    found = _chi_square(logs, errors, in_force)
    if low <= found <= high:
        return None
    target = float(freedom) if found > high else low

    def off(spread: float) -> float:
        return _chi_square(logs, errors, spread) - target

    if not off(1e-6) >= 0.0 >= off(MOST["drag"]):
        return None
    spread = float(f"{brentq(off, 1e-6, MOST['drag'], xtol=1e-5):.2g}")
    scatter = judged(found, freedom, float(np.sqrt(np.mean(in_force**2 + errors**2))))
    return scatter, {"drag": spread}, flights
