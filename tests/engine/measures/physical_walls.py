"""Walls wetted by one mechanism each, from its physics, and read as a surveyor reads them.

Nothing here knows the profiles that the measures compare with. Excess is in multiples of raised, lengths in mm.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

Field = Callable[[np.ndarray, np.ndarray], np.ndarray]
GRIDS = {
    4: (50, 500, 1000, 2150),
    5: (50, 400, 800, 1300, 2150),
    6: (50, 300, 600, 900, 1500, 2150),
    7: (50, 300, 600, 900, 1200, 1600, 2150),
    8: (50, 250, 500, 750, 1000, 1300, 1700, 2150),
}
HEIGHT = 2400.0


@dataclass(frozen=True)
class ReadWall:
    """Readings of one wall: places, presses there (points on a wood scale), and what each source alone gives."""

    width_mm: float
    x_mm: np.ndarray
    y_mm: np.ndarray
    presses: np.ndarray
    sources: tuple[np.ndarray, ...]

    def shows(self) -> bool:
        """Whether every source stands out at two places read: by 2 over the others, and over nothing if alone."""
        for i, source in enumerate(self.sources):
            rest = [other for j, other in enumerate(self.sources) if j != i]
            if np.sum(source - np.max([np.zeros_like(source), *rest], axis=0) > 2) < 2:
                return False
        return True


def capillary_rise(rng: np.random.Generator, width: float) -> Field:
    """Steady rise against even evaporation; diffusivity exponential in content, so content is log of a square.

    Flow falls evenly to nothing at the front: the Kirchhoff potential goes as (1 - y/h) squared.
    """
    front, strength, steepness = rng.uniform(450, 1250), rng.uniform(3, 9), rng.uniform(2, 4)
    start, stop = _stretch(rng, width, 1500)
    waves = _waves(rng, 0.1)

    def field(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        potential = np.clip(1 - y / (front * (1 + waves(x))), 0, 1) ** 2
        content = np.log1p(np.expm1(steepness) * potential) / steepness
        return strength * content * _between(x, start, stop, 60)

    return field


def salts_of_an_old_rise(rng: np.random.Generator, width: float) -> Field:
    """Salts left where the front stood: it wandered with the seasons about a mean height; a little stayed below."""
    front, wander = rng.uniform(550, 1200), rng.uniform(70, 160)
    strength, below = rng.uniform(3, 9), rng.uniform(0, 0.35)
    waves = _waves(rng, 0.05)

    def field(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        at = front * (1 + waves(x))
        left = np.exp(-0.5 * ((y - at) / wander) ** 2)
        return strength * np.maximum(left, np.where(y < at, below, 0.0))

    return field


def leak_in_the_wall(rng: np.random.Generator, width: float) -> Field:
    """A wet core about a point, and beyond it steady spread against evaporation, falling by a length."""
    x0, y0 = rng.uniform(600, width - 600), rng.uniform(950, HEIGHT - 750)
    core, fall, strength = rng.uniform(150, 350), rng.uniform(60, 140), rng.uniform(3, 9)

    def field(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        beyond = np.maximum(np.hypot(x - x0, y - y0) - core, 0.0)
        return strength * np.exp(-beyond / fall) * np.sqrt(core / (core + beyond))

    return field


def water_from_the_head(rng: np.random.Generator, width: float) -> Field:
    """Seepage down from the wall head, lost to evaporation on the way."""
    depth, strength = rng.uniform(350, 900), rng.uniform(4, 9)
    start, stop = _stretch(rng, width, 1800)
    waves = _waves(rng, 0.1)

    def field(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        return strength * np.exp(-(((HEIGHT - y) / (depth * (1 + waves(x)))) ** 2)) * _between(x, start, stop, 80)

    return field


def film_of_condensation(rng: np.random.Generator, _: float) -> Field:
    """A film over the whole wall, a little more where it is colder, low down or high up."""
    strength, slope = rng.uniform(2, 6), rng.uniform(-0.15, 0.15)
    return lambda x, y: strength * (1 + slope * (y / HEIGHT - 0.5)) + 0 * x


def water_running_down(rng: np.random.Generator, width: float) -> Field:
    """A run of water down a line, spread sideways by the wall, drying a little on its way."""
    x0, half, fall = rng.uniform(400, width - 400), rng.uniform(60, 150), rng.uniform(50, 120)
    strength, loss = rng.uniform(4, 9), rng.uniform(0, 0.4)

    def field(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        return strength * (1 - loss * (1 - y / HEIGHT)) * np.exp(-np.maximum(np.abs(x - x0) - half, 0) / fall)

    return field


def nothing(_: np.random.Generator, __: float) -> Field:
    """A dry wall."""
    return lambda x, y: 0 * x + 0 * y


MECHANISMS: dict[str, Callable[[np.random.Generator, float], Field]] = {
    "base-high-falling": capillary_rise,
    "crest-over-drier-base": salts_of_an_old_rise,
    "patch": leak_in_the_wall,
    "top-down": water_from_the_head,
    "even": film_of_condensation,
    "streak": water_running_down,
    "none": nothing,
}


def read_wall(rng: np.random.Generator, *shapes: str) -> ReadWall:
    """Read a wall of the named mechanisms: 4 to 8 heights, columns closed in on the wettest, a fifth of places missing.

    Presses scatter by 10 % about the place; places by 8 % of the excess and 5 % of the dry level.
    """
    width = rng.uniform(3000, 6000)
    fields = [MECHANISMS[shape](rng, width) for shape in shapes]
    heights = np.array(GRIDS[int(rng.integers(4, 9))], float)
    columns = np.linspace(200, width - 200, int(rng.integers(4, 8)))
    scan = np.linspace(0, width, 120)
    wettest = _scan(fields, scan, heights)
    if wettest is not None:
        closer = np.clip(wettest + np.array([-300.0, 0.0, 300.0]), 50, width - 50)
        apart = [x for x in columns if np.abs(closer - x).min() > 150]
        columns = np.unique(np.concatenate([closer, apart]))
    grid_x, grid_y = (axis.ravel() for axis in np.meshgrid(columns, heights))
    kept = rng.random(len(grid_x)) > 0.2
    x, y = grid_x[kept], grid_y[kept]
    sources = tuple(field(x, y) for field in fields)
    dry = 12 * (1 + 0.05 * rng.normal(size=len(x)))
    level = dry + 3 * np.max(sources, axis=0) * (1 + 0.08 * rng.normal(size=len(x)))
    presses = level[:, None] * (1 + 0.1 * rng.normal(size=(len(x), 3)))
    return ReadWall(width, x, y, np.clip(presses, 0, 99), sources)


def _scan(fields: list[Field], x: np.ndarray, heights: np.ndarray) -> float | None:
    """Where a scan along the wall reads highest, if anywhere it is raised and not all along."""
    across, up = np.meshgrid(x, heights)
    highest = np.max([field(across, up) for field in fields], axis=0).max(axis=0)
    if highest.max() < 1 or np.mean(highest > 0.5 * highest.max()) > 0.4:
        return None
    return float(x[highest.argmax()])


def _stretch(rng: np.random.Generator, width: float, least: float) -> tuple[float, float]:
    if rng.random() < 0.6:
        return -1e4, 1e5
    start = rng.uniform(0, width - least)
    return start, rng.uniform(start + least, width)


def _between(x: np.ndarray, start: float, stop: float, soft: float) -> np.ndarray:
    ends = (np.clip((x - start) / soft, -30, 30), np.clip((stop - x) / soft, -30, 30))
    return 1 / (1 + np.exp(-ends[0])) / (1 + np.exp(-ends[1]))


def _waves(rng: np.random.Generator, size: float) -> Callable[[np.ndarray], np.ndarray]:
    lengths, phases = rng.uniform(800, 3000, 3), rng.uniform(0, 2 * np.pi, 3)
    return lambda x: size * sum(np.sin(2 * np.pi * x / n + p) for n, p in zip(lengths, phases, strict=True)) / 1.7
