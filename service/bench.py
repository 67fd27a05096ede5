"""Measure the flight kernel: how fast it is beside plain numpy, and how far off its steps are.

Speeds are ratios within one run, of processor time, so that they hold on a busy machine too.
"""

from __future__ import annotations

import math
import os
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context

import numpy as np

from service.flight.dispersion import _normals, disperse, draws, merged_spreads, wind_spread
from service.flight.nominal import simulate
from service.flight.plain import fly_plain
from service.flight.trial_flights import trial_setup
from service.flight.wind import gust_length_m

ROCKETS = 6  # of the speed measurement
SAMPLES_EACH = 6  # flown in plain numpy too
GUST_MPS = 1.0
SEED = 7


@dataclass(frozen=True)
class Speed:
    """Samples a second, processor seconds a sample, and how many processors the machine let it have."""

    per_second: float
    processor_s: float
    processors: float


@dataclass(frozen=True)
class Bench:
    """What was measured. Errors are (rms, worst) in metres."""

    one_thread: Speed
    two_threads: Speed
    plain: Speed
    apart_m: float  # greatest distance between landings of the same samples, kernel against plain
    ascent_m: tuple[float, float]
    canopy_m: tuple[float, float]
    ballistic_m: tuple[float, float]
    flights: int

    @property
    def times_faster(self) -> float:
        return self.plain.processor_s / self.one_thread.processor_s

    @property
    def thread_gain(self) -> float:
        return self.two_threads.per_second / self.one_thread.per_second


def kernel_speed(setups, threads: int, least_s: float) -> Speed:
    """Disperse every setup until `least_s` has gone by; the drawing of the samples counts too."""
    for setup in setups:
        disperse(setup, samples=64, seed=SEED, threads=threads)
    count, began, used = 0, time.perf_counter(), time.process_time()
    while time.perf_counter() - began < least_s:
        for setup in setups:
            disperse(setup, samples=1024, seed=SEED, threads=threads)
            count += 1024
    elapsed, processor = time.perf_counter() - began, time.process_time() - used
    return Speed(count / elapsed, processor / count, processor / elapsed)


def plain_speed(setups) -> tuple[Speed, float]:
    """The first samples of each dispersion once more with solve_ivp; and how far apart the two land. [m]"""
    import scipy.integrate  # noqa: F401  imported before the clock starts

    spreads = merged_spreads(None)
    elapsed, used, count, apart_m = 0.0, 0.0, 0, 0.0
    for setup in setups:
        even, normal, _ = _normals(64, SEED)
        delay_s = max((device.value for device in setup.devices if device.trigger == "motor_delay"), default=0.0)
        table = draws(
            setup, spreads, even, normal, delay_s=delay_s, gust_sigma_mps=GUST_MPS,
            transonic=simulate(setup, history=False).figures["greatest_mach"] > 0.8, unknown_shape=False,
            soft_first=False, soft_other=False,
        )  # fmt: skip
        spread = wind_spread(setup, spreads, gust_length_m(max(setup.guide.length_m, 2.0)))
        flown = disperse(setup, samples=64, seed=SEED, gust_sigma_mps=GUST_MPS)
        for row in range(SAMPLES_EACH):
            began, processor = time.perf_counter(), time.process_time()
            flight = fly_plain(setup, "RK45", rtol=1e-6, draw=(table[row], spread), at_knots=False)
            elapsed, used = elapsed + time.perf_counter() - began, used + time.process_time() - processor
            count += 1
            for mode, landing in flight.landings.items():
                apart_m = max(apart_m, float(np.hypot(*(flown.landings[mode][row, :2] - landing[:2]))))
    return Speed(count / elapsed, used / count, used / elapsed), apart_m


def step_errors(seed: int) -> tuple[float, float, float]:
    """Distance of the kernel's apogee, canopy landing (worst mode) and ballistic landing from DOP853's. [m]"""
    setup = trial_setup(seed)
    ours, reference = simulate(setup, history=False), fly_plain(setup, "DOP853", rtol=1e-9, atol=1e-9)
    apogee = [ours.figures[name] for name in ("apogee_east_m", "apogee_north_m", "apogee_m")]
    canopy, ballistic = 0.0, math.nan
    for mode, landing in reference.landings.items():
        off_m = math.hypot(ours.landings[mode].east_m - landing[0], ours.landings[mode].north_m - landing[1])
        if mode == "no_deployment":
            ballistic = off_m
        else:
            canopy = max(canopy, off_m)
    return float(np.linalg.norm(apogee - reference.apogee[:3])), canopy, ballistic


def _rms_and_worst(errors: np.ndarray) -> tuple[float, float]:
    return float(np.sqrt(np.mean(errors**2))), float(errors.max())


def measure(flights: int = 100, least_s: float = 2.5) -> Bench:
    """Measure everything; some minutes, most of it the eighth-order reference."""
    setups = [trial_setup(seed) for seed in range(1000, 1000 + ROCKETS)]
    one, two = kernel_speed(setups, 1, least_s), kernel_speed(setups, 2, least_s)
    plain, apart_m = plain_speed(setups)
    with ProcessPoolExecutor(min(os.cpu_count() or 1, 4), mp_context=get_context("spawn")) as pool:
        errors = np.array(list(pool.map(step_errors, range(flights))))
    ascent_m, canopy_m, ballistic_m = (_rms_and_worst(column) for column in errors.T)
    return Bench(one, two, plain, apart_m, ascent_m, canopy_m, ballistic_m, flights)


def run(print: Callable[[str], None] = print) -> Bench:
    """Measure and say what came out."""
    print(f"Flying {ROCKETS} invented rockets as often as a few seconds allow, then 100 more to an eighth-order")
    print("reference. This takes some minutes.")
    found = measure()
    print("")
    print("Speed, whole dispersions: ascent and every way down")
    for words, speed in (
        ("kernel, one thread", found.one_thread),
        ("kernel, two threads", found.two_threads),
        ("plain numpy, solve_ivp RK45 at 1e-6", found.plain),
    ):
        print(
            f"  {words:<38}{speed.per_second:>10,.1f} samples a second{1e6 * speed.processor_s:>12,.0f} us of processor"
        )
    print(f"  {'one thread against plain numpy':<38}{found.times_faster:>10,.0f} times   (aim: 500)")
    print(
        f"  {'two threads against one':<38}{found.thread_gain:>10.2f} times   "
        f"(on {found.two_threads.processors:.2f} and {found.one_thread.processors:.2f} processors)"
    )
    print(
        f"  {'landings of the two, farthest apart':<38}{found.apart_m:>10.3f} m    (the looser integrator's own)"
    )
    print("")
    print(f"Error of the kernel's steps, {found.flights} random flights against DOP853 at 1e-9")
    for words, (rms, worst), factor, unit, aim in (
        ("apogee, position", found.ascent_m, 1000.0, "mm", "aim: 5 mm rms"),
        ("landing under canopies", found.canopy_m, 1.0, "m ", "aim: 1 m"),
        ("ballistic landing", found.ballistic_m, 1.0, "m ", "aim: 1 m"),
    ):
        print(f"  {words:<38}{factor * rms:>10.3f} {unit} rms{factor * worst:>10.3f} {unit} worst   ({aim})")
    return found


if __name__ == "__main__":
    run()
