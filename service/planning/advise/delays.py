"""Which delays to try: those that can be had, around the one that would open at the top."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from service.flight.nominal import simulate
from service.models.entry import Entry
from service.models.fit import waits_for_motor
from service.models.motor import Motor
from service.planning.advise.trials import Trials
from service.planning.flight_inputs import flight_inputs

WINDOW_S = 2.5  # delays further than this from the best are not tried: the first device would open at speed
BACKUP_AFTER_S = 1.0  # where electronics open the first device, the charge follows them by at least this


@dataclass(frozen=True)
class BestDelay:
    """The delay that opens at the top of the nominal flight, and what that flight shows. [s, m, m/s]"""

    delay_s: float
    apogee_m: float
    deploy_speed_mps: float | None


def with_motor(entry: Entry, motor: Motor, delay_s: float | None) -> Entry:
    """The entry on another motor."""
    return entry.model_copy(update={"motor": motor.id, "delay_s": delay_s})


def best_delay(trials: Trials, entry: Entry, motor: Motor) -> BestDelay:
    """Fly the nominal flight to find the best delay, then once more with it.

    Raises
    ------
    FlightError
        If it cannot be flown.
    """
    waits = waits_for_motor(entry)
    first = simulate(flight_inputs(trials.day, with_motor(entry, motor, 0.0), trials.conditions).setup, history=False)
    best_s = max(first.figures["apogee_s"] - first.figures["burnout_s"], 0.0)
    speed = None
    if waits:
        inputs = flight_inputs(trials.day, with_motor(entry, motor, best_s), trials.conditions)
        speed = simulate(inputs.setup, history=False).figures["deploy_airspeed_mps"]
    return BestDelay(best_s, first.figures["apogee_m"], speed)


def delays_to_try(entry: Entry, motor: Motor, best_s: float) -> tuple[float | None, ...]:
    """Delays that can be had and may serve, the nearest to the best first; (None,) for a plugged motor.

    Where electronics open the first device the delay is a backup: the shortest that comes after them.

    >>> from service.models.motor import FixedDelays
    >>> nearest_first(FixedDelays(kind="fixed", seconds=(3.0, 5.0, 7.0)).offered_s(), 5.6)
    (5.0, 7.0)
    """
    offered = motor.delays.offered_s()
    if not offered:
        return (None,)
    if waits_for_motor(entry):
        return nearest_first(offered, best_s)
    if entry.motor == motor.id:
        return (entry.delay_s,)
    backup = backup_delay(offered, best_s)
    return (max(offered) if backup is None else backup,)


def backup_delay(offered: Iterable[float], best_s: float) -> float | None:
    """The shortest delay that comes after electronics have opened the first device; None where none does.

    >>> backup_delay((4.0, 7.0, 10.0), 8.1), backup_delay((4.0, 7.0), 8.1)
    (10.0, None)
    """
    return min((delay for delay in offered if delay >= best_s + BACKUP_AFTER_S), default=None)


def nearest_first(offered: Iterable[float], best_s: float) -> tuple[float, ...]:
    """Delays within the window of the best one, nearest first; the nearest alone where none is. Ties: the longer."""
    ranked = sorted(offered, key=lambda delay: (abs(delay - best_s), -delay))
    return tuple(delay for delay in ranked if abs(delay - best_s) <= WINDOW_S) or (ranked[0],)
