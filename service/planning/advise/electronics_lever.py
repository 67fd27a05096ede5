"""An altimeter that opens the first device at the top, where the motor's charge opens it now.

It has to be built in, so it is tried last: after all that can be done at the table, singly and in pairs.
"""

from __future__ import annotations

from service.flight.errors import FlightError
from service.models.entry import Entry
from service.models.field import Pad
from service.models.recovery import AtApogee, AtMotorDelay
from service.planning.advise.delays import backup_delay, best_delay
from service.planning.advise.lever import OPENING, Lever, row
from service.planning.advise.trials import Trials

LEAST_DIAMETER_M = 0.029  # a tube that still takes a bay for the smallest altimeters (engineering estimate)
LEAST_MASS_KG = 0.2  # under this the bay weighs too much of the rocket (engineering estimate)
NONE = Lever("electronics", (), ramp=False)


def electronics_lever(trials: Trials, entry: Entry, pad: Pad | None) -> Lever:
    """One trial: what waits for the motor's charge opens at apogee instead, the charge kept as its backup."""
    rocket = entry.rocket
    waiting = [device for device in entry.recovery if isinstance(device.deploy, AtMotorDelay)]
    fits = rocket.overall_diameter_m >= LEAST_DIAMETER_M and rocket.mass_kg >= LEAST_MASS_KG
    if len(waiting) != 1 or not fits or waiting[0].kind not in ("parachute", "streamer"):
        return NONE
    motor = trials.day.motor_by_id(entry.motor)
    try:
        best = best_delay(trials, entry, motor)
    except FlightError:
        return NONE
    device = waiting[0]
    devices = list(entry.recovery)
    devices[entry.recovery.index(device)] = device.model_copy(update={"deploy": AtApogee(at="apogee")})
    words = f"Build in an altimeter that opens the {device.name} at apogee, in place of the motor's charge"
    notes = ["The altimeter's weight is not reckoned, nor a flight in which it fails."]
    delay_s = entry.delay_s
    if delay_s is not None:
        delay_s = backup_delay(motor.delays.offered_s(), best.delay_s)
        if delay_s is None:
            delay_s = max(motor.delays.offered_s())
            notes.append("The motor's charge would fire before the top or close to it: take it out.")
        else:
            words += f", and a delay of {delay_s:g} s as its backup"
    changed = entry.model_copy(update={"recovery": tuple(devices), "delay_s": delay_s})
    return row(
        "electronics", [(changed, pad, f"{words}.", tuple(notes))], "one altimeter", ramp=False, bears_on=OPENING
    )
