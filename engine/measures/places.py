"""Places on a wall: presses gathered by surface, place, mode and visit, against the dry reference.

Readings on masonry are relative. A place's value is the median of its presses on the instrument's own scale;
its *excess* is that value less the dry reference for the same instrument and material, in multiples of the
smallest rise that counts as raised on the scale (1 = raised). Without a reference the excess is not known,
and is never guessed from another material.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

PINS, CAPACITANCE, DEEP_PINS = "pins", "capacitance", "deep-pins"
MODES = (PINS, CAPACITANCE, DEEP_PINS)
MODE_TITLES = {PINS: "pins", CAPACITANCE: "capacitance", DEEP_PINS: "deep pins"}
WOOD, RELATIVE = "wood-percent", "relative"


@dataclass(frozen=True, slots=True)
class Place:
    """One place in one mode on one visit; lengths in mm, heights above the floor level of the surface.

    ``value`` and ``presses`` are on the instrument's scale, ``raised`` is the smallest rise that counts as
    raised on it. ``excess`` is the rise over the dry reference in multiples of raised. ``reference`` and ``excess`` are
    None where there is no dry reference, ``excess`` also on an unknown scale; ``reference_visit`` is the visit that
    the reference was taken on.
    """

    surface: str
    mode: str
    visit: str
    instrument: str
    scale: str
    full_scale: float | None
    x_mm: float
    y_mm: float
    depth_mm: float
    material: str
    presses: tuple[float, ...]
    value: float
    raised: float | None
    reference: float | None
    reference_visit: str | None
    excess: float | None = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Reckon the rise over the dry reference, in multiples of raised, once."""
        excess = None
        if self.reference is not None and self.raised is not None:
            excess = (self.value - self.reference) / self.raised
        object.__setattr__(self, "excess", excess)

    @property
    def is_raised(self) -> bool:
        """Whether the place is known to be raised."""
        return self.excess is not None and self.excess >= 1

    @property
    def is_normal(self) -> bool:
        """Whether the place is known not to be raised."""
        return self.excess is not None and self.excess < 1


@dataclass(frozen=True, slots=True)
class Gathered:
    """All usable places: ``latest`` with the later visit winning at each place, ``history`` with every visit."""

    latest: tuple[Place, ...]
    history: tuple[Place, ...]
    days: Mapping[str, int]
    used: frozenset[tuple[str, str]]
    doubts: tuple[str, ...]
    limits: tuple[tuple[str, str], ...]

    def on(self, surfaces: Iterable[str], mode: str | None = None) -> tuple[Place, ...]:
        """The latest places on the named surfaces, of one mode or of all."""
        wanted = frozenset(surfaces)
        return tuple(p for p in self.latest if p.surface in wanted and mode in (None, p.mode))
