"""Medians and distinct values of arrays without NaN.

numpy's own `median` and `unique` load its masked arrays, which nothing here needs, and take several times as long a
call on arrays as short as a wall's.
"""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Number = TypeVar("Number", np.float64, np.int64)


def medians(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """Median over the first axis, at least one long; of an even number the mean of the middle two."""
    ordered = np.sort(values, axis=0)
    return np.asarray((ordered[(len(ordered) - 1) // 2] + ordered[len(ordered) // 2]) / 2)


def distinct(values: NDArray[Number]) -> NDArray[Number]:
    """The different values of a flat array, ascending."""
    return np.array(sorted(set(values.tolist())), dtype=values.dtype)
