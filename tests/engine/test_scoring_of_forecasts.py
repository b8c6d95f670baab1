"""The Brier score, its parts and the reliability table, against scikit-learn and an example worked by hand.

scikit-learn (which pgmpy brings along) has the score and the calibration curve. The parts are held against S. Siegert's
reading of them (2017, known from its abstract): the score lost against forecasts that are put right, and what those
gain on always saying the share overall.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from sklearn.calibration import calibration_curve
from sklearn.metrics import brier_score_loss

from engine.scoring import TENTHS, brier, murphy_parts, reliability_table

PAIRS = st.lists(st.tuples(st.integers(0, 20).map(lambda n: n / 20), st.booleans()), min_size=1, max_size=60)
ANY_PAIRS = st.lists(st.tuples(st.floats(0, 1), st.booleans()), min_size=1, max_size=60)


def parted(pairs):
    return [p for p, _ in pairs], [came for _, came in pairs]


def test_an_example_worked_by_hand():
    """Ten forecasts: 0.8 five times (four came true), 0.2 five times (two came true)."""
    forecasts = [0.8] * 5 + [0.2] * 5
    outcomes = [True] * 4 + [False] + [True] * 2 + [False] * 3
    parts = murphy_parts(forecasts, outcomes)
    assert brier(forecasts, outcomes) == pytest.approx((4 * 0.04 + 0.64 + 2 * 0.64 + 3 * 0.04) / 10)
    assert parts.reliability == pytest.approx(0.5 * 0.0 + 0.5 * 0.2**2)
    assert parts.resolution == pytest.approx(0.5 * 0.2**2 + 0.5 * 0.2**2)
    assert parts.uncertainty == pytest.approx(0.24)
    assert [(row.count, row.share_true) for row in reliability_table(forecasts, outcomes)] == [(5, 0.4), (5, 0.8)]


@given(ANY_PAIRS)
def test_the_score_is_that_of_scikit_learn(pairs):
    forecasts, outcomes = parted(pairs)
    assert brier(forecasts, outcomes) == pytest.approx(brier_score_loss(outcomes, forecasts, labels=[False, True]))


@given(PAIRS)
def test_the_parts_are_losses_against_forecasts_put_right(pairs):
    forecasts, outcomes = parted(pairs)
    said, came = np.array(forecasts), np.array(outcomes, dtype=float)
    right = np.array([came[said == value].mean() for value in said])
    overall = np.full(len(said), came.mean())
    score = [brier_score_loss(outcomes, values, labels=[False, True]) for values in (said, right, overall)]
    parts = murphy_parts(forecasts, outcomes)
    assert parts.reliability == pytest.approx(score[0] - score[1], abs=1e-12)
    assert parts.resolution == pytest.approx(score[2] - score[1], abs=1e-12)
    assert parts.uncertainty == pytest.approx(score[2], abs=1e-12)
    assert parts.within == 0


@given(ANY_PAIRS)
def test_in_bins_the_parts_and_the_rest_within_make_up_the_score(pairs):
    forecasts, outcomes = parted(pairs)
    parts = murphy_parts(forecasts, outcomes, TENTHS)
    made_up = parts.reliability - parts.resolution + parts.uncertainty + parts.within
    assert made_up == pytest.approx(brier(forecasts, outcomes))
    table = reliability_table(forecasts, outcomes)
    assert parts.reliability == pytest.approx(
        sum(row.count * (row.mean_forecast - row.share_true) ** 2 for row in table) / len(forecasts)
    )


@given(ANY_PAIRS.filter(lambda pairs: len({came for _, came in pairs}) == 2))
def test_the_table_is_the_calibration_curve_of_scikit_learn_away_from_the_edges(pairs):
    kept = [(p, came) for p, came in pairs if all(abs(p - edge) > 1e-6 for edge in TENTHS)]
    if len({came for _, came in kept}) < 2:
        return
    forecasts, outcomes = parted(kept)
    shares, means = calibration_curve(outcomes, forecasts, n_bins=10)
    table = reliability_table(forecasts, outcomes)
    assert [row.share_true for row in table] == pytest.approx(list(shares))
    assert [row.mean_forecast for row in table] == pytest.approx(list(means))
    assert sum(row.count for row in table) == len(kept)


@pytest.mark.parametrize(
    ("forecasts", "outcomes", "edges"),
    [
        ([], [], TENTHS),
        ([0.5], [], TENTHS),
        ([1.2], [True], TENTHS),
        ([0.5], [True], (0, 0.5)),
        ([0.5], [True], (0, 0)),
    ],
)
def test_what_is_no_forecast_or_no_bins_is_refused(forecasts, outcomes, edges):
    with pytest.raises(ValueError, match=r"forecast|edges"):
        reliability_table(forecasts, outcomes, edges)
