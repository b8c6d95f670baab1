"""Levels can be told apart in grey and with a colour vision deficiency; values stand out from what they stand on.

Colour vision deficiencies by the matrices of G. M. Machado, M. M. Oliveira and L. A. F. Fernandes, *A
Physiologically-based Model for Simulation of Color Vision Deficiency*, IEEE TVCG 15(6), 2009, severity 1, linear RGB:
taken from public source code that quotes them, not from the paper. Contrast by WCAG 2.1, of which the formulas are from
memory; the luminance of *purple*, 0.06147707043243851, is a figure that the documentation of ColorAide prints.
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from cli.report.drawing.places import OUTLINES
from cli.report.drawing.style import contrast, ink_on, luminance, shade

LEVELS = [n / 100 for n in range(101)]
DEFICIENCIES = {
    "protan": ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216), (-0.003882, -0.048116, 1.051998)),
    "deutan": ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413), (-0.011820, 0.042940, 0.968881)),
    "tritan": ((1.255528, -0.076749, -0.178779), (-0.078411, 0.930809, 0.147602), (0.004733, 0.691367, 0.303900)),
}


def linear(value):
    return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4


def seen_luminance(colour, matrix):
    """Relative luminance of a colour as somebody with the deficiency sees it."""
    rgb = [linear(channel) for channel in colour]
    seen = [min(max(sum(a * b for a, b in zip(row, rgb, strict=True)), 0.0), 1.0) for row in matrix]
    return 0.2126 * seen[0] + 0.7152 * seen[1] + 0.0722 * seen[2]


def test_contrast_is_as_published():
    assert contrast((0, 0, 0), (1, 1, 1)) == pytest.approx(21)
    assert luminance((128 / 255, 0, 128 / 255)) == pytest.approx(0.06147707043243851, rel=1e-9)


def test_more_is_darker_all_along_the_palette():
    values = [luminance(shade(level)) for level in LEVELS]
    assert all(after < before for before, after in pairwise(values[::2]))
    assert contrast(shade(0.0), shade(1.0)) > 8


@pytest.mark.parametrize("name", DEFICIENCIES)
def test_more_is_darker_with_a_colour_vision_deficiency(name):
    values = [seen_luminance(shade(level), DEFICIENCIES[name]) for level in LEVELS[::5]]
    assert all(after < before for before, after in pairwise(values))


def test_printed_values_stand_out_from_every_shade():
    assert min(contrast(ink_on(shade(level)), shade(level)) for level in LEVELS) >= 4.5


def test_no_two_states_of_a_place_share_an_outline():
    assert len({*OUTLINES.values(), (0.7, "solid")}) == len(OUTLINES) + 1


def test_values_on_a_drawn_map_stand_out_from_their_own_box(wall_map, composed):
    from matplotlib.colors import to_rgb

    axes = composed(wall_map).axes[0]
    boxes = [patch for patch in axes.patches if patch.get_zorder() == 6]
    values = [text for text in axes.texts if text.get_zorder() == 7]
    assert len(boxes) == len(values) == len(wall_map.data.marks)
    for box, value in zip(boxes, values, strict=True):
        assert contrast(to_rgb(box.get_facecolor()), to_rgb(value.get_color())) >= 4.5


def test_bars_for_and_against_differ_by_hatching_and_side_too(each_kind, composed):
    figure = next(figure for figure in each_kind if figure.kind == "evidence-weights")
    bars = [patch for patch in composed(figure).axes[0].patches if patch.get_zorder() == 3]
    assert {bar.get_hatch() for bar in bars if bar.get_width() > 0} == {None}
    against = [bar for bar in bars if bar.get_width() < 0]
    assert against
    assert {bar.get_hatch() for bar in against} == {"////"}
