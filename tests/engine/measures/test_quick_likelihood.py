"""The quick reckoning of densities and mixtures, held against the plain formulas of scipy reading by reading."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import logsumexp
from scipy.stats import t as student

from engine.measures.likelihood import FLOOR, Likelihood, Wall
from engine.measures.logs import mixed
from engine.measures.mixtures import MIXED_KINDS
from engine.measures.shape import shape_of
from engine.measures.templates import BUMP, LONG, templates

PARAMETERS = {"wall-scatter": 0.25, "wall-scatter-dry": 0.2}
HEIGHTS = (100.0, 300.0, 500.0, 700.0, 900.0, 1300.0, 1700.0, 2100.0)
PROFILES = 4


@st.composite
def walls(draw):
    """Walls of one to four columns, some readings alike in level and share of pressing and some not."""
    columns = draw(st.integers(1, 4))
    places = [(c, y) for c in range(columns) for y in HEIGHTS if y <= 500.0 or draw(st.booleans())]
    number = len(places)
    column, y_mm = np.array(places).T

    def figures(elements):
        return np.array(draw(st.lists(elements, min_size=number, max_size=number)))

    return Wall(
        column=column.astype(np.int64),
        x_mm=column * 500.0,
        y_mm=y_mm,
        excess=figures(st.floats(-1, 15)),
        level=figures(st.sampled_from([2.0, 4.0])),
        share=figures(st.sampled_from([0.03, 0.05])),
        width_mm=4000.0,
        height_mm=2400.0,
        referenced=True,
    )


def plain(wall, offsets, profiles, heights):
    """Densities [reading, offset, profile] by Student's t with three degrees of freedom."""
    mean = profiles[np.searchsorted(heights, wall.y_mm)][:, None, :] + offsets[:, None]
    raised = np.maximum(mean, 0.0)
    pressing = wall.share[:, None, None] * (raised + wall.level[:, None, None])
    spread = np.sqrt(pressing**2 + (PARAMETERS["wall-scatter"] * raised) ** 2 + PARAMETERS["wall-scatter-dry"] ** 2)
    return np.maximum(student.pdf(wall.excess[:, None, None], 3, loc=mean, scale=spread), FLOOR)


@settings(max_examples=60, deadline=None)
@given(walls(), st.data())
def test_products_over_columns_and_bands_are_those_of_students_t(wall, data):
    likelihood = Likelihood(wall, PARAMETERS)
    size = len(likelihood.heights) * PROFILES
    profiles = np.array(data.draw(st.lists(st.floats(0, 14), min_size=size, max_size=size))).reshape(-1, PROFILES)
    density = plain(wall, likelihood.offsets, profiles, likelihood.heights)
    below, whole = likelihood.below(profiles), likelihood.whole(profiles)
    assert below[:, -1] == pytest.approx(whole, rel=1e-9)
    tops = likelihood.heights[np.linspace(0, len(likelihood.heights), likelihood.bands + 1).astype(int)[1:] - 1]
    for column in range(likelihood.columns):
        for band, top in enumerate(tops):
            here = (wall.column == column) & (wall.y_mm <= top)
            assert below[column, band] == pytest.approx(density[here].prod(axis=0), rel=1e-3)


@given(st.lists(st.floats(-600, 0), min_size=6, max_size=6), st.lists(st.floats(0.01, 1), min_size=3, max_size=3))
def test_mixed_evidence_is_scipys_weighted_sum(logs, weights):
    shares = np.array([weights, weights[::-1]])
    both = np.array(logs).reshape(2, 3)
    wanted = [[logsumexp(row, b=share) for share in shares] for row in both]
    assert mixed(shares, both) == pytest.approx(np.array(wanted), abs=1e-9)


@given(st.lists(st.integers(0, 2400), min_size=3, max_size=40, unique=True))
def test_shares_of_profiles_add_up_for_every_position_and_kind(heights):
    known = templates(tuple(float(y) for y in sorted(heights)))
    assert known.loosely.sum(axis=1) == pytest.approx(1.0)
    for kind, at in known.at.items():
        shows = known.of[kind].stop > known.of[kind].start
        assert known.alike[at].sum() == pytest.approx(1.0 if shows else 0.0)
        assert known.alike[at, : known.of[kind].start].sum() == known.alike[at, known.of[kind].stop :].sum() == 0.0
        assert set(known.row[known.of[kind]].tolist()) == set(range(at.start, at.stop))
    assert known.profiles.shape == (len(heights), known.of[next(reversed(known.of))].stop)
    before = {kind for kind, of in known.of.items() if of.stop <= known.of[LONG].stop and of.stop > of.start}
    assert before <= set(MIXED_KINDS)


def test_heights_between_which_no_bump_can_show_still_give_a_verdict(parameters):
    of = templates((100.0, 110.0, 2100.0)).of[BUMP]
    assert of.start == of.stop
    wall = Wall(
        column=np.repeat([0, 1], 3),
        x_mm=np.repeat([500.0, 1500.0], 3),
        y_mm=np.tile([100.0, 110.0, 2100.0], 2),
        excess=np.tile([4.0, 4.0, 0.0], 2),
        level=np.full(6, 4.0),
        share=np.full(6, 0.05),
        width_mm=4000.0,
        height_mm=2400.0,
        referenced=True,
    )
    verdict = shape_of(wall, {**parameters, "profile-least-heights": 3.0})
    assert sum(weight for _, weight in verdict.weights) == pytest.approx(1.0)
