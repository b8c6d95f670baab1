"""Shapes on walls that no textbook draws: wavy crests, uneven fronts, several patches, even walls of any level."""

from __future__ import annotations

import numpy as np
import pytest

from engine.measures.likelihood import Wall
from engine.measures.shape import shape_of

HEIGHTS = (50, 300, 600, 900, 1200, 1600, 2200)
ONE, TWO, FOUR, SIX = (300,), (1000, 3000), (300, 1300, 2300, 3300), (200, 900, 1300, 2300, 3000, 3700)


def grid(excess, xs=FOUR, scatter=0.0, seed=0, referenced=True):
    """A full grid with ``excess(x, y)`` and seeded scatter, both in multiples of raised; scatter grows with excess."""
    places = [(j, x, y) for j, x in enumerate(xs) for y in HEIGHTS]
    values = np.array([float(excess(x, y)) for _, x, y in places])
    noise = np.random.default_rng(seed).normal(size=len(values)) * np.maximum(1, values / 4)
    return Wall(
        column=np.array([j for j, _, _ in places]),
        x_mm=np.array([float(x) for _, x, _ in places]),
        y_mm=np.array([float(y) for _, _, y in places]),
        excess=values + scatter * noise,
        level=np.full(len(places), 4.0),
        share=np.full(len(places), 0.05),
        width_mm=4000.0,
        height_mm=2400.0,
        referenced=referenced,
    )


@pytest.fixture
def named(parameters):
    """The shape named on such a wall, None where none is."""

    def made(excess, **how):
        return shape_of(grid(excess, **how), parameters).shape

    return made


def level(excess):
    return lambda x, y: excess


@pytest.mark.parametrize("excess", [1.5, 2.5, 5.0, 8.0])
def test_two_columns_are_enough_for_an_even_wall_and_one_is_not(named, excess):
    assert named(level(excess), xs=FOUR) == named(level(excess), xs=TWO) == "even"
    assert named(level(excess), xs=ONE) is None


@pytest.mark.parametrize("xs", [ONE, TWO, FOUR])
def test_a_wall_evenly_below_raised_is_none_raised_and_one_on_the_verge_is_left_open(named, xs):
    assert named(level(0.6), xs=xs) == named(level(0.8), xs=xs) == "none"
    assert named(level(1.0), xs=xs) is None


def test_an_even_wall_may_be_soaking(named):
    assert named(level(14.0)) == "even"


def sloping(excess):
    """A wall that reads the same up every column, and twice as far over its reference at the right as at the left."""
    return lambda x, y: excess * (2 + (x - 1800) / 1500 * 2 / 3) / 2


def test_a_slightly_raised_wall_is_even_though_one_end_is_damper_and_a_wetter_one_is_left_open(named):
    assert named(sloping(1.5)) == "even"
    assert named(sloping(4.0)) is None


@pytest.mark.parametrize("raised", [1.3, 1.8])
def test_a_dry_wall_with_two_raised_places_is_never_called_none_raised(named, raised):
    assert named(lambda x, y: raised if (x, y) in ((300, 1600), (2300, 900)) else 0.0) != "none"


def wavy(greatest):
    """A crest at 600 mm in every second column and at 900 mm in the others, over a drier base."""

    def excess(x, y):
        crest = 600 + 300 * (x // 1000 % 2)
        return greatest * np.exp(-0.5 * ((y - crest) / 180) ** 2) + (greatest / 5 if y < 600 else 0)

    return excess


@pytest.mark.parametrize("greatest", [2.0, 3.5, 6.0])
def test_a_crest_that_wanders_up_and_down_along_the_wall_is_a_crest(named, greatest):
    assert named(wavy(greatest)) == "crest-over-drier-base"


def test_a_wandering_crest_is_seen_in_few_columns_and_many_and_without_a_dry_reference(named):
    assert named(wavy(6.0), xs=(700, 1700)) == "crest-over-drier-base"
    assert named(wavy(6.0), xs=SIX) == "crest-over-drier-base"
    assert named(wavy(6.0), referenced=False) == "crest-over-drier-base"


@pytest.mark.parametrize("how", [{}, {"xs": SIX}, {"referenced": False}])
def test_damp_from_the_base_that_reaches_higher_at_one_end_is_highest_at_the_base(named, how):
    assert named(lambda x, y: max(0.0, 6.0 * (1 - y / (600 + x / 4))), **how) == "base-high-falling"


def falling(greatest, end):
    return lambda x, y: max(0.0, greatest * (1 - y / end))


def crest(greatest):
    return lambda x, y: {600: greatest, 900: greatest / 3}.get(y, greatest / 3 if y < 600 else 0.0)


def patch(greatest):
    return lambda x, y: 0.0 if x != 1300 else {900: greatest, 1200: greatest, 1600: greatest / 3}.get(y, 0.0)


def patches(greatest):
    """Two patches, at different heights of columns that are not neighbours."""
    return lambda x, y: greatest if (x == 300 and y in (300, 600)) or (x == 2300 and y in (1200, 1600)) else 0.0


@pytest.mark.parametrize("seed", [1, 2])
@pytest.mark.parametrize(
    ("shape", "excess"),
    [
        ("base-high-falling", falling(6.0, 900)),
        ("base-high-falling", falling(6.0, 1500)),
        ("base-high-falling", falling(3.5, 1500)),
        ("crest-over-drier-base", crest(6.0)),
        ("patch", patch(6.0)),
        ("patch", patch(12.0)),
        ("patch", patches(3.5)),
        ("patch", patches(12.0)),
    ],
)
def test_a_shape_is_named_though_wall_and_presses_scatter(named, shape, excess, seed):
    assert named(excess, scatter=0.3, seed=seed) == shape


@pytest.mark.parametrize("greatest", [2.0, 3.5, 6.0, 12.0])
def test_two_patches_apart_from_each_other_are_patches_and_no_other_shape(named, greatest):
    assert named(patches(greatest)) == "patch"
