"""What figures show, as plain data. Every text is plain text; lengths in mm, heights above the floor of the surface.

A rise over the dry reference (*excess*) is in multiples of the smallest rise that counts as raised on the
instrument's scale: 0 as the dry reference, 1 raised. Readings on masonry are relative and no percentage of water.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from engine.reporting.blocks import Table

Kind = Literal["wall-map", "height-profile", "sample-profile", "climate-strip", "evidence-weights", "visit-change"]
Quantity = Literal["temperature", "dew-point", "humidity", "moisture", "rain"]
MarkState = Literal["raised", "normal", "no-reference", "set-aside"]


@dataclass(frozen=True, slots=True)
class Mark:
    """One place on a wall map; ``x_mm`` and ``y_mm`` from the bottom left of the surface.

    ``value`` is the median of its ``presses`` on the instrument's own scale. ``excess`` is None without a dry
    reference or where the reading was set aside.
    """

    x_mm: float
    y_mm: float
    height_mm: float
    depth_mm: float
    material: str
    instrument: str
    presses: tuple[float, ...]
    value: float
    excess: float | None
    state: MarkState


@dataclass(frozen=True, slots=True)
class Shape:
    """A rectangle or a line on a surface between two corners or ends, and the word for it."""

    kind: str
    words: str
    shape: Literal["rectangle", "line"]
    x_mm: float
    y_mm: float
    to_x_mm: float
    to_y_mm: float


@dataclass(frozen=True, slots=True)
class Scale:
    """An instrument of a map: its scale in words, the rise that counts as raised on it, and its dry references.

    ``references`` are (material, reading) pairs; empty where there is none.
    """

    instrument: str
    words: str
    full_scale: float | None
    raised: float | None
    references: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class WallMap:
    """One mode on one surface on one visit, to scale. Where nothing was read, nothing stands: no interpolation.

    Readings that lie off the surface or over the top of their scale are not on it; the opinion's doubts name them.
    """

    surface: str
    title: str
    kind: str
    width_mm: float
    height_mm: float
    floor_mm: float
    material: str
    mode: str
    mode_words: str
    visit: str
    visit_words: str
    scales: tuple[Scale, ...]
    marks: tuple[Mark, ...]
    features: tuple[Shape, ...]
    zones: tuple[Shape, ...]


@dataclass(frozen=True, slots=True)
class HeightPoint:
    """A place by its height [mm] and its level: excess, or the reading where there is no dry reference."""

    x_mm: float
    height_mm: float
    level: float


@dataclass(frozen=True, slots=True)
class HeightCourse:
    """One mode up a surface. ``referenced``: levels are excess; else readings on the instrument's scale.

    ``line`` runs up the column at ``column_mm`` along the wall, (height, level) from the lowest; empty where no column
    has two heights. ``fall_off_mm`` is where that column falls below raised, known to ``bound_mm``. ``unreferenced``
    counts further places that have no dry reference and so no level here.
    """

    mode: str
    mode_words: str
    referenced: bool
    points: tuple[HeightPoint, ...]
    line: tuple[tuple[float, float], ...]
    column_mm: float | None
    fall_off_mm: float | None
    bound_mm: float | None
    unreferenced: int


@dataclass(frozen=True, slots=True)
class Height:
    """A height that matters on a surface [mm]: the ground outside, the damp-proof course, the skirting's top."""

    words: str
    height_mm: float


@dataclass(frozen=True, slots=True)
class HeightProfile:
    """Readings against height on one surface, pins beside capacitance."""

    surface: str
    title: str
    top_mm: float
    courses: tuple[HeightCourse, ...]
    heights: tuple[Height, ...]


@dataclass(frozen=True, slots=True)
class SamplePoint:
    """One weighed sample: moisture as found and at 75 % relative humidity [% of dry mass], and the weighing error.

    ``at_mm`` is its height or depth by the profile's axis, None where that was not recorded.
    """

    sample: str
    at_mm: float | None
    layer: Literal["surface layer", "core", "depth not stated"]
    found_percent: float | None
    hygroscopic_percent: float | None
    error_percent: float


@dataclass(frozen=True, slots=True)
class SampleProfile:
    """Weighed samples of one surface against height or depth, or side by side where neither varies."""

    title: str
    axis: Literal["height", "depth", "sample"]
    points: tuple[SamplePoint, ...]


@dataclass(frozen=True, slots=True)
class ClimateSpot:
    """One surface temperature on a visit against the dew point of that visit's room air [°C]; margin [K]."""

    visit_words: str
    place: str
    surface_c: float
    tolerance_k: float | None
    air_c: float | None
    humidity_percent: float | None
    dew_point_c: float | None
    set_aside: bool


@dataclass(frozen=True, slots=True)
class LoggedSpan:
    """A stretch of a logged series: its middle [days since the strip's start] and least, mean and greatest value."""

    days: float
    least: float
    mean: float
    greatest: float


@dataclass(frozen=True, slots=True)
class LoggedCourse:
    """One logged quantity over time; ``gap_days`` is the distance beyond which two spans are not joined."""

    logger: str
    words: str
    quantity: Quantity
    unit: str
    spans: tuple[LoggedSpan, ...]
    gap_days: float


@dataclass(frozen=True, slots=True)
class ClimateStrip:
    """Surfaces against the dew point: spots by visit, and logged series over time from ``start`` (a day, ISO 8601)."""

    spots: tuple[ClimateSpot, ...]
    courses: tuple[LoggedCourse, ...]
    start: str | None
    days: float


@dataclass(frozen=True, slots=True)
class Weight:
    """A finding's weight of evidence for (positive) or against a cause [dB]; infinite where nothing else is left."""

    words: str
    decibans: float


@dataclass(frozen=True, slots=True)
class EvidenceWeights:
    """The weights of evidence on one cause, the most for it first and the most against it last; they do not add up."""

    cause: str
    title: str
    words: str
    weights: tuple[Weight, ...]
    together_decibans: float


@dataclass(frozen=True, slots=True)
class PlaceCourse:
    """A place that was read on both visits, and its excess on each."""

    surface: str
    mode_words: str
    x_mm: float
    height_mm: float
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class VisitChange:
    """What changed between two visits, place by place, and the median's course over all visits that share places.

    ``course`` holds (day in words, days since the first, median excess); two entries or more.
    """

    earlier: str
    later: str
    days: int
    verdict: str
    places: tuple[PlaceCourse, ...]
    median_change: float
    error: float
    course: tuple[tuple[str, int, float], ...]


FigureData = WallMap | HeightProfile | SampleProfile | ClimateStrip | EvidenceWeights | VisitChange
_KINDS: dict[type, Kind] = {
    WallMap: "wall-map",
    HeightProfile: "height-profile",
    SampleProfile: "sample-profile",
    ClimateStrip: "climate-strip",
    EvidenceWeights: "evidence-weights",
    VisitChange: "visit-change",
}


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure: its stable id, unique within a case, a title, a text for readers who do not see it, and its numbers.

    ``alt`` says the main shape and figures in sentences; ``table`` holds every number that the drawing shows.
    """

    id: str
    title: str
    alt: str
    table: Table
    data: FigureData

    @property
    def kind(self) -> Kind:
        """Which kind of figure it is."""
        return _KINDS[type(self.data)]
