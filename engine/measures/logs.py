"""Sums and means of probabilities kept as logarithms."""

from __future__ import annotations

import numpy as np

from engine.measures.templates import Array

TINY = 1e-290
"""Floor of a density before its logarithm, above the smallest number."""


def log(values: Array) -> Array:
    """Natural logarithm, of TINY at least."""
    return np.asarray(np.log(np.maximum(values, TINY)))


def log_sum(values: Array, axis: int) -> Array:
    """Logarithm of the sum of exponentials along an axis."""
    greatest = values.max(axis=axis, keepdims=True)
    greatest = np.where(np.isneginf(greatest), 0.0, greatest)
    return np.asarray(np.squeeze(log(np.exp(values - greatest).sum(axis=axis, keepdims=True)) + greatest, axis=axis))


def log_mean(values: Array, axis: int) -> Array:
    """Logarithm of the mean of exponentials along an axis."""
    return np.asarray(log_sum(values, axis) - np.log(values.shape[axis]))


def mixed(weights: Array, logs: Array) -> Array:
    """Logarithm of weighted sums [..., m] of the exponentials of ``logs`` [..., n]; ``weights`` are [m, n]."""
    greatest = logs.max(axis=-1, keepdims=True)
    return np.asarray(log(np.exp(logs - greatest) @ weights.T) + greatest)
