"""Ranges of quantities: a value outside its range is refused with the range named, never clipped."""

from __future__ import annotations

from typing import TypeAlias, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

FloatArray: TypeAlias = NDArray[np.float64]
Number = TypeVar("Number", float, FloatArray)
"""One number or an array of them; a function gives back what it was given."""


def within(name: str, values: float | FloatArray, least: float, greatest: float, unit: str) -> FloatArray:
    """The values as an array, all of them finite and from ``least`` to ``greatest``.

    Raises ValueError that names the quantity, the first value at fault, and the range with its unit.
    """
    array = np.asarray(values, dtype=np.float64)
    fault = ~((array >= least) & (array <= greatest))
    if fault.any():
        found = array[fault].flat[0]
        range_text = f"{least:g} to {greatest:g} {unit}".rstrip()
        raise ValueError(f"{name}: found {found:g}; allowed: {range_text}")
    return array


def above(name: str, values: float | FloatArray, least: float, greatest: float, unit: str) -> FloatArray:
    """The same as `within`, with the lower bound itself refused."""
    array = np.asarray(values, dtype=np.float64)
    fault = ~((array > least) & (array <= greatest))
    if fault.any():
        found = array[fault].flat[0]
        range_text = f"above {least:g} up to {greatest:g} {unit}".rstrip()
        raise ValueError(f"{name}: found {found:g}; allowed: {range_text}")
    return array


def shaped(result: FloatArray | np.float64, like: Number) -> Number:
    """A float when ``like`` is one number, else the array."""
    return cast(Number, float(result) if np.ndim(like) == 0 and np.ndim(result) == 0 else np.asarray(result))
