"""Whether everything that has a place on a surface can be there."""

from __future__ import annotations

from engine.case.parts import Faults, Part, Written, by_id

BEYOND_MM = 10_000.0
"""How far beyond the edges of a surface a feature may lie, such as a gutter above or a pipe beside [mm]."""

_PLACED = ("surface_temperatures", "samples", "timber")


def check(written: Written, faults: Faults) -> None:
    """Record every place outside its surface, every empty rectangle, and zones that overlap."""
    for area in written.areas:
        surfaces = by_id(area.parts("surfaces"))
        for surface in area.parts("surfaces"):
            for reading in surface.parts("readings"):
                _inside(reading, surface, ("x_mm", "y_mm"), 0.0, faults)
            for zone in surface.parts("zones"):
                _rectangle(zone, surface, 0.0, faults)
            for feature in surface.parts("features"):
                _feature(feature, surface, faults)
            _apart(list(surface.parts("zones")), faults)
            _pressed_once(surface, written, faults)
        for name in _PLACED:
            for part in area.parts(name):
                _placed(part, surfaces, faults)


def _inside(part: Part, surface: Part, names: tuple[str, ...], beyond: float, faults: Faults) -> None:
    for name in names:
        across = "x_mm" in name
        size, value = surface.number("width_mm" if across else "height_mm"), part.number(name)
        if size is None or value is None or -beyond <= value <= size + beyond:
            continue
        extent = f"from {0 - beyond:g} to {size + beyond:g} mm"
        side = "width" if across else "height"
        allowed = f"{extent}, the {side} of the surface" if not beyond else f"{extent}, near the surface"
        faults.add(part.at(name), f"{value:g} mm, outside the surface", allowed)


def _rectangle(part: Part, surface: Part, beyond: float, faults: Faults) -> None:
    _inside(part, surface, ("x_mm", "y_mm", "to_x_mm", "to_y_mm"), beyond, faults)
    for low, high, way in (("x_mm", "to_x_mm", "right of"), ("y_mm", "to_y_mm", "above")):
        start, end = part.number(low), part.number(high)
        if start is not None and end is not None and end <= start:
            found, allowed = f"{end:g} mm, not {way} {low}", f"more than {start:g} mm"
            faults.add(
                part.at(high), found, allowed, "x_mm, y_mm is the bottom left corner, to_x_mm, to_y_mm the top right"
            )


def _feature(part: Part, surface: Part, faults: Faults) -> None:
    if part.text("shape") != "line":
        _rectangle(part, surface, BEYOND_MM, faults)
        return
    _inside(part, surface, ("x_mm", "y_mm", "to_x_mm", "to_y_mm"), BEYOND_MM, faults)
    ends = [part.number(name) for name in ("x_mm", "y_mm", "to_x_mm", "to_y_mm")]
    if None not in ends and ends[:2] == ends[2:]:
        faults.add(part.at("to_x_mm"), "a line whose two ends are the same place", "two different places")


def _apart(zones: list[Part], faults: Faults) -> None:
    boxes = [(zone, box) for zone in zones if (box := _box(zone)) is not None]
    for position, (zone, box) in enumerate(boxes):
        for other, earlier in boxes[:position]:
            if box[0] < earlier[2] and earlier[0] < box[2] and box[1] < earlier[3] and earlier[1] < box[3]:
                found = f"a zone that overlaps the zone {other.text('id')}"
                faults.add(zone.at("x_mm"), found, "zones that do not overlap", "each place has one material")
                break


def _box(zone: Part) -> tuple[float, float, float, float] | None:
    sides = [zone.number(name) for name in ("x_mm", "y_mm", "to_x_mm", "to_y_mm")]
    left, bottom, right, top = sides
    return None if left is None or bottom is None or right is None or top is None else (left, bottom, right, top)


def _pressed_once(surface: Part, written: Written, faults: Faults) -> None:
    first: dict[tuple[object, ...], Part] = {}
    for reading in surface.parts("readings"):
        place = (
            reading.number("x_mm"),
            reading.number("y_mm"),
            reading.number("depth_mm") or 0.0,
            reading.text("instrument"),
            written.visit_of(reading),
        )
        if None in place:
            continue
        earlier = first.setdefault(place, reading)
        if earlier is not reading:
            where = faults.document.place(earlier.path)
            found = f"a second reading at the same place with the same instrument (first on {where})"
            faults.add(reading.path, found, "one reading for each place, depth, instrument and visit", "use repeats")


def _placed(part: Part, surfaces: dict[str, Part], faults: Faults) -> None:
    given = [name for name in ("x_mm", "y_mm") if name in part.data]
    if not given:
        return
    if "surface" not in part.data:
        faults.add(part.at(given[0]), "a place without a surface", "a place on a surface", "name the surface")
        return
    if len(given) == 1:
        faults.add(part.path, f"{given[0]} alone", "both x_mm and y_mm, or neither")
    surface = surfaces.get(part.text("surface") or "")
    if surface is not None:
        _inside(part, surface, ("x_mm", "y_mm"), 0.0, faults)
