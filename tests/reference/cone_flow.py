"""Exact supersonic flow past a cone at zero incidence: the Taylor-Maccoll equation, solved from shock to surface.

Taylor, G. I., and Maccoll, J. W., Proc. R. Soc. A 139 (1933) 278; the oblique shock and isentropic relations as in
NACA Report 1135. Nothing of the project is used here.
"""

from __future__ import annotations

import math

from scipy.integrate import solve_ivp
from scipy.optimize import brentq

GAMMA = 1.4


def _behind_shock(mach: float, shock: float) -> tuple[float, float, float]:
    """Flow deflection, Mach number and pressure ratio behind an oblique shock."""
    normal2 = (mach * math.sin(shock)) ** 2
    turn = math.atan(2.0 / math.tan(shock) * (normal2 - 1.0) / (mach**2 * (GAMMA + math.cos(2.0 * shock)) + 2.0))
    after2 = (1.0 + 0.5 * (GAMMA - 1.0) * normal2) / (GAMMA * normal2 - 0.5 * (GAMMA - 1.0))
    return turn, math.sqrt(after2) / math.sin(shock - turn), 1.0 + 2.0 * GAMMA / (GAMMA + 1.0) * (normal2 - 1.0)


def _surface(mach: float, shock: float) -> tuple[float, float]:
    """Cone half angle that carries this shock, and its surface pressure coefficient."""
    turn, after, ratio = _behind_shock(mach, shock)
    speed = (1.0 + 2.0 / ((GAMMA - 1.0) * after**2)) ** -0.5  # over the greatest speed

    def slope(angle, state):
        radial, across = state
        room = 0.5 * (GAMMA - 1.0) * (1.0 - radial**2 - across**2)
        change = (across**2 * radial - room * (2.0 * radial + across / math.tan(angle))) / (room - across**2)
        return [across, change]

    def at_surface(angle, state):
        return state[1]

    at_surface.terminal = True
    start = [speed * math.cos(shock - turn), -speed * math.sin(shock - turn)]
    path = solve_ivp(slope, (shock, 1e-6), start, events=at_surface, rtol=1e-10, atol=1e-12, method="DOP853")
    angle = float(path.t_events[0][0])
    on_wall = float(path.y_events[0][0][0])
    wall2 = 2.0 / (GAMMA - 1.0) * on_wall**2 / (1.0 - on_wall**2)
    share = 0.5 * (GAMMA - 1.0)
    pressure = ratio * ((1.0 + share * after**2) / (1.0 + share * wall2)) ** (GAMMA / (GAMMA - 1.0))
    return angle, (pressure - 1.0) / (0.5 * GAMMA * mach**2)


def cone_flow(mach: float, half_angle_deg: float) -> tuple[float, float]:
    """Surface pressure coefficient, which is the wave drag on the base area, and shock angle in degrees."""
    wanted = math.radians(half_angle_deg)
    weakest = math.asin(1.0 / mach) + 1e-4
    strongest = weakest
    while strongest < math.radians(80.0) and _surface(mach, strongest)[0] < wanted:
        strongest += math.radians(1.0)
    shock = brentq(lambda at: _surface(mach, at)[0] - wanted, weakest, strongest, xtol=1e-10)
    return _surface(mach, shock)[1], math.degrees(shock)
