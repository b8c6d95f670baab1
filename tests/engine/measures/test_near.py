"""Things found again by place, held against a search through all of them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.measures.near import Near

PLACES = st.tuples(st.integers(-900, 900), st.integers(-900, 900))


@given(st.lists(PLACES, max_size=30), PLACES, st.sampled_from([30.0, 50.0, 150.0]))
def test_what_is_near_is_what_a_search_through_everything_finds(places, at, radius):
    near: Near[int] = Near(radius)
    for index, (x, y) in enumerate(places):
        near.add(x, y, index)
    apart = {index: math.dist(place, at) for index, place in enumerate(places)}
    wanted = {index: distance for index, distance in apart.items() if distance <= radius}
    found = near.within(*at)
    assert {index: distance for distance, index in found} == pytest.approx(wanted)
    assert len(found) == len(wanted)
    first = near.first(*at)
    assert (first is None) == (not wanted)
    assert first is None or apart[first] == min(wanted.values())
