"""What is true of the places of a made-up wall: the shape to be named, if any, and the shapes that are not wrong."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from engine.synthesis.flow import Field
from engine.synthesis.meters import Meter
from engine.synthesis.naming import (
    CLEARLY,
    HARDLY,
    NAMES,
    RAISED_POINTS,
    RAISED_SHARE,
    Seen,
    raised_all_over,
    shape_of,
    shows,
)
from engine.synthesis.places import Places
from engine.synthesis.state import State

METAL_BESIDE_MM = 60.0
"""A column this near to metal, but off it, shows that the raised strip is narrower than moisture makes [mm]."""


@dataclass(frozen=True, slots=True)
class Truth:
    """What may be said of the shape.

    ``nameable`` is the one that a surveyor would name from the places, None where no single one can be named; naming
    one of ``allowed`` is not wrong.
    """

    nameable: str | None
    allowed: frozenset[str]


def seen_by(meter: Meter, state: State, places: Places, touches: Field, gains: Field) -> Seen:
    """What a meter would show at the places without scatter, in multiples of the rise that counts as raised."""
    raised = RAISED_POINTS if meter.mode == "pins" else RAISED_SHARE * meter.top
    excess = gains * meter.excess(state, places.x_mm, places.y_mm, touches) / raised
    return Seen(places, excess, state.grid.width_mm, state.grid.height_mm)


def truth(
    alone: Mapping[str, Sequence[Seen]], together: Sequence[Seen], state: State, parameters: Mapping[str, float]
) -> Truth:
    """The truth of what was seen ``together``, given what each mechanism would show ``alone``, meter by meter."""
    if all(seen.excess.size == 0 or seen.excess.max() < HARDLY for seen in together):
        shown = any(shows("none", seen) for seen in together)
        return Truth("none" if shown else None, frozenset({"none"}))
    visible = [name for name, by_meter in alone.items() if any(np.any(seen.excess >= HARDLY) for seen in by_meter)]
    shapes = {shape_of(name, parameters) for name in visible}
    allowed = {shape for shape in shapes if shape is not None}
    if shapes == {None} and not _read_beside(state, together[0].places):
        allowed.add("streak")
    if all(seen.excess.max() < CLEARLY for seen in together):
        return Truth(None, frozenset(allowed | {"none"}))
    shown_shapes = {name for name in NAMES if any(shows(name, seen) for seen in together)}
    allowed |= shown_shapes if None not in shapes else set()
    if "crest-over-drier-base" in shapes and "crest-over-drier-base" not in shown_shapes:
        allowed.add("patch")  # a band of which too little is read cannot be told from a patch
    if any(raised_all_over(seen) for seen in together):
        allowed.add("even")
    single = shown_shapes if len(shapes) == 1 and shown_shapes == shapes else set()
    return Truth(next(iter(single), None), frozenset(allowed))


def _read_beside(state: State, places: Places) -> bool:
    beside = [(np.abs(places.x_mm - line.x_mm) <= METAL_BESIDE_MM) & (places.x_mm != line.x_mm) for line in state.metal]
    return any(bool(np.any(one)) for one in beside)
