"""Flies every rocket of the fleet in every wind profile, from the north; all fly the same draws."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor, as_completed
from dataclasses import dataclass, replace

import numpy as np

from service.flight.dispersion import Dispersion, disperse
from service.flight.errors import FlightError
from service.flight.nominal import simulate
from service.models.assessment import Mode
from service.models.day import LaunchDay
from service.models.motor import Motor
from service.planning.advise.errors import AdviceStopped
from service.planning.assess import SEED
from service.planning.flight_inputs import FlightInputs, flight_inputs
from service.planning.sizing.fleet import FleetRocket
from service.planning.sizing.profiles import Profile, Profiles

KERNEL_MODES: tuple[Mode, ...] = ("planned", "no_deployment", "drogue_only", "main_at_apogee")


@dataclass(frozen=True)
class Flown:
    """One rocket in one wind from the north: landings about the pad by mode, (n, 2) [m], and apogees (n,) [m].

    `why` says why there is nothing; then the rest is empty.
    """

    landings: dict[Mode, np.ndarray]
    apogees_m: np.ndarray
    apogee_m: float | None
    replicate: np.ndarray
    why: str = ""


@dataclass(frozen=True)
class Flights:
    """All that was flown: by rocket (its place in the fleet), layer and speed."""

    profiles: Profiles
    flown: dict[tuple[int, int, int], Flown]
    samples: int

    def of(self, rocket: int, layer: int, speed: int) -> Flown:
        return self.flown[rocket, layer, speed]

    def why(self, rocket: int) -> str:
        """Why a rocket could not be flown in some wind; empty where it could in all."""
        for (number, _layer, speed), each in sorted(self.flown.items()):
            if number == rocket and each.why:
                return f"at {self.profiles.speeds_mps[speed]:g} m/s: {each.why}"
        return ""


def upright(inputs: FlightInputs) -> FlightInputs:
    """The same flight from an upright guide on an earth that does not turn: it has no direction but the wind's."""
    guide = replace(inputs.setup.guide, tilt_rad=0.0, azimuth_rad=0.0)
    setup = replace(inputs.setup, guide=guide, latitude_rad=None)
    return replace(inputs, setup=setup)


def fly(day: LaunchDay, rocket: FleetRocket, profile: Profile, samples: int, motor: Motor | None = None) -> Flown:
    """One rocket in one wind; a flight that cannot be computed says why. `motor` stands in for its own."""
    nothing = np.empty(0)
    try:
        conditions = profile.conditions(day.conditions)
        inputs = upright(flight_inputs(day, rocket.entry, conditions, motor=motor or rocket.motor))
        nominal = simulate(inputs.setup, history=False)
        found: Dispersion = disperse(
            inputs.setup, samples=samples, seed=SEED, spreads=inputs.spreads, unknown_shape=inputs.unknown_shape,
            soft_devices=inputs.soft_devices, threads=1,
        )  # fmt: skip
    except FlightError as error:
        return Flown({}, nothing, None, nothing, str(error))
    lost = int(np.count_nonzero(~found.flown))
    if lost:
        return Flown({}, nothing, None, nothing, f"{lost} of {samples} dispersed flights could not be computed")
    landings = {
        mode: np.ascontiguousarray(found.landings[mode][:, :2]) for mode in KERNEL_MODES if mode in found.landings
    }
    return Flown(landings, found.figures["apogee_m"], nominal.figures["apogee_m"], found.replicate)


def fly_all(
    day: LaunchDay,
    rockets: tuple[FleetRocket, ...],
    profiles: Profiles,
    samples: int,
    threads: int | None,
    should_stop: Callable[[], bool],
    told: Callable[[int, str], None],
) -> Flights:
    """Every rocket in every profile. `told` hears how many are done.

    Raises
    ------
    AdviceStopped
        When the asker calls it off.
    """

    def one(key: tuple[int, int, int]) -> Flown:
        if should_stop():
            raise AdviceStopped("called off; nothing was changed")
        rocket, layer, speed = key
        return fly(day, rockets[rocket], profiles.flown[layer][speed], samples)

    keys = [
        (rocket, layer, speed)
        for rocket in range(len(rockets))
        for layer in range(profiles.layers)
        for speed in range(profiles.speeds_mps.size)
    ]
    found: dict[tuple[int, int, int], Flown] = {}
    pool = ThreadPoolExecutor(threads or os.cpu_count() or 1)
    try:
        jobs = {pool.submit(one, key): key for key in keys}
        for done, job in enumerate(as_completed(jobs), start=1):
            found[jobs[job]] = job.result()
            told(done, rockets[jobs[job][0]].name)
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
    return Flights(profiles, found, samples)
