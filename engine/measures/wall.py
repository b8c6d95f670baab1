"""Electrical readings of an area, surface by surface and mode by mode: what the numbers on a wall mean."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import median

from engine.case.models import Area, Case, Surface
from engine.measures.change import Trend, VisitChange, latest_change, trend
from engine.measures.columns import Column, columns_of
from engine.measures.coverage import Gap, coverage_gaps
from engine.measures.extent import BaseRun, DampArea, Nearby, base_run, damp_area, nearest_features
from engine.measures.gathering import gather_places
from engine.measures.instruments import reference_check_made
from engine.measures.likelihood import Wall
from engine.measures.lines import EdgeLine, along_an_edge, edge_line
from engine.measures.meanings import ANSWERS, NONE, PATCH, SHAPES, STREAK
from engine.measures.modes import DepthContrast, ModeAgreement, depth_contrast, mode_agreement
from engine.measures.next_places import NextPlace, next_places
from engine.measures.noise import press_spread, repeats_agree
from engine.measures.places import CAPACITANCE, DEEP_PINS, MODES, PINS, Gathered, Place
from engine.measures.profile import WallProfile, wall_profile
from engine.measures.shape import ShapeVerdict, shape_of
from engine.measures.shape_readings import wall_of

ALONG_AN_EDGE, UNCLEAR_WHY = "along-an-edge", "no-shape-stands-out"
OPEN = 0.02
"""Belief that each mode leaves to every answer when both are taken together, for they do not see quite the same."""
FLAT = ("floor", "ceiling")
"""Surfaces on which height means nothing, so that they have no profile and no shape."""


@dataclass(frozen=True, slots=True)
class SurfaceReading:
    """One mode on one surface. ``excess`` is that of the wettest part [multiples of raised], None without reference.

    ``referenced`` says whether the shape rests on excess over dry references, or only on differences on one material.
    """

    surface: str
    mode: str
    places: tuple[Place, ...]
    columns: tuple[Column, ...]
    excess: float | None
    shape: ShapeVerdict | None
    referenced: bool
    profile: WallProfile | None
    run: BaseRun | None
    area: DampArea | None
    edge: str | None
    line: EdgeLine | None
    next_places: tuple[NextPlace, ...]


@dataclass(frozen=True, slots=True)
class Electrical:
    """All that an area's electrical readings come to; ``principal`` is the surface that area-level facts rest on.

    ``leading`` is the mode whose profile and extent stand for it; ``shape`` and ``fit`` those of the wall.
    """

    gathered: Gathered
    readings: tuple[SurfaceReading, ...]
    principal: str | None
    leading: str | None
    shape: str | None
    fit: float
    floors: tuple[str, ...]
    partitions: tuple[str, ...]
    agreement: ModeAgreement | None
    depth: DepthContrast | None
    nearby: tuple[Nearby, ...]
    gaps: tuple[Gap, ...]
    checked: str | None
    repeats: str | None
    change: VisitChange | None
    trend: Trend | None

    def of(self, surface: str | None, mode: str | None) -> SurfaceReading | None:
        """The reading of one mode on one surface, if there is one."""
        return next((r for r in self.readings if r.surface == surface and r.mode == mode), None)


def electrical(
    case: Case, area: Area, parameters: Mapping[str, float], voided: frozenset[tuple[str, str]] = frozenset()
) -> Electrical:
    """Weigh an area's electrical readings; those of voided (visit, instrument) pairs do not count."""
    gathered = gather_places(case, area, parameters, voided)
    surfaces = sorted(area.surfaces, key=lambda surface: surface.id)
    spreads = {
        instrument: press_spread((p for p in gathered.history if p.instrument == instrument), parameters)
        for instrument in sorted({place.instrument for place in gathered.history})
    }
    readings = tuple(
        _reading(surface, mode, places, spreads, parameters)
        for surface in surfaces
        for mode in MODES
        if (places := gathered.on([surface.id], mode))
    )
    floors = tuple(surface.id for surface in surfaces if surface.kind == "floor")
    partitions = tuple(surface.id for surface in surfaces if _stands(surface, "internal"))
    principal = _principal(readings, floors, partitions)
    on_principal = gathered.on([principal]) if principal else ()
    others = gathered.on([surface.id for surface in surfaces if surface.id not in (*floors, *partitions)])
    leading = _leading(readings, principal)
    shape, fit = _wall_shape(readings, principal, parameters)
    checked = reference_check_made(case, gathered.used)
    spread = max(spreads.values(), default=parameters["press-spread"])
    faces = frozenset(s.id for s in surfaces if s.id in partitions or _stands(s, "party"))
    return Electrical(
        gathered=gathered,
        readings=readings,
        principal=principal,
        leading=leading,
        shape=shape,
        fit=fit,
        floors=floors,
        partitions=partitions,
        agreement=mode_agreement(on_principal, parameters) or mode_agreement(others, parameters),
        depth=depth_contrast(on_principal, parameters) or depth_contrast(others, parameters),
        nearby=nearest_features(gathered.latest, surfaces),
        gaps=coverage_gaps(
            surfaces, gathered, {(r.surface, r.mode): r.columns for r in readings}, checked, faces, parameters
        ),
        checked=checked,
        repeats=repeats_agree(gathered.latest, parameters),
        change=latest_change(gathered.history, gathered.days, spread, parameters),
        trend=trend(gathered.history, gathered.days, spread, parameters),
    )


def wettest(places: Sequence[Place], presses: float) -> float | None:
    """Excess of the wettest part; None without a dry reference.

    The highest place that was pressed often enough for its median to count, or the second highest of all, whichever
    is more: one stray press does not make a damp wall. With fewer than five places the highest.
    """
    known = sorted((p.excess for p in places if p.excess is not None), reverse=True)
    if not known:
        return None
    if len(known) < 5:
        return known[0]
    firm = [p.excess for p in places if p.excess is not None and len(p.presses) >= presses]
    return max([known[1], *firm])


def _reading(
    surface: Surface,
    mode: str,
    places: tuple[Place, ...],
    spreads: Mapping[str, float],
    parameters: Mapping[str, float],
) -> SurfaceReading:
    columns = columns_of(places, parameters["column-width"], parameters["same-place-radius"])
    upright = surface.kind not in FLAT
    wall = wall_of(places, columns, spreads, surface, parameters) if upright and mode != DEEP_PINS else None
    spread = max(spreads[place.instrument] for place in places)
    edge, line = edge_line(places, columns, surface, parameters)
    return SurfaceReading(
        surface=surface.id,
        mode=mode,
        places=places,
        columns=columns,
        excess=wettest(places, parameters["grid-presses"]),
        shape=_shape(wall, places, edge, surface, parameters) if wall is not None else None,
        referenced=wall is not None and wall.referenced,
        profile=wall_profile(columns, spread, parameters) if upright else None,
        run=base_run(columns, surface, parameters) if upright else None,
        area=damp_area(columns, surface),
        edge=edge,
        line=line,
        next_places=next_places(surface, mode, columns, parameters) if upright and mode != DEEP_PINS else (),
    )


def _shape(
    wall: Wall, places: Sequence[Place], edge: str | None, surface: Surface, parameters: Mapping[str, float]
) -> ShapeVerdict:
    """The shape of the readings.

    Not named are a streak or patch along an arris, a joint or a ruler's edge, for metal may make it; and any raised
    shape where no place is raised over its dry reference.
    """
    verdict = shape_of(wall, parameters)
    if wall.referenced and verdict.shape not in (None, NONE) and not any(place.is_raised for place in places):
        return replace(verdict, shape=None, why="nothing-raised")
    if verdict.shape in (STREAK, PATCH) and (edge == "yes" or along_an_edge(places, surface, parameters)):
        return replace(verdict, shape=None, why=ALONG_AN_EDGE)
    return verdict


def _stands(surface: Surface, position: str) -> bool:
    """Whether a fact of the surface itself says where its wall stands in the building."""
    return any(fact.attribute == "wall-position" and fact.value == position for fact in surface.facts)


def _principal(readings: Sequence[SurfaceReading], floors: Sequence[str], partitions: Sequence[str]) -> str | None:
    """The surface with the greatest excess, floors and partitions apart; without any reference the one most read.

    Where only partitions were read, one of them; ties go to the first by id.
    """
    upright = [r for r in readings if r.surface not in floors]
    walls = [r for r in upright if r.surface not in partitions] or upright
    if not walls:
        return None

    def rank(surface: str) -> tuple[float, int]:
        mine = [r for r in walls if r.surface == surface]
        return max((r.excess for r in mine if r.excess is not None), default=-1e9), sum(len(r.places) for r in mine)

    return max(sorted({r.surface for r in walls}), key=rank)


def _leading(readings: Sequence[SurfaceReading], principal: str | None) -> str | None:
    """The mode that stands for the principal surface: one with a profile before one without, then the wetter one."""
    mine = [r for r in readings if r.surface == principal and r.mode in (PINS, CAPACITANCE)]
    if not mine:
        return None

    def rank(reading: SurfaceReading) -> tuple[bool, float, bool]:
        has_profile = reading.profile is not None and bool(reading.profile.columns)
        return has_profile, reading.excess if reading.excess is not None else -1e9, reading.mode == PINS

    return max(mine, key=rank).mode


def _wall_shape(
    readings: Sequence[SurfaceReading], principal: str | None, parameters: Mapping[str, float]
) -> tuple[str | None, float]:
    """The shape on which the modes agree, or which one shows where the other shows nothing raised or no shape.

    Where the modes show different shapes, or neither shows one clearly, what both together make most likely counts, if
    it stands out. *None raised* is named only where the other mode is not raised either; nothing is named where one
    mode finds no more than metal could do.
    """
    verdicts = [(r.shape, r.excess) for r in readings if r.surface == principal and r.shape is not None]
    if any(verdict.why == ALONG_AN_EDGE for verdict, _ in verdicts):
        return None, 0.0
    named = [(verdict.shape, verdict.fit) for verdict, _ in verdicts if verdict.shape is not None]
    shapes = {shape for shape, _ in named if shape != NONE}
    if len(shapes) == 1:
        shape = shapes.pop()
        return shape, max(fit for name, fit in named if name == shape)
    normal = all(excess is not None and excess < 1 for verdict, excess in verdicts if verdict.shape != NONE)
    if not shapes and named and normal:
        return NONE, max(fit for _, fit in named)
    if len(shapes) == 2 or all(verdict.why == UNCLEAR_WHY for verdict, _ in verdicts):
        return taken_together([verdict for verdict, _ in verdicts], parameters["shape-margin"])
    return None, 0.0


def taken_together(verdicts: Sequence[ShapeVerdict], margin: float) -> tuple[str | None, float]:
    """The raised shape that stands out when the modes' beliefs are multiplied, each left a little open."""
    beliefs = dict.fromkeys(ANSWERS, 1.0)
    for verdict in verdicts:
        for name, weight in verdict.weights:
            beliefs[name] *= weight + OPEN
    shape = max(SHAPES, key=lambda name: beliefs[name])
    fit = beliefs[shape] / sum(beliefs.values())
    return (shape, fit) if len(verdicts) > 1 and shape != NONE and fit >= margin else (None, 0.0)


def median_excess(reading: SurfaceReading) -> float | None:
    """Median excess over the places of one mode on one surface; None without a dry reference."""
    known = [place.excess for place in reading.places if place.excess is not None]
    return median(known) if known else None
