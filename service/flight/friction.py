"""Skin friction: mean coefficient of a plate by Reynolds number, roughness and Mach number."""

from __future__ import annotations

import numpy as np

from .coefficients import smooth_step

LOWEST_REYNOLDS = 1e4
TRANSITION_REYNOLDS = 5e5
SMOOTH_M = 1e-9  # finer than this no roughness is felt
POLISHED_UM = 1.0  # finishes this fine may keep a laminar run; painted and jointed airframes do not


def laminar_friction(reynolds):
    """Blasius' mean friction, 1.328 / sqrt(Re). Closed form. [-]"""
    return 1.328 / np.sqrt(reynolds)


def turbulent_friction(reynolds):
    """Smooth turbulent mean friction, 1 / (3.46 lg Re - 5.6)², for Re from 1e4. [-]

    References
    ----------
    .. [1] Hoerner, S. F., Fluid-Dynamic Drag, 1965, chapter 2 (from memory, not re-read). Within 3 % of the
       Prandtl-Schlichting and Karman-Schoenherr lines at 1e6 and 4 % at 1e7.
    """
    return 1.0 / (3.46 * np.log10(np.maximum(reynolds, LOWEST_REYNOLDS)) - 5.6) ** 2


def rough_friction(roughness_m: float, length_m: float) -> float:
    """Mean friction that roughness sets whatever the Reynolds number: 0.032 (k/L)^0.2. Barrowman, 1967 thesis. [-]"""
    return 0.032 * (roughness_m / length_m) ** 0.2


def critical_reynolds(roughness_m: float, length_m: float) -> float:
    """Reynolds number above which roughness rules: 51 (k/L)^-1.039. Barrowman, 1967 thesis. [-]"""
    return 51.0 * (roughness_m / length_m) ** -1.039


def mean_friction(reynolds, roughness_m: float, length_m: float, mach):
    """Mean friction coefficient of a surface, over Reynolds and Mach number. [-]

    Smooth turbulent, or the rough plate's where that is greater and the Reynolds number is past critical.
    The step of about a tenth there is spread over Re_c/2 to Re_c. Only a polished finish (up to 1 um) is
    given a laminar run, up to Re 5e5, after Prandtl: 1700/Re below the turbulent line.

    Compressible: 1 - 0.1 M² below Mach 1; above, 1/(1 + 0.15 M²)^0.58 smooth and 1/(1 + 0.18 M²) rough,
    passing from one to the other over Mach 0.9 to 1.1.

    References
    ----------
    .. [1] Barrowman, 1967 thesis. .. [2] Schlichting, Boundary-Layer Theory. Both from memory, not re-read.
    """
    mach = np.asarray(mach, dtype=float)
    re = np.maximum(np.asarray(reynolds, dtype=float), LOWEST_REYNOLDS)
    smooth = turbulent_friction(re)
    if roughness_m <= POLISHED_UM * 1e-6:
        smooth = np.maximum(np.minimum(laminar_friction(re), smooth), smooth - 1700.0 / re)
    past = smooth_step(mach, 0.9, 1.1)
    slow = 1.0 - 0.1 * np.minimum(mach, 1.1) ** 2
    smooth = smooth * (slow + past * ((1.0 + 0.15 * mach**2) ** -0.58 - slow))
    if roughness_m < SMOOTH_M:
        return smooth
    rough = rough_friction(roughness_m, length_m) * (slow + past * (1.0 / (1.0 + 0.18 * mach**2) - slow))
    critical = critical_reynolds(roughness_m, length_m)
    share = smooth_step(np.log(re), np.log(critical / 2.0), np.log(critical))
    return smooth + share * (np.maximum(smooth, rough) - smooth)
