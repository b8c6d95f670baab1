"""What two modes show together where each alone names no shape, or each another."""

from __future__ import annotations

import numpy as np
import pytest

HEIGHTS = (50, 300, 600, 900, 1200, 1600, 2200)
COLUMNS = (300, 1300, 2300, 3300)


def crest(greatest):
    return lambda x, y: greatest if y == 600 else greatest / 3 if y in (50, 300, 900) else 0.0


def falling(greatest):
    return lambda x, y: max(0.0, greatest * (1 - y / 900))


@pytest.fixture
def both(weighed, surface, reading):
    """One wall read with pins and with a plate, each from a function, with seeded scatter where a seed is given."""

    def read(excess, instrument, seed):
        noise = np.random.default_rng(seed)
        spread = 0.0 if seed is None else 0.35
        return [
            reading(x, y, round(excess(x, y) + spread * noise.normal(), 2), instrument)
            for x in COLUMNS
            for y in HEIGHTS
        ]

    def made(pins, plate, seeds=(None, None)):
        return weighed(surface(read(pins, "pins", seeds[0]) + read(plate, "plate", seeds[1]))).electrical

    return made


def test_a_crest_that_neither_mode_shows_clearly_is_named_where_both_lean_to_it(both):
    found = both(crest(1.0), crest(1.0), seeds=(28, 35))
    alone = [found.of("wall", mode).shape for mode in ("pins", "capacitance")]
    assert [(verdict.shape, verdict.why) for verdict in alone] == [(None, "no-shape-stands-out")] * 2
    assert found.shape == "crest-over-drier-base"
    assert found.fit > max(verdict.fit for verdict in alone)


def test_where_the_modes_name_different_shapes_the_one_that_is_far_surer_stands(both):
    found = both(falling(1.1), crest(3.0))
    faint, sure = (found.of("wall", mode).shape for mode in ("pins", "capacitance"))
    assert (faint.shape, sure.shape) == ("base-high-falling", "crest-over-drier-base")
    assert found.shape == "crest-over-drier-base"
    assert found.fit < sure.fit


def test_where_the_modes_are_as_sure_of_different_shapes_none_stands(both):
    found = both(falling(3.0), crest(3.0))
    assert {found.of("wall", mode).shape.shape for mode in ("pins", "capacitance")} == {
        "base-high-falling",
        "crest-over-drier-base",
    }
    assert (found.shape, found.fit) == (None, 0.0)


def test_two_modes_that_both_fall_from_the_base_name_nothing_where_neither_is_raised(both):
    found = both(falling(1.05), falling(1.05))
    assert [found.of("wall", mode).shape.why for mode in ("pins", "capacitance")] == ["nothing-raised"] * 2
    assert (found.shape, found.fit) == (None, 0.0)
