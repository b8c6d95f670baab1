"""A wall is drawn as long across as up, and every value is printed where it was read and on nothing else."""

from __future__ import annotations

import dataclasses
from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cli.report.drawing.layout import spread, steps
from cli.report.drawing.places import laid_out


def test_a_millimetre_is_as_long_across_as_up(wall_map, composed):
    axes = composed(wall_map).axes[0]
    (x0, y0), (x1, y1) = axes.transData.transform([(0, 0), (1000, 1000)])
    assert x1 - x0 == pytest.approx(y1 - y0, rel=1e-6)


@pytest.mark.parametrize(("width", "height"), [(600, 2600), (14000, 2400), (300, 300)])
def test_walls_of_any_proportion_are_to_scale_and_fit_the_page(wall_map, composed, width, height):
    data = dataclasses.replace(wall_map.data, width_mm=width, height_mm=height, marks=wall_map.data.marks[:1])
    drawing = composed(dataclasses.replace(wall_map, data=data))
    axes = drawing.axes[0]
    (x0, y0), (x1, y1) = axes.transData.transform([(0, 0), (1000, 1000)])
    assert x1 - x0 == pytest.approx(y1 - y0, rel=1e-6)
    assert drawing.get_figwidth() == pytest.approx(7.0)
    assert drawing.get_figheight() < 8.5


def test_every_value_is_printed_where_it_was_read(wall_map, composed):
    axes = composed(wall_map).axes[0]
    printed = {(round(t.get_position()[0]), round(t.get_position()[1])): t.get_text() for t in axes.texts}
    for mark in wall_map.data.marks:
        assert float(printed[mark.x_mm, mark.y_mm]) == pytest.approx(mark.value, abs=0.05)
    letters = [t for t in axes.texts if t.get_text() in ("a", "b", "c")]
    assert len(axes.texts) == len(wall_map.data.marks) + len(letters)


def test_the_outside_ground_line_and_the_skirting_are_drawn_where_they_are(wall_map, composed):
    axes = composed(wall_map).axes[0]
    lines = {tuple(map(float, line.get_xdata())) + tuple(map(float, line.get_ydata())) for line in axes.lines}
    assert (600.0, 2500.0, 20.0, 20.0) in lines
    boxes = {(p.get_x(), p.get_y(), p.get_width(), p.get_height()) for p in axes.patches if hasattr(p, "get_xy")}
    assert (0.0, 0.0, 4200.0, 50.0) in boxes
    assert (0, 0, 4200.0, 2400.0) in boxes


@given(st.lists(st.tuples(st.integers(0, 4000), st.integers(0, 2400)), min_size=1, max_size=80, unique=True))
def test_printed_values_never_lie_on_one_another_and_no_place_is_lost(wall_map, at):
    first = wall_map.data.marks[0]
    marks = tuple(dataclasses.replace(first, x_mm=float(x), y_mm=float(y)) for x, y in at)
    laid = laid_out(dataclasses.replace(wall_map.data, marks=marks), 0.1)
    assert len(laid) == len(marks)
    for one, other in combinations([one.box for one in laid if one.printed], 2):
        assert not one.meets(other)


@given(st.lists(st.floats(-50, 150), min_size=1, max_size=30), st.floats(1, 12))
def test_labels_keep_their_order_their_distance_and_the_drawing(wanted, apart):
    placed = spread(wanted, apart, 0.0, 100.0)
    ordered = [place for _, place in sorted(zip(wanted, placed, strict=True), key=lambda pair: (pair[0], pair[1]))]
    room = min(apart, 100.0 / max(len(wanted) - 1, 1))
    assert all(b - a >= room - 1e-6 for a, b in pairwise(ordered))
    assert all(-1e-6 <= place <= 100 + 1e-6 for place in placed)


@given(st.floats(-1e4, 1e4), st.floats(0.01, 1e4), st.integers(2, 12))
def test_ticks_are_round_rising_and_not_too_many(low, width, most):
    ticks = steps(low, low + width, most)
    assert len(ticks) <= most + 1
    assert all(low - 1e-6 * width - 1e-9 <= tick <= low + width + 1e-6 * width + 1e-9 for tick in ticks)
    assert all(b > a for a, b in pairwise(ticks))
