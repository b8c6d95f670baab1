"""How figures look: one palette, one set of type sizes, nothing taken from the machine's own settings.

The palette is matplotlib's cividis, reversed so that more is darker: perceptually uniform and made to look alike with
and without a colour vision deficiency (J. R. Nuñez, C. R. Anderton, R. S. Renslow, 2018, PLOS ONE 13(7), e0199239;
from memory). Colour never stands alone: outlines, markers, hatching and printed values say the same.
"""

from __future__ import annotations

import logging
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache

INK, SOFT, FAINT, PAPER = "#1d2126", "#4b535d", "#c9ced4", "#ffffff"
WIDTH_IN = 7.0
"""Width of every figure [inches]: the text width of an A4 page with its margins."""
SMALL, NORMAL = 7.0, 8.0
"""Type sizes [points]."""
DARK, MIDDLE, LIGHT = 1.0, 0.55, 0.12
"""Levels of the palette for one, two and three things side by side."""

RGB = tuple[float, float, float]


@contextmanager
def settings(salt: str) -> Iterator[None]:
    """Matplotlib's own defaults with ours, whatever the machine is set to; restored afterwards.

    ``salt`` makes the ids in an SVG the same each time. Text is never read as mathematics.
    """
    import matplotlib

    logging.getLogger("matplotlib").setLevel(logging.ERROR)
    with matplotlib.rc_context(), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message=".*[Gg]lyph.*")
        matplotlib.rcdefaults()
        matplotlib.rcParams.update(
            {
                "axes.edgecolor": SOFT,
                "axes.labelcolor": INK,
                "axes.labelsize": NORMAL,
                "axes.linewidth": 0.6,
                "axes.unicode_minus": True,
                "figure.facecolor": PAPER,
                "font.family": ["DejaVu Sans"],
                "font.size": NORMAL,
                "hatch.linewidth": 0.5,
                "savefig.facecolor": PAPER,
                "svg.fonttype": "path",
                "svg.hashsalt": salt,
                "text.color": INK,
                "text.parse_math": False,
                "text.usetex": False,
                "xtick.color": SOFT,
                "xtick.labelcolor": INK,
                "xtick.labelsize": SMALL,
                "ytick.color": SOFT,
                "ytick.labelcolor": INK,
                "ytick.labelsize": SMALL,
            }
        )
        yield


@cache
def shade(level: float) -> RGB:
    """Colour of a level from 0 (least, lightest) to 1 (most, darkest); beyond that the end of the palette."""
    from matplotlib import colormaps

    red, green, blue, _ = colormaps["cividis"](1.0 - min(max(level, 0.0), 1.0))
    return float(red), float(green), float(blue)


def luminance(colour: RGB) -> float:
    """Relative luminance 0 to 1 of an sRGB colour (WCAG 2.1, definition of relative luminance; from memory)."""
    red, green, blue = ((c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4) for c in colour)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(first: RGB, second: RGB) -> float:
    """Contrast ratio 1 to 21 of two colours (WCAG 2.1, definition of contrast ratio; from memory)."""
    light, dark = sorted((luminance(first), luminance(second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


BLACK: RGB = (0.0, 0.0, 0.0)
WHITE: RGB = (1.0, 1.0, 1.0)


def ink_on(colour: RGB) -> RGB:
    """Black or white, whichever stands out more; never under 4.5 : 1, for one of the two always reaches that."""
    return max((BLACK, WHITE), key=lambda ink: contrast(ink, colour))
