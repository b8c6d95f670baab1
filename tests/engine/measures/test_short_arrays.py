"""Medians and distinct values, held against numpy's own."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from engine.measures.arrays import distinct, medians

NUMBERS = st.floats(-1e6, 1e6)


@given(arrays(np.float64, st.tuples(st.integers(1, 9), st.integers(1, 4)), elements=NUMBERS))
def test_medians_are_numpys(values):
    assert (medians(values) == np.median(values, axis=0)).all()
    assert medians(values[:, 0]) == np.median(values[:, 0])


@given(arrays(np.float64, st.integers(0, 9), elements=st.sampled_from([-1.5, 0.0, 2.0, 1e9])))
def test_distinct_values_are_numpys(values):
    assert distinct(values).tolist() == np.unique(values).tolist()
