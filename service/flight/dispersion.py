"""Fly many samples of one flight over the named error sources.

Samples come from independently scrambled Sobol sequences (replicates): the points of one are evenly spread, and the
replicates are independent of each other, so their scatter gives an honest interval. The same seed and version on
one machine give the same bits, whatever the number of threads.

References
----------
A. B. Owen, Scrambled net variance for integrals of smooth functions, Annals of Statistics 25 (1997).
MIL-F-8785C, 3.7.2, turbulence at low altitude.
"""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy.special import ndtri

from . import kernel
from .craft import FIGURES, LANDING
from .error_sources import DEFAULTS, SOURCES
from .errors import OutsideModel
from .nominal import simulate
from .setup import Setup, flown_modes, pack, pack_devices
from .tables import level_heights_m

REPLICATES = 16
DIMENSIONS = 28  # and one more where the direction of the wind ranges: the points of every other day stay as they are
COMMON_SHARE = 0.7  # correlation of the wind error between levels; engineering estimate
LAYER_TOP_M = 1000.0  # where the share of the lower layer's own error has gone to the upper layer's
CHUNK = 64


@dataclass(frozen=True)
class Dispersion:
    """Samples of one flight, n rows, replicate by replicate.

    `figures` maps the names of `craft.FIGURES` to arrays (n,); `landings` maps a mode to an array (n, 8) with the
    columns of `craft.LANDING`. `flown` marks the samples whose flight could be computed: the rest are NaN throughout
    and count as unknown, never as inside. `replicate` is the number of the scramble, (n,). A mode that was left out of
    samples drawn later has fewer rows; `replicate_of` and `lost_in` tell of its own.
    """

    figures: dict[str, np.ndarray]
    landings: dict[str, np.ndarray]
    flown: np.ndarray
    replicate: np.ndarray
    spreads: dict[str, float]
    seed: int

    def replicate_of(self, mode: str) -> np.ndarray:
        """The number of the scramble of each landing of a mode. shape (rows of that mode,)"""
        return np.repeat(np.arange(REPLICATES), len(self.landings[mode]) // REPLICATES)

    def lost_in(self, mode: str) -> int:
        """Landings of a mode that could not be computed. [count]"""
        return int(np.count_nonzero(~np.isfinite(self.landings[mode][:, :2]).all(axis=1)))


def merged_spreads(given: Mapping[str, float] | None) -> dict[str, float]:
    """Defaults with the organiser's own on top.

    Raises
    ------
    OutsideModel
        If a name is not an error source, or a spread is negative, not finite or absurd.
    """
    spreads = dict(DEFAULTS)
    most = {source.name: source.most for source in SOURCES}
    for name, value in (given or {}).items():
        if name not in spreads:
            raise OutsideModel(f"spreads: {name!r} is not an error source; known are {', '.join(sorted(spreads))}")
        if not (math.isfinite(value) and 0.0 <= value <= most[name]):
            raise OutsideModel(f"spreads: {name} is {value:g}; 0 to {most[name]:g} is needed")
        spreads[name] = float(value)
    return spreads


@lru_cache(maxsize=8)
def _normals(
    samples: int, seed: int, skip: int = 0, dimensions: int = DIMENSIONS
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Even points in (0, 1), the same as standard normals, and the replicate numbers. (n, 28), (n, 28), (n,)

    `skip` samples, drawn before, are passed over: each replicate goes on where it stopped.
    """
    from scipy.stats import qmc  # half a second to import: only when something is dispersed

    whole = samples + skip
    if samples < REPLICATES or whole & (whole - 1) or skip % REPLICATES:
        raise OutsideModel(f"samples: {whole}; a power of two, {REPLICATES} or more, is needed")
    each, passed = samples // REPLICATES, skip // REPLICATES
    blocks = []
    for number in range(REPLICATES):
        sequence = qmc.Sobol(dimensions, scramble=True, rng=np.random.default_rng([seed, number]))
        blocks.append(sequence.random(passed + each)[passed:])
    even = np.clip(np.concatenate(blocks), 2.0**-31, 1.0 - 2.0**-31)
    normal, replicate = ndtri(even), np.repeat(np.arange(REPLICATES), each)
    for kept in (even, normal, replicate):
        kept.flags.writeable = False  # shared by every dispersion of this size and seed
    return even, normal, replicate


def _guide_axes(setup: Setup, tilt_rad: float, azimuth_rad: float, normal: np.ndarray) -> np.ndarray:
    """Unit vectors of the misset guide, (n, 3): tilt off along and across, azimuth off."""
    azimuth = setup.guide.azimuth_rad + azimuth_rad * normal[:, 2]
    along = setup.guide.tilt_rad + tilt_rad * normal[:, 0]
    across = tilt_rad * normal[:, 1]
    forward, right, up = np.sin(along) * np.cos(across), np.sin(across), np.cos(along) * np.cos(across)
    east = forward * np.sin(azimuth) + right * np.cos(azimuth)
    north = forward * np.cos(azimuth) - right * np.sin(azimuth)
    return np.column_stack([east, north, up])


def wind_spread(setup: Setup, spreads: Mapping[str, float], gust_length_m: float) -> np.ndarray:
    """One standard deviation of the wind on the height grid, as the kernel reads it, and the arc. shape (801, 9)"""
    z = level_heights_m()
    east, north = setup.wind.east_mps, setup.wind.north_mps
    speed = np.hypot(east, north)
    some = int(np.argmax(speed > 1e-6)) if np.any(speed > 1e-6) else 0
    safe = np.where(speed > 1e-6, speed, 1.0)
    unit_e = np.where(speed > 1e-6, east / safe, east[some] / safe[some] if speed[some] > 1e-6 else 0.0)
    unit_n = np.where(speed > 1e-6, north / safe, north[some] / safe[some] if speed[some] > 1e-6 else 1.0)
    near_ground = np.minimum(1.0, (z / 10.0) ** (1.0 / 7.0))
    along = np.maximum(spreads["wind_speed_mps"] * near_ground, spreads["wind_speed_fraction"] * speed)
    wander = math.radians(30.0) if spreads["wind_direction_deg"] > 0.0 else 0.0
    across = np.maximum(speed * math.radians(spreads["wind_direction_deg"]), wander * near_ground)
    turn = 0.5 * math.pi * np.minimum(z / LAYER_TOP_M, 1.0)
    own = math.sqrt(1.0 - COMMON_SHARE)
    return np.ascontiguousarray(
        np.column_stack(
            [
                along * unit_e,
                along * unit_n,
                across * unit_n,
                -across * unit_e,
                np.full_like(z, math.sqrt(COMMON_SHARE)),
                own * np.cos(turn),
                own * np.sin(turn),
                np.exp(-z / gust_length_m),
                np.zeros_like(z) if setup.wind.half_arc_rad is None else setup.wind.half_arc_rad,
            ]
        )
    )


def draws(
    setup: Setup, spreads: Mapping[str, float], even: np.ndarray, normal: np.ndarray, *, delay_s: float,
    gust_sigma_mps: float, transonic: bool, unknown_shape: bool, soft_first: bool, soft_other: bool,
) -> np.ndarray:  # fmt: skip
    """The samples' inputs in physical units, columns as in `kernel`. shape (n, 27)"""
    n = normal.shape[0]
    d = setup.aerodynamics.diameter_m
    out = np.zeros((n, kernel.DRAW_COUNT))
    tight = np.clip(normal, -3.0, 3.0)  # scales: three standard deviations, so that none turns negative
    out[:, kernel.IMPULSE_SCALE] = np.maximum(1.0 + spreads["impulse"] * tight[:, 0], 0.05)
    out[:, kernel.BURN_SCALE] = np.maximum(1.0 + spreads["burn_time"] * tight[:, 1], 0.1)
    delay_sigma = max(spreads["delay_s"], spreads["delay_fraction"] * delay_s) if spreads["delay_s"] > 0.0 else 0.0
    out[:, kernel.DELAY_SHIFT_S] = delay_sigma * np.clip(normal[:, 2], -2.0, 2.0)
    out[:, kernel.DRAG_SCALE] = np.maximum(1.0 + spreads["drag"] * tight[:, 3], 0.05)
    name = "centre_of_pressure_transonic_cal" if transonic else "centre_of_pressure_cal"
    out[:, kernel.CP_SHIFT_M] = spreads[name] * d * normal[:, 4]
    if unknown_shape:
        out[:, kernel.CP_SHIFT_M] = spreads["unknown_margin_cal"] * d * (2.0 * even[:, 27] - 1.0)
    out[:, kernel.CG_SHIFT_M] = spreads["centre_of_gravity_cal"] * d * normal[:, 5]
    out[:, kernel.MASS_SCALE] = np.maximum(1.0 + spreads["mass"] * tight[:, 6], 0.1)
    tilt, azimuth = math.radians(spreads["guide_tilt_deg"]), math.radians(spreads["guide_azimuth_deg"])
    out[:, kernel.AXIS_EAST : kernel.AXIS_UP + 1] = _guide_axes(setup, tilt, azimuth, tight[:, 7:10])
    line = math.radians(spreads["thrust_line_deg"])
    out[:, kernel.THRUST_PITCH], out[:, kernel.THRUST_YAW] = line * normal[:, 10], line * normal[:, 11]
    out[:, kernel.FIN_CANT] = setup.fin_cant_rad + math.radians(spreads["fin_cant_deg"]) * normal[:, 12]
    for column, source in zip(range(kernel.SPEED_ALL, kernel.TURN_HIGH + 1), range(13, 19)):
        out[:, column] = normal[:, source]
    out[:, kernel.GUST_EAST_MPS] = gust_sigma_mps * normal[:, 19]
    out[:, kernel.GUST_NORTH_MPS] = gust_sigma_mps * normal[:, 20]
    for column, source, soft in (
        (kernel.FIRST_AREA_SCALE, 21, soft_first),
        (kernel.OTHER_AREA_SCALE, 22, soft_other),
    ):
        sigma = spreads["streamer_drag"] if soft else spreads["canopy_drag"]
        out[:, column] = np.maximum(1.0 + sigma * tight[:, source], 0.1)
    out[:, kernel.ALTITUDE_SCALE] = np.maximum(1.0 + spreads["deploy_height_fraction"] * tight[:, 23], 0.1)
    out[:, kernel.ALTITUDE_SHIFT_M] = spreads["deploy_height_m"] * normal[:, 24]
    if setup.thrust_offset_m != 0.0:
        out[:, kernel.ROLL_START] = 2.0 * math.pi * even[:, 26]  # the unlit motor may stand on any side
    if setup.wind.half_arc_rad is not None:
        out[:, kernel.PLACE_IN_ARC] = 2.0 * even[:, 28] - 1.0
    return out


def standard_gust_sigma_mps(setup: Setup) -> float:
    """Turbulence at the top of the guide by MIL-F-8785C, from the wind 20 ft (6.1 m) up. [m/s]"""
    from .wind import gust_sigma_mps as turbulence_mps

    _density, east, north = kernel.air_state(pack(setup), 6.1)
    return turbulence_mps(max(setup.guide.length_m, 2.0), math.hypot(east, north))


def disperse(
    setup: Setup,
    *,
    samples: int = 1024,
    seed: int = 1,
    earlier: Dispersion | None = None,
    spreads: Mapping[str, float] | None = None,
    gust_sigma_mps: float | None = None,
    unknown_shape: bool = False,
    soft_devices: tuple[bool, bool] = (False, False),
    ballistic: bool = True,
    threads: int | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Dispersion:
    """Fly `samples` perturbed flights of `setup` in every mode.

    Parameters
    ----------
    setup : Setup
        The nominal flight.
    samples : int
        A power of two, 16 or more. [-]
    seed : int
        Same seed, same samples.
    earlier : Dispersion, optional
        Fewer samples of the same flight, seed and spreads: only what is missing is flown, and both are returned.
    spreads : mapping, optional
        Spreads that replace the defaults of `error_sources`, by name.
    gust_sigma_mps : float, optional
        Turbulence at the top of the guide, one component. Default: MIL-F-8785C from the wind there. [m/s]
    unknown_shape : bool
        The airframe is the generic one: draw its static margin.
    soft_devices : tuple of two bools
        Whether the first device, and the others, are streamers or the like with a wider spread.
    ballistic : bool
        Whether the samples that are flown now come down with nothing opened too: half the work of a short flight.
        Left out, that mode keeps the landings that `earlier` has.
    threads : int, optional
        Default: as many as there are processors.
    progress : callable, optional
        Called with (samples done, samples in all).

    Returns
    -------
    Dispersion

    Raises
    ------
    OutsideModel, NeverLeftGuide, IntegrationStopped
        As `simulate`, for the nominal flight; or if `samples` or `spreads` are not usable.
    """
    from .wind import gust_length_m

    chosen = merged_spreads(spreads)
    skip = earlier.flown.size if earlier is not None else 0
    dimensions = DIMENSIONS + (setup.wind.half_arc_rad is not None)
    even, normal, replicate = _normals(samples - skip, seed, skip, dimensions)
    samples -= skip
    nominal = simulate(setup, history=False)
    top_m = max(setup.guide.length_m, 2.0)
    if gust_sigma_mps is None:
        gust_sigma_mps = standard_gust_sigma_mps(setup)
    delay_s = max((device.value for device in setup.devices if device.trigger == "motor_delay"), default=0.0)
    table = draws(
        setup, chosen, even, normal, delay_s=delay_s, gust_sigma_mps=chosen["gust_fraction"] * gust_sigma_mps,
        transonic=nominal.figures["greatest_mach"] > 0.8, unknown_shape=unknown_shape,
        soft_first=soft_devices[0], soft_other=soft_devices[1],
    )  # fmt: skip
    craft = pack(setup)
    areas, triggers, values = pack_devices(setup)
    modes = flown_modes(setup)
    modes[kernel.NO_DEPLOYMENT] &= ballistic
    spread_table = wind_spread(setup, chosen, gust_length_m(top_m))
    endings = np.empty(samples, dtype=np.int64)
    figures, landings = np.empty((samples, len(FIGURES))), np.empty((samples, 4, len(LANDING)))
    body = float(setup.body_drag_area_m2)

    def fly_chunk(first: int) -> None:
        part = slice(first, first + CHUNK)
        kernel.fly_many(
            craft, spread_table, table[part], areas, triggers, values, body, modes,
            endings[part], figures[part], landings[part],
        )  # fmt: skip

    starts = range(0, samples, CHUNK)
    workers = min(threads or os.cpu_count() or 1, len(starts))
    if workers == 1:
        for first in starts:
            fly_chunk(first)
            if progress:
                progress(min(first + CHUNK, samples), samples)
    else:
        with ThreadPoolExecutor(workers) as pool:
            for done, _ in enumerate(pool.map(fly_chunk, starts), start=1):
                if progress:
                    progress(min(done * CHUNK, samples), samples)

    flown = endings == 0
    figures[~flown], landings[~flown] = np.nan, np.nan
    by_mode = {mode: landings[:, number, :] for number, mode in enumerate(kernel.MODES) if modes[number]}
    _glide(setup, by_mode, figures, even)
    fresh = Dispersion(
        figures={name: figures[:, number] for number, name in enumerate(FIGURES)},
        landings=by_mode,
        flown=flown,
        replicate=replicate,
        spreads=chosen,
        seed=seed,
    )
    return fresh if earlier is None else joined(earlier, fresh)


def joined(first: Dispersion, second: Dispersion) -> Dispersion:
    """Two parts of one dispersion as one, replicate by replicate in the order drawn."""

    def both(a: np.ndarray, b: np.ndarray) -> np.ndarray:
        blocks = [each.reshape(REPLICATES, -1, *each.shape[1:]) for each in (a, b)]
        return np.concatenate(blocks, axis=1).reshape(-1, *a.shape[1:])

    return Dispersion(
        figures={name: both(first.figures[name], second.figures[name]) for name in first.figures},
        landings={
            mode: both(table, second.landings[mode]) if mode in second.landings else table
            for mode, table in first.landings.items()
        },
        flown=both(first.flown, second.flown),
        replicate=both(first.replicate, second.replicate),
        spreads=first.spreads,
        seed=first.seed,
    )


def _glide(setup: Setup, by_mode: dict[str, np.ndarray], figures: np.ndarray, even: np.ndarray) -> None:
    """Spread a glider's landings evenly over the circle it can reach from where it opened."""
    ratio = max((device.glide_ratio for device in setup.devices), default=0.0)
    if ratio <= 0.0:
        return
    height_m = figures[:, FIGURES.index("deploy_height_m")]
    reach = ratio * np.nan_to_num(height_m) * np.sqrt(even[:, 25])
    bearing = 2.0 * math.pi * even[:, 26]
    for table in by_mode.values():
        opened = np.where(np.nan_to_num(table[:, 5]) > 0.0, reach, 0.0)
        table[:, 0] += opened * np.sin(bearing)
        table[:, 1] += opened * np.cos(bearing)
