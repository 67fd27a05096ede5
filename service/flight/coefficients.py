"""Small curves that several parts of the drag build-up share."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np


def smooth_step(value, low: float, high: float):
    """0 below low, 1 above high, a cubic with level ends between."""
    t = np.clip((np.asarray(value, dtype=float) - low) / (high - low), 0.0, 1.0)
    return t * t * (3.0 - 2.0 * t)


def bridged(function: Callable[[np.ndarray], np.ndarray], mach, low: float, high: float) -> np.ndarray:
    """A curve over Mach with the stretch from low to high replaced by a cubic that keeps values and slopes at its ends.

    For theories that break down at Mach 1: their kinks and infinite slopes there are not the air's.
    """
    mach = np.atleast_1d(np.asarray(mach, dtype=float))
    step, width = 1e-4, high - low
    before, start, end, after = function(np.array([low - step, low, high, high + step]))
    t = np.clip((mach - low) / width, 0.0, 1.0)
    bridge = (
        start * (1.0 + 2.0 * t) * (1.0 - t) ** 2
        + end * t * t * (3.0 - 2.0 * t)
        + (start - before) / step * width * t * (1.0 - t) ** 2
        + (after - end) / step * width * t * t * (t - 1.0)
    )
    return np.where((mach > low) & (mach < high), bridge, function(mach))


def stagnation_ratio(mach):
    """Stagnation pressure coefficient: isentropic below Mach 1, behind a normal shock above. [-]

    Series of the isentropic and Rayleigh pitot relations, 1 + M²/4 + M⁴/40 and
    1.84 - 0.76/M² + 0.166/M⁴ + 0.035/M⁶; within 0.6 % of them, worst near Mach 1.

    References
    ----------
    .. [1] NACA Report 1135, Equations, Tables, and Charts for Compressible Flow, 1953 (the exact relations).
    """
    mach = np.asarray(mach, dtype=float)
    m2 = np.maximum(mach, 1.0) ** 2
    below = 1.0 + mach**2 / 4.0 + mach**4 / 40.0
    above = 1.84 - 0.76 / m2 + 0.166 / m2**2 + 0.035 / m2**3
    return np.where(mach < 1.0, below, above)


def base_pressure_drag(mach):
    """Drag of a blunt base on its own area: 0.12 + 0.13 M² below Mach 1, 0.25/M above. [-]

    References
    ----------
    .. [1] Fleeman, E. L., Tactical Missile Design, base drag while coasting (from memory, not re-read).
    """
    mach = np.asarray(mach, dtype=float)
    return np.where(mach < 1.0, 0.12 + 0.13 * mach**2, 0.25 / np.maximum(mach, 1.0))


def hoerner_base_drag(forebody_drag: float, base_over_diameter: float = 1.0) -> float:
    """Subsonic base drag from the forebody's drag, both on the body's section: 0.029 (dB/d)³ / sqrt(CD_f). [-]

    A second opinion on `base_pressure_drag`, 0.065 to 0.09 where that gives 0.13: the gap is the honest
    uncertainty of base drag.

    References
    ----------
    .. [1] Hoerner, S. F., Fluid-Dynamic Drag, 1965, chapter 3 (from memory, not re-read).
    """
    return 0.029 * base_over_diameter**3 / float(np.sqrt(forebody_drag))
