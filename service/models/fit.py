"""Whether a motor goes into a rocket, and whether a delay can be had."""

from __future__ import annotations

from collections.abc import Iterable

from service.models.base import Problem
from service.models.entry import Entry
from service.models.motor import Motor, listed
from service.models.recovery import AtMotorDelay
from service.models.rocket import Rocket

SLACK_M = 0.0005
# Smallest circle, in diameters of one, around so many equal circles (Kravitz 1967, from memory, not re-read);
# beyond seven the area alone is a bound.
_AROUND = {1: 1.0, 2: 2.0, 3: 2.1547, 4: 2.4142, 5: 2.7013, 6: 3.0, 7: 3.0}


def motor_problems(rocket: Rocket, motor: Motor, motor_count: int = 1) -> Iterable[Problem]:
    """Why so many of a motor do not go into a rocket; paths as seen from an entry. Empty when they do."""
    mount = rocket.mount
    if motor.diameter_m > mount.diameter_m + SLACK_M:
        yield Problem(
            ("motor",),
            f'"{motor.id}", {motor.diameter_m:g} m in diameter',
            f"a motor that fits the mount of {mount.diameter_m:g} m",
        )
    longest_m = rocket.overall_length_m if mount.open_ended else mount.length_m
    if motor.length_m > longest_m + SLACK_M:
        what = "rocket" if mount.open_ended else "mount"
        yield Problem(
            ("motor",), f'"{motor.id}", {motor.length_m:g} m long', f"a motor that fits the {what}, {longest_m:g} m"
        )
    around_m = _AROUND.get(motor_count, motor_count**0.5) * motor.diameter_m
    if motor_count > 1 and around_m > rocket.overall_diameter_m + SLACK_M:
        yield Problem(
            ("motor_count",),
            f"{motor_count} motors that need a body of {around_m:.3g} m",
            f"as many as go into {rocket.overall_diameter_m:g} m",
        )


def delay_problems(entry: Entry, motor: Motor) -> Iterable[Problem]:
    """Why an entry's delay cannot be had from its motor. Empty when it can."""
    offered_s = motor.delays.offered_s()
    if entry.delay_s is None:
        return
    if not offered_s:
        yield Problem(
            ("delay_s",), f"{entry.delay_s:g} s from a plugged motor", "null, and recovery set off by electronics"
        )
    elif not any(abs(entry.delay_s - delay_s) < 1e-6 for delay_s in offered_s):
        yield Problem(("delay_s",), f"{entry.delay_s:g} s", f"a delay that {motor.id} offers: {listed(offered_s)}")


def waits_for_motor(entry: Entry) -> bool:
    """Whether any recovery device is set off by the motor's delay."""
    return any(isinstance(device.deploy, AtMotorDelay) for device in entry.recovery)
