"""Wall maps: the places of one mode on one surface on one visit, as they lie."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from engine.case.models import Area, Case, Feature, Surface, Zone
from engine.days import day_words
from engine.measures.gathering import floor_level, gather_places
from engine.measures.places import MODE_TITLES, MODES, WOOD, Gathered, Place
from engine.measures.references import Visits
from engine.opinion.words import list_words
from engine.reporting.blocks import Table
from engine.reporting.figures.models import Figure, Mark, Scale, Shape, WallMap
from engine.reporting.figures.wording import capital, counted, fixed, plain, signed, span

WIDEST_GRID = 9
"""Columns beyond which the places are listed one by one and not set out as they lie."""
FULLEST_LIST = 400
"""Places beyond which a table stops, and says so: the case file holds them all."""
FLAT = ("floor", "ceiling")
FEATURE_WORDS = {"outside-ground-line": "ground outside", "damp-proof-course-line": "damp-proof course"}
"""Features whose word in the format is not how they are said."""
STATES = {
    "raised": "raised",
    "normal": "not raised",
    "no-reference": "no dry reference",
    "set-aside": "set aside",
}


def wall_maps(
    case: Case,
    area: Area,
    parameters: Mapping[str, float],
    voided: frozenset[tuple[str, str]],
    gathered: Gathered | None = None,
) -> tuple[WallMap, ...]:
    """The maps of an area: surfaces in the order of the case, then modes, then visits by day.

    ``voided`` are (visit, instrument) pairs whose readings were set aside: they are shown as such, without a level.
    ``gathered`` are the area's usable places, gathered here where they are not given.
    """
    usable = gathered or gather_places(case, area, parameters, voided)
    places = list(usable.history)
    if voided:
        everything = gather_places(case, area, parameters)
        places += [place for place in everything.history if (place.visit, place.instrument) in voided]
    visits = Visits(case)
    maps = []
    for surface in area.surfaces:
        for mode in MODES:
            for visit in visits.by_id.values():
                mine = [p for p in places if (p.surface, p.mode, p.visit) == (surface.id, mode, visit.id)]
                if mine:
                    maps.append(_map(surface, mode, visit.id, day_words(visit.on, weekday=False), mine, voided))
    return tuple(maps)


def wall_figure(found: WallMap, area: str, shape: str = "") -> Figure:
    """A map as a figure; ``shape`` is a sentence on the shape of the readings, where there is one."""
    return Figure(
        id=f"wall-map-{area}-{found.surface}-{found.mode}-{found.visit}",
        title=f"{capital(found.title)}: {found.mode_words} on {found.visit_words}",
        alt=" ".join(part for part in (*_told(found), shape) if part),
        table=_table(found),
        data=found,
    )


def _map(
    surface: Surface,
    mode: str,
    visit: str,
    visit_words: str,
    places: list[Place],
    voided: frozenset[tuple[str, str]],
) -> WallMap:
    level = floor_level(surface)
    marks = (_mark(place, level, (place.visit, place.instrument) in voided) for place in places)
    return WallMap(
        surface=surface.id,
        title=surface.title or plain(surface.id),
        kind=surface.kind,
        width_mm=surface.width_mm,
        height_mm=surface.height_mm,
        floor_mm=level,
        material=plain(surface.material),
        mode=mode,
        mode_words=MODE_TITLES[mode],
        visit=visit,
        visit_words=visit_words,
        scales=tuple(_scales(places)),
        marks=tuple(sorted(marks, key=lambda m: (m.x_mm, m.y_mm, m.instrument, m.material, m.presses))),
        features=tuple(_shape(item, feature_words(item.kind), item.shape) for item in surface.features),
        zones=tuple(_shape(item, plain(item.material), "rectangle") for item in surface.zones),
    )


def _mark(place: Place, level: float, set_aside: bool) -> Mark:
    excess = None if set_aside else place.excess
    return Mark(
        x_mm=place.x_mm,
        y_mm=place.y_mm + level,
        height_mm=place.y_mm,
        depth_mm=place.depth_mm,
        material=plain(place.material),
        instrument=place.instrument,
        presses=place.presses,
        value=place.value,
        excess=excess,
        state="set-aside" if set_aside else "no-reference" if excess is None else "raised" if excess >= 1 else "normal",
    )


def _scales(places: Iterable[Place]) -> Iterator[Scale]:
    by_instrument: dict[str, list[Place]] = {}
    for place in places:
        by_instrument.setdefault(place.instrument, []).append(place)
    for instrument, mine in sorted(by_instrument.items()):
        first = mine[0]
        references = {(plain(p.material), p.reference) for p in mine if p.reference is not None}
        words = "wood scale [%], relative on masonry" if first.scale == WOOD else "relative scale"
        if first.scale != WOOD and first.full_scale is not None:
            words += f" of 0 to {fixed(first.full_scale)}"
        yield Scale(
            instrument=instrument,
            words=words,
            full_scale=first.full_scale,
            raised=first.raised,
            references=tuple(sorted((m, r) for m, r in references if r is not None)),
        )


def feature_words(kind: str) -> str:
    """A feature as it is said."""
    return FEATURE_WORDS.get(kind, plain(kind))


def _shape(item: Feature | Zone, words: str, shape: str) -> Shape:
    return Shape(
        kind=item.kind if isinstance(item, Feature) else "zone",
        words=words,
        shape="line" if shape == "line" else "rectangle",
        x_mm=item.x_mm,
        y_mm=item.y_mm,
        to_x_mm=item.to_x_mm,
        to_y_mm=item.to_y_mm,
    )


def reference_words(scale: Scale) -> str:
    """The dry references of an instrument in words: ``dry reference 11 on lime plaster``."""
    if not scale.references:
        return "no dry reference"
    return f"dry reference {list_words(f'{fixed(value)} on {material}' for material, value in scale.references)}"


def _told(found: WallMap) -> Iterator[str]:
    across = "up" if found.kind not in FLAT else "from its near edge"
    yield (
        f"Map of the {found.title}, {fixed(found.width_mm, 0)} mm wide and {fixed(found.height_mm, 0)} mm"
        f" {'high' if found.kind not in FLAT else 'deep'}, with {found.mode_words} readings at"
        f" {counted(len(found.marks), 'place')} on {found.visit_words}."
    )
    for scale in found.scales:
        yield f"Instrument {scale.instrument}: {scale.words}, {reference_words(scale)}."
    yield from _told_levels(found, across)
    drawn = list(dict.fromkeys(item.words for item in found.features))
    if drawn:
        yield f"Also drawn: {list_words(drawn)}."
    yield "Nothing is shown where nothing was read."


def _told_levels(found: WallMap, across: str) -> Iterator[str]:
    usable = [mark for mark in found.marks if mark.state != "set-aside"]
    aside = len(found.marks) - len(usable)
    if aside:
        yield f"{counted(aside, 'reading was', 'readings were')} set aside, marked as such and not judged."
    known = [mark for mark in usable if mark.excess is not None]
    raised = [mark for mark in known if mark.state == "raised"]
    if known:
        yield (
            f"{counted(len(raised), 'place is', 'places are')} raised over the dry reference and"
            f" {len(known) - len(raised)} not."
        )
    if raised:
        yield (
            f"The raised ones lie {span(m.x_mm for m in raised)} mm from the left and"
            f" {span(m.height_mm for m in raised)} mm {across}."
        )
    bare = len(usable) - len(known)
    if bare:
        have = counted(bare, "place has", "places have")
        yield f"{have} no dry reference: the pattern counts, not the level."
    if usable:
        top = max(usable, key=lambda m: (m.excess if m.excess is not None else -1e9, m.value, -m.x_mm, -m.y_mm))
        yield (
            f"The highest reading is {fixed(top.value)}, {fixed(top.x_mm, 0)} mm from the left and"
            f" {fixed(top.height_mm, 0)} mm {across}; readings run from {span((m.value for m in usable), 1)}."
        )


def _table(found: WallMap) -> Table:
    """The places as they lie, a row to a height from the top down, where they form a grid; else one by one."""
    one_instrument = len(found.scales) == 1
    columns = sorted({mark.x_mm for mark in found.marks})
    rows = sorted({mark.y_mm for mark in found.marks}, reverse=True)
    cells: dict[tuple[float, float], list[Mark]] = {}
    for mark in found.marks:
        cells.setdefault((mark.x_mm, mark.y_mm), []).append(mark)
    caption = f"Readings as they lie: {found.title}, {found.mode_words}, {found.visit_words}"
    scales = "; ".join(f"{s.instrument}, {s.words}, {reference_words(s)}" for s in found.scales)
    fits = len(columns) <= WIDEST_GRID and 2 * len(cells) >= len(columns) * len(rows)
    if fits and one_instrument and all(len(marks) == 1 for marks in cells.values()):
        up = "Above the floor" if found.kind not in FLAT else "From the near edge"
        return Table(
            f"{caption} ({scales}). In brackets the rise over the dry reference, 1 is raised; a dash: not read.",
            (f"{up} [mm]", *(f"{fixed(x, 0)} mm right" for x in columns)),
            tuple(
                (
                    fixed(cells[next(x for x in columns if (x, y) in cells), y][0].height_mm, 0),
                    *(_cell(cells[x, y][0]) if (x, y) in cells else "–" for x in columns),
                )
                for y in rows
            ),
            tuple(range(len(columns) + 1)),
        )
    listed = found.marks[:FULLEST_LIST]
    more = len(found.marks) - len(listed)
    caption += f" ({scales}). The rise is over the dry reference, 1 is raised"
    caption += f"; {more} more are in the case file." if more else "."
    return Table(
        caption,
        ("Right [mm]", "Above the floor [mm]", "Instrument", "Material", "Reading", "Rise", "State"),
        tuple(
            (
                fixed(m.x_mm, 0),
                fixed(m.height_mm, 0),
                m.instrument,
                m.material,
                fixed(m.value),
                "" if m.excess is None else signed(m.excess),
                STATES[m.state],
            )
            for m in listed
        ),
        (0, 1, 4, 5),
    )


def _cell(mark: Mark) -> str:
    if mark.state == "set-aside":
        return f"{fixed(mark.value)} (set aside)"
    return fixed(mark.value) if mark.excess is None else f"{fixed(mark.value)} ({signed(mark.excess)})"
