"""Thrust curves: made, measured, scaled, read."""

from __future__ import annotations

import csv
import io
import math

import numpy as np

from .checks import increasing, positive, series
from .constants import STANDARD_GRAVITY_MPS2
from .errors import OutsideModel
from .tables import Thrust

BURN_SHARE = 0.05  # of peak thrust; the burn time of NFPA 1125 (from memory, not re-read)
CSV_HEADER = ["time_s", "thrust_n"]
LARGEST_CSV_ROWS = 20_000


def thrust_curve(time_s, thrust_n) -> Thrust:
    """A checked thrust curve; (0, 0) is put in front where the first time is later.

    Parameters
    ----------
    time_s, thrust_n : sequences, shape (n,)
        Times from ignition, increasing, from 0 on; thrust, not below zero. [s], [N]

    Raises
    ------
    OutsideModel
        If the two differ in length, a value is not finite, time does not increase, or nothing is delivered.
    """
    times, thrusts = increasing("time_s", time_s), series("thrust_n", thrust_n)
    if times.size != thrusts.size:
        raise OutsideModel(f"{times.size} times and {thrusts.size} thrusts; as many of each")
    if times[0] < 0.0:
        raise OutsideModel(f"time_s[0] is {times[0]:g} s; the curve starts at ignition, 0")
    bad = np.flatnonzero(thrusts < 0.0)
    if bad.size:
        raise OutsideModel(f"thrust_n[{bad[0]}] is {thrusts[bad[0]]:g} N; thrust is not below zero")
    if times[0] > 0.0:
        times, thrusts = np.insert(times, 0, 0.0), np.insert(thrusts, 0, 0.0)
    curve = Thrust(times, thrusts)
    if not total_impulse_ns(curve) > 0.0:
        raise OutsideModel("the thrust curve delivers no impulse")
    return curve


def total_impulse_ns(curve: Thrust) -> float:
    """Area under the curve, straight lines between points. [N s]"""
    return float(_delivered_ns(curve)[-1])


def impulse_fraction(curve: Thrust, time_s):
    """Share of the impulse delivered by a time: 0 at ignition, 1 at the end. float or array [-]"""
    delivered = _delivered_ns(curve)
    at = np.clip(np.asarray(time_s, dtype=float), 0.0, curve.time_s[-1])
    i = np.clip(np.searchsorted(curve.time_s, at, side="right") - 1, 0, curve.time_s.size - 2)
    since = at - curve.time_s[i]
    slope = np.diff(curve.thrust_n)[i] / np.diff(curve.time_s)[i]
    share = (delivered[i] + curve.thrust_n[i] * since + 0.5 * slope * since**2) / delivered[-1]
    return float(share) if np.ndim(time_s) == 0 else share


def burn_span_s(curve: Thrust) -> tuple[float, float]:
    """First upward and last downward crossing of 5 % of peak thrust. [s]"""
    level = BURN_SHARE * curve.thrust_n.max()
    above = np.flatnonzero(curve.thrust_n >= level)
    first, last = int(above[0]), int(above[-1])
    start = curve.time_s[first] if first == 0 else _crossing_s(curve, first - 1, level)
    end = curve.time_s[last] if last == curve.time_s.size - 1 else _crossing_s(curve, last, level)
    return float(start), float(end)


def burn_time_s(curve: Thrust) -> float:
    """Time between the crossings of 5 % of peak thrust. [s]"""
    start, end = burn_span_s(curve)
    return end - start


def average_thrust_n(curve: Thrust) -> float:
    """Impulse within the burn time over the burn time. (Some publish the total impulse over a longer time.) [N]"""
    start, end = burn_span_s(curve)
    inside = impulse_fraction(curve, end) - impulse_fraction(curve, start)
    return float(inside * total_impulse_ns(curve) / (end - start))


def specific_impulse_s(curve: Thrust, propellant_mass_kg: float) -> float:
    """Total impulse over the weight of the propellant at standard gravity. [s]"""
    positive("propellant_mass_kg", propellant_mass_kg, "kg")
    return total_impulse_ns(curve) / (propellant_mass_kg * STANDARD_GRAVITY_MPS2)


def scaled(curve: Thrust, impulse_scale: float = 1.0, time_stretch: float = 1.0) -> Thrust:
    """The curve with its impulse scaled and its burn stretched; stretching alone keeps the impulse."""
    positive("impulse_scale", impulse_scale, "")
    positive("time_stretch", time_stretch, "")
    return Thrust(curve.time_s * time_stretch, curve.thrust_n * (impulse_scale / time_stretch))


def thrust_at_pressure_n(thrust_n, test_pressure_pa: float, ambient_pa: float, exit_area_m2: float):
    """Thrust in thinner air than on the test stand: F + (p_test - p) A_e. Under 2 % for most motors. [N]"""
    return thrust_n + (test_pressure_pa - ambient_pa) * exit_area_m2


def read_thrust_csv(text: str) -> Thrust:
    """A thrust curve from CSV text with the header ``time_s,thrust_n``; lines starting with # are notes.

    Raises
    ------
    OutsideModel
        With the line number, what stood there and what would be right.
    """
    times: list[float] = []
    thrusts: list[float] = []
    header_seen = False
    for number, row in enumerate(csv.reader(io.StringIO(text.removeprefix("\ufeff"))), start=1):
        cells = [cell.strip() for cell in row]
        if not any(cells) or cells[0].startswith("#"):
            continue
        if not header_seen:
            if cells != CSV_HEADER:
                found = ",".join(cells)[:60]
                raise OutsideModel(f"line {number}: the header is '{found}'; 'time_s,thrust_n' is wanted")
            header_seen = True
            continue
        if len(cells) != 2:
            raise OutsideModel(f"line {number}: {len(cells)} values; a time and a thrust are wanted")
        values = [_number(cell, number, name) for cell, name in zip(cells, CSV_HEADER, strict=True)]
        if times and values[0] <= times[-1]:
            raise OutsideModel(f"line {number}: time {values[0]:g} s after {times[-1]:g} s; times need to increase")
        if values[0] < 0.0 or values[1] < 0.0:
            raise OutsideModel(f"line {number}: {values[0]:g} s, {values[1]:g} N; neither may be below zero")
        times.append(values[0])
        thrusts.append(values[1])
        if len(times) > LARGEST_CSV_ROWS:
            raise OutsideModel(f"line {number}: more than {LARGEST_CSV_ROWS} points; thin the curve")
    if not header_seen:
        raise OutsideModel("the file is empty; a header 'time_s,thrust_n' and at least two lines are wanted")
    if len(times) < 2:
        raise OutsideModel(f"{len(times)} points; a thrust curve needs at least two")
    return thrust_curve(times, thrusts)


def _number(cell: str, line: int, name: str) -> float:
    try:
        value = float(cell)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise OutsideModel(f"line {line}: {name} is '{cell[:30]}'; a finite number is wanted")
    return value


def _delivered_ns(curve: Thrust) -> np.ndarray:
    steps = 0.5 * (curve.thrust_n[1:] + curve.thrust_n[:-1]) * np.diff(curve.time_s)
    return np.concatenate([[0.0], np.cumsum(steps)])


def _crossing_s(curve: Thrust, i: int, level_n: float) -> float:
    low, high = curve.thrust_n[i], curve.thrust_n[i + 1]
    return curve.time_s[i] + (level_n - low) / (high - low) * (curve.time_s[i + 1] - curve.time_s[i])
