"""A section that says the same thing of every place: its parts by place, or, of one place alone, without a heading."""

from __future__ import annotations

from collections.abc import Callable

from engine.reporting.blocks import Block, Section
from engine.reporting.material import Material, Place

Told = Callable[[Place], tuple[Block, ...]]
Inner = Callable[[Place], tuple[Section, ...]]


def by_place(
    found: Material, name: str, title: str, make: Told, before: tuple[Block, ...] = (), inner: Inner = lambda _: ()
) -> Section:
    """A section with what ``make`` says of each place; ``inner`` gives sections under a place."""
    if len(found.places) == 1:
        (place,) = found.places
        return Section(name, title, (*before, *make(place)), inner(place))
    parts = tuple(Section(f"{name}-{p.area.id}", p.area.title, make(p), inner(p)) for p in found.places)
    return Section(name, title, before, parts)
