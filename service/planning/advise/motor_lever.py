"""Other motors as a lever: all that fit, nearest in impulse first, each with its obtainable delay."""

from __future__ import annotations

import math

from service.flight.errors import FlightError
from service.models.advice import FixStep
from service.models.entry import Entry
from service.models.field import Pad
from service.models.motor import Motor
from service.planning.advise.delays import best_delay, delays_to_try, with_motor
from service.planning.advise.lever import Lever, Trial, checked
from service.planning.advise.screening import adapter_notes, screened_out
from service.planning.advise.trials import Trials


def motor_lever(
    trials: Trials, entry: Entry, pad: Pad | None, *, adapters: bool = True, reloads: bool | None = None
) -> Lever:
    """Every other motor that fits rocket and flyer and can be flown, with the delays that may serve it."""
    day = trials.day
    now_ns = day.motor_by_id(entry.motor).impulse_ns
    others = [motor for motor in day.motors if motor.id != entry.motor]
    others.sort(key=lambda motor: (abs(math.log(motor.impulse_ns / now_ns)), motor.id))
    found = []
    for number, motor in enumerate(others, start=1):
        trials.check()
        if screened_out(day, entry, motor, adapters=adapters, reloads=reloads):
            continue
        try:
            best = best_delay(trials, entry, motor)
        except FlightError:
            continue
        for delay_s in delays_to_try(entry, motor, best.delay_s):
            trial = motor_trial(entry, pad, motor, delay_s, number / len(others))
            if trial is not None:
                found.append(trial)
    return Lever("motor", tuple(found), ramp=False)


def motor_trial(entry: Entry, pad: Pad | None, motor: Motor, delay_s: float | None, share: float) -> Trial | None:
    """Another motor with a delay of its own: one change, since the delay comes with it."""
    changed = checked(with_motor(entry, motor, delay_s))
    if changed is None:
        return None
    delay = f", delay {delay_s:g} s" if delay_s is not None else ""
    words = f"Fly it on {motor.maker} {motor.designation}{delay}."
    step = FixStep(lever="motor", words=words, step="the motors on offer, nearest in impulse first")
    return Trial(changed, pad, step, share, tuple(adapter_notes(entry, motor)))
