"""The same flight once more, in plain numpy with an adaptive integrator: slow, and written apart from the kernel.

It stands beside the kernel as a second opinion: the equations are `plain_equations`, events and steps are scipy's.
Both read the same tables. Used by `rangehand bench` and by the tests.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from . import kernel
from .craft import AT_ALTITUDE, AT_APOGEE, AT_MOTOR_DELAY, Craft
from .errors import IntegrationStopped
from .plain_equations import body_rates, canopy_rates, delivered, guide_acceleration, mass_properties, tip_off_rates
from .setup import Setup, flown_modes, pack, pack_devices

LONGEST_S = 20_000.0


@dataclass(frozen=True)
class PlainFlight:
    """A flight flown twice over. States are 13 numbers as in `craft`; landings are (east, north, time, down, across).

    `exit_*` is the end of the guide; `apogee` the state there; `opening` the six states at the first opening.
    """

    liftoff_s: float
    exit_s: float
    exit_speed_mps: float
    apogee_s: float
    apogee: np.ndarray
    opening_s: float
    opening: np.ndarray | None
    landings: dict[str, np.ndarray]


@dataclass(frozen=True)
class _Solver:
    method: str
    rtol: float
    atol: float
    at_knots: bool

    def run(self, rates, start_s: float, until_s: float, y, events):
        """Integrate until the first of the events, each stopping it. Returns (time, state, event or -1)."""
        from scipy.integrate import solve_ivp  # a third of a second to import

        for event in events:
            event.terminal = True
        found = solve_ivp(
            rates, (start_s, until_s), y, method=self.method, rtol=self.rtol, atol=self.atol, events=events or None
        )
        if found.status < 0:
            raise IntegrationStopped(f"the plain integrator stopped at {found.t[-1]:g} s: {found.message}")
        hit = [number for number in range(len(events)) if found.t_events[number].size]
        if found.status == 1:
            number = hit[0]
            return float(found.t_events[number][-1]), found.y_events[number][-1], number
        return float(found.t[-1]), found.y[:, -1], -1


def _leave_guide(craft: Craft, solver: _Solver) -> tuple[float, float, float]:
    """Times of first motion and of leaving, and the speed then."""
    from scipy.optimize import brentq

    fine = np.unique(np.concatenate([craft.knot_s, np.linspace(0.0, craft.knot_s[-1], 2001)]))
    pushes = [guide_acceleration(craft, None, time_s, 0.0, 0.0) for time_s in fine]
    moving = next((i for i, push in enumerate(pushes) if push > 0.0), None)
    if moving is None:
        raise IntegrationStopped("the thrust never carries the rocket to the end of the guide")
    liftoff_s = 0.0
    if moving > 0:
        liftoff_s = brentq(
            lambda time_s: guide_acceleration(craft, None, time_s, 0.0, 0.0), fine[moving - 1], fine[moving], xtol=1e-13
        )

    def left(_time_s, y):
        return y[0] - craft.guide_length_m

    time_s, y = liftoff_s, np.zeros(2)
    for until_s, burning in _pieces(craft, solver, time_s, time_s + 60.0):
        time_s, y, why = solver.run(
            lambda t, y, burning=burning: np.array([y[1], guide_acceleration(craft, burning, t, y[0], y[1])]),
            time_s, until_s, y, [left],
        )  # fmt: skip
        if why == 0:
            return liftoff_s, time_s, float(y[1])
    raise IntegrationStopped("the thrust never carries the rocket to the end of the guide")


def _pieces(craft: Craft, solver: _Solver, time_s: float, until_s: float):
    """Ends of the pieces to integrate in one go, and whether thrust is on in them (None: by the clock)."""
    if not solver.at_knots:
        yield until_s, None
        return
    for knot_s in craft.knot_s:
        if time_s < knot_s < until_s:
            yield float(knot_s), True
    yield until_s, until_s <= craft.knot_s[-1]


def _free(craft: Craft, solver: _Solver, time_s: float, until_s: float, y, events):
    """Free flight until a moment or an event."""
    why = -1
    for end_s, burning in _pieces(craft, solver, time_s, until_s):
        time_s, y, why = solver.run(
            lambda t, y, burning=burning: body_rates(craft, burning, t, y), time_s, end_s, y, events
        )
        if why >= 0:
            break
    return time_s, y, why


def _falling(_time_s, y):
    return y[5]


_falling.direction = -1.0  # type: ignore[attr-defined]  # scipy reads it off the function


def _through(height_m: float):
    def crossing(_time_s, y):
        return y[2] - height_m

    crossing.direction = -1.0  # type: ignore[attr-defined]
    return crossing


def _descend(craft, solver, y, time_s, mass_kg, body_area_m2, devices, used, together, apogee_s) -> np.ndarray:
    """From the first opening to the ground, every moment integrated. `devices`: (area, trigger, value) each."""
    burnout_s, opened = craft.knot_s[-1], set()
    while True:
        if math.isnan(apogee_s) and y[5] <= 1e-9:
            apogee_s = time_s
        due_s, events = {}, [_through(0.0)]
        for number, (_area, trigger, value) in enumerate(devices[:used]):
            if trigger == AT_ALTITUDE:
                if y[5] <= 1e-9 and y[2] <= value + 1e-6:
                    opened.add(number)
                elif value > 0.0 and number not in opened:
                    events.append(_through(value))
            else:
                due_s[number] = (burnout_s if trigger == AT_MOTOR_DELAY else apogee_s) + value
        opened |= {number for number, moment_s in due_s.items() if time_s >= moment_s - 1e-9}
        if together and opened:
            opened = set(range(used))
        if math.isnan(apogee_s):
            events.append(_falling)
        later = [moment_s for number, moment_s in due_s.items() if number not in opened and math.isfinite(moment_s)]
        area = body_area_m2 + sum(devices[number][0] for number in opened)
        time_s, y, why = solver.run(
            lambda _t, y, area=area: canopy_rates(craft, area / mass_kg, y),
            time_s, min([*later, time_s + LONGEST_S]), y, events,
        )  # fmt: skip
        if why == 0:
            return np.array([y[0], y[1], time_s, -y[5], math.hypot(y[3], y[4])])
        if why < 0 and not later:
            raise IntegrationStopped(f"the plain descent was still {y[2]:g} m up after {LONGEST_S:g} s")


def perturbed(craft: Craft, devices, draw: np.ndarray, spread: np.ndarray):
    """The craft and its devices as one sample of the dispersion sees them (`kernel` names the columns)."""
    k = kernel
    levels = craft.levels.copy()
    shares = spread[:, k.SHARE_ALL : k.SHARE_HIGH + 1]
    along = shares @ draw[k.SPEED_ALL : k.SPEED_HIGH + 1]
    across = shares @ draw[k.TURN_ALL : k.TURN_HIGH + 1]
    gust = spread[:, k.GUST_DECAY]
    toward = levels[:, 2] + 1j * levels[:, 3]
    toward += along * (spread[:, 0] + 1j * spread[:, 1]) + across * (spread[:, 2] + 1j * spread[:, 3])
    toward *= np.exp(-1j * draw[k.PLACE_IN_ARC] * spread[:, k.HALF_ARC])  # clockwise, as bearings go
    toward += gust * (draw[k.GUST_EAST_MPS] + 1j * draw[k.GUST_NORTH_MPS])
    levels[:, 2], levels[:, 3] = toward.real, toward.imag
    changed = craft._replace(
        levels=levels,
        knot_s=craft.knot_s * draw[k.BURN_SCALE],
        knot_n=craft.knot_n * draw[k.IMPULSE_SCALE] / draw[k.BURN_SCALE],
        knot_ns=craft.knot_ns * draw[k.IMPULSE_SCALE],
        axis_east=draw[k.AXIS_EAST], axis_north=draw[k.AXIS_NORTH], axis_up=draw[k.AXIS_UP],
        drag_scale=draw[k.DRAG_SCALE], mass_scale=draw[k.MASS_SCALE], fin_cant_rad=draw[k.FIN_CANT],
        cg_shift_m=craft.cg_shift_m + draw[k.CG_SHIFT_M], cp_shift_m=craft.cp_shift_m + draw[k.CP_SHIFT_M],
        thrust_pitch=draw[k.THRUST_PITCH], thrust_yaw=draw[k.THRUST_YAW],
    )  # fmt: skip
    moved = []
    for number, (area, trigger, value) in enumerate(devices):
        if trigger == AT_MOTOR_DELAY:
            value = max(value + draw[k.DELAY_SHIFT_S], 0.0)
        elif trigger == AT_ALTITUDE:
            value = max(value * draw[k.ALTITUDE_SCALE] + draw[k.ALTITUDE_SHIFT_M], 0.0)
        moved.append((area * draw[k.OTHER_AREA_SCALE if number else k.FIRST_AREA_SCALE], trigger, value))
    return changed, moved


def fly_plain(
    setup: Setup,
    method: str = "RK45",
    rtol: float = 1e-6,
    atol: float = 1e-6,
    draw: tuple[np.ndarray, np.ndarray] | None = None,
    at_knots: bool = True,
) -> PlainFlight:
    """Fly `setup` in every mode with `scipy.integrate.solve_ivp`.

    Parameters
    ----------
    setup : Setup
    method : str
        ``RK45`` or ``DOP853``.
    rtol, atol : float
        Tolerances of the integrator, per state in SI. [-], [as the state]
    draw : (draw, spread), optional
        One sample of the dispersion: its row of `dispersion.draws` (27,) and the table `dispersion.wind_spread`.
    at_knots : bool
        Restart at every knot of the thrust curve, which the error estimate else has to discover.

    Raises
    ------
    OutsideModel, IntegrationStopped
        As `simulate`, with fewer distinctions.

    References
    ----------
    J. R. Dormand, P. J. Prince, A family of embedded Runge-Kutta formulae, J. Comp. Appl. Math. 6 (1980).
    """
    craft, devices = pack(setup), list(zip(*(column.tolist() for column in pack_devices(setup)), strict=True))
    if draw is not None:
        craft, devices = perturbed(craft, devices, *draw)
    solver = _Solver(method, rtol, atol, at_knots)
    liftoff_s, exit_s, speed = _leave_guide(craft, solver)
    axis = np.array([craft.axis_east, craft.axis_north, craft.axis_up])
    half_turn = np.array([1.0 + axis[0], 0.0, -axis[2], axis[1]])  # carries body x onto the axis by the shortest way
    start = np.concatenate(
        [
            craft.guide_length_m * axis, speed * axis, half_turn / np.linalg.norm(half_turn),
            tip_off_rates(craft, exit_s, speed, axis, half_turn / np.linalg.norm(half_turn)),
        ]
    )
    burnout_s = float(craft.knot_s[-1])
    eject_s = min(
        (burnout_s + value for _area, trigger, value in devices if trigger == AT_MOTOR_DELAY), default=math.inf
    )

    opening_s, opening = math.nan, None
    time_s, y, why = _free(craft, solver, exit_s, min(max(eject_s, exit_s), LONGEST_S), start, [_falling])
    if why < 0:
        opening_s, opening = time_s, y
        time_s, y, why = _free(craft, solver, time_s, LONGEST_S, y, [_falling])
    early = opening is not None
    apogee_s, apogee = time_s, y
    if not early and devices:
        moments = [apogee_s + value for _area, trigger, value in devices if trigger == AT_APOGEE] + [eject_s]
        height_m = max((value for _area, trigger, value in devices if trigger == AT_ALTITUDE), default=0.0)
        moments += [apogee_s] if height_m >= y[2] else []
        why = -1
        if min(moments) > apogee_s:
            events = [_through(0.0)] + ([_through(height_m)] if height_m > 0.0 else [])
            time_s, y, why = _free(craft, solver, time_s, min(min(moments), LONGEST_S), y, events)
        if why != 0:
            opening_s, opening = time_s, y
    if y[2] > 1e-6:
        time_s, y, why = _free(craft, solver, time_s, LONGEST_S, y, [_through(0.0)])
    landings = {"no_deployment": np.array([y[0], y[1], time_s, -y[5], math.hypot(y[3], y[4])])}
    landings["planned"] = landings["no_deployment"]
    if opening is not None:
        fraction = delivered(craft, opening_s)[1]
        mass_kg = mass_properties(craft, fraction)[0]
        flown = dict(zip(kernel.MODES, flown_modes(setup), strict=True))
        for mode, used, together in (
            ("planned", len(devices), False),
            ("drogue_only", 1, False),
            ("main_at_apogee", len(devices), True),
        ):
            if flown[mode]:
                landings[mode] = _descend(
                    craft, solver, opening[:6], opening_s, mass_kg, setup.body_drag_area_m2, devices, used, together,
                    math.nan if early else apogee_s,
                )  # fmt: skip
    return PlainFlight(
        liftoff_s, exit_s, speed, apogee_s, apogee, opening_s, None if opening is None else opening[:6], landings
    )
