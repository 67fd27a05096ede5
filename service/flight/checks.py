"""Small refusals shared by the faces of the flight package. NaN fails every comparison, so it is refused too."""

from __future__ import annotations

import math

import numpy as np

from .errors import OutsideModel


def positive(name: str, value: float, unit: str) -> float:
    """The value, if it is finite and above zero."""
    if not (value > 0.0 and math.isfinite(value)):
        raise OutsideModel(f"{name} is {value:g} {unit}; it needs to be finite and above zero")
    return float(value)


def not_negative(name: str, value: float, unit: str) -> float:
    """The value, if it is finite and not below zero."""
    if not (value >= 0.0 and math.isfinite(value)):
        raise OutsideModel(f"{name} is {value:g} {unit}; it needs to be finite and not below zero")
    return float(value)


def within(name: str, value: float, low: float, high: float, unit: str) -> float:
    """The value, if low <= value <= high."""
    if not (low <= value <= high):
        raise OutsideModel(f"{name} is {value:g} {unit}; the model holds from {low:g} to {high:g} {unit}")
    return float(value)


def series(name: str, values) -> np.ndarray:
    """A one-dimensional float array, not empty, all of it finite."""
    array = np.atleast_1d(np.asarray(values, dtype=float))
    if array.ndim != 1 or array.size == 0:
        raise OutsideModel(f"{name} has shape {array.shape}; a list of numbers is wanted")
    bad = np.flatnonzero(~np.isfinite(array))
    if bad.size:
        raise OutsideModel(f"{name}[{bad[0]}] is {array[bad[0]]:g}; every value needs to be finite")
    return array


def increasing(name: str, values) -> np.ndarray:
    """A finite series, each value above the one before."""
    array = series(name, values)
    bad = np.flatnonzero(np.diff(array) <= 0.0)
    if bad.size:
        i = int(bad[0]) + 1
        raise OutsideModel(f"{name}[{i}] is {array[i]:g} after {array[i - 1]:g}; values need to increase")
    return array
