"""Wall maps and profiles as plain text: letters that every terminal has, no colour, eighty columns at most."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from cli.views.page import LEAST_WIDTH, Page
from engine.reporting.figures.models import HeightProfile, Mark, Scale, Shape, WallMap
from engine.reporting.figures.wording import MINUS, fixed

Walls = Mapping[str, tuple[tuple[WallMap, ...], tuple[HeightProfile, ...]]]
"""Maps and profiles by area, those that show most first."""
WIDEST, MARGIN, RULER = 80, 2, 7
"""Columns of the widest page, of the margin before a map, and of the heights beside it."""
SAME_ROW, MOST_ROWS = 40.0, 16
"""Heights no further apart than this [mm] share a row; with more rows than these the heights are taken in bands."""
SIGNS = {"raised": "*", "normal": "", "no-reference": "?", "set-aside": "x"}
MEANINGS = {
    "raised": "* raised over the dry reference",
    "no-reference": "? no dry reference",
    "set-aside": "x set aside",
}
MOST_FEATURES = 6


def show_walls(maps: Sequence[WallMap], profiles: Sequence[HeightProfile], page: Page, *, full: bool = False) -> None:
    """The map and the profile that show most; ``full`` prints all of them."""
    for found in maps if full else maps[:1]:
        page.heading(f"Wall map: {found.title}, {found.mode_words}, {found.visit_words}")
        for line in map_lines(found, min(page.width, WIDEST)):
            _put(line, page)
    for profile in profiles if full else profiles[:1]:
        lines = list(profile_lines(profile, min(page.width, WIDEST)))
        if lines:
            page.heading(f"Profile: {profile.title}")
        for line in lines:
            _put(line, page)


def _put(line: str, page: Page) -> None:
    text = line.lstrip(" ")
    page.line(text, indent=len(line) - len(text))


def map_lines(found: WallMap, width: int) -> Iterator[str]:
    """A map in lines of ``width`` columns at most: across to scale, a row to a height, from the top down."""
    room = max(width - MARGIN - RULER - 2, LEAST_WIDTH)
    rows = _rows(found.marks)
    laid, hidden = _laid(rows, found.width_mm, room)
    flat = found.kind in ("floor", "ceiling")
    yield f"  {'mm in' if flat else 'mm up':>{RULER - 1}}"
    for (height, _), line in zip(rows, laid, strict=True):
        yield f"  {_number(height, 0):>{RULER - 1}} |{line}|"
    yield f"  {'':{RULER - 1}} +{'-' * room}+"
    far = f"{_number(found.width_mm, 0)} mm"
    yield f"  {'across':>{RULER - 1}}  0{far:>{room - 1}}"
    for scale in found.scales:
        yield f"  {_scale(scale)}"
    said = [MEANINGS[state] for state in MEANINGS if any(mark.state == state for mark in found.marks)]
    blank = "blank: not read; heights not to scale"
    yield f"  {'; '.join([*said, blank])}"
    if hidden:
        yield f"  {hidden} more stand too close to be printed here"
    for item in found.features[:MOST_FEATURES]:
        yield f"  {_feature(item)}"
    if len(found.features) > MOST_FEATURES:
        yield f"  and {len(found.features) - MOST_FEATURES} more things on this surface"


def profile_lines(found: HeightProfile, width: int) -> Iterator[str]:
    """A profile in lines of ``width`` columns at most: a bar to a height for every mode that has a column of them."""
    courses = [course for course in found.courses if course.line]
    if not courses:
        return
    each = (width - MARGIN - RULER) // len(courses)
    bar = max(each - 8, 4)
    heads = [f"{course.mode_words}, {_number(course.column_mm or 0, 0)} mm across" for course in courses]
    if max(map(len, heads)) >= each:
        heads = [head.removesuffix(" across") for head in heads]
    yield f"  {'mm up':>{RULER - 1}} {''.join(f'{head:<{each}.{each}}' for head in heads)}".rstrip()
    greatest = {referenced: _greatest(found, referenced) for referenced in (True, False)}
    heights = sorted({height for course in courses for height, _ in course.line}, reverse=True)
    for height in heights:
        cells = []
        for course in courses:
            level = next((value for at, value in course.line if at == height), None)
            if level is None:
                cells.append(" " * each)
                continue
            length = round(max(level, 0.0) / greatest[course.referenced] * bar)
            cells.append(f"{_number(level):>5} {'#' * length:<{each - 6}}")
        yield f"  {_number(height, 0):>{RULER - 1}} {''.join(cells)}".rstrip()
    if any(course.referenced for course in courses):
        yield "  rise over the dry reference: 0 as the reference, from 1 raised"
    if not all(course.referenced for course in courses):
        yield "  where there is no dry reference, the reading itself"


def _greatest(found: HeightProfile, referenced: bool) -> float:
    return max([1.0, *(v for course in found.courses if course.referenced == referenced for _, v in course.line)])


def _rows(marks: Sequence[Mark]) -> list[tuple[float, list[Mark]]]:
    """The marks by height from the top down; heights next to each other share a row."""
    ordered = sorted(marks, key=lambda m: (m.height_mm, m.x_mm))
    rows = [[ordered[0]]]
    for before, after in pairwise(ordered):
        if after.height_mm - before.height_mm > SAME_ROW:
            rows.append([])
        rows[-1].append(after)
    if len(rows) > MOST_ROWS:
        low, high = ordered[0].height_mm, ordered[-1].height_mm
        bands: dict[int, list[Mark]] = {}
        for mark in ordered:
            band = min(int((mark.height_mm - low) / (high - low) * MOST_ROWS), MOST_ROWS - 1)
            bands.setdefault(band, []).append(mark)
        rows = [bands[band] for band in sorted(bands)]
    return [(row[len(row) // 2].height_mm, row) for row in reversed(rows)]


def _laid(rows: Sequence[tuple[float, list[Mark]]], width_mm: float, room: int) -> tuple[list[str], int]:
    """The rows as text, values with a decimal where all of them have room so; and how many found no room at all."""
    lines, hidden = _written(rows, width_mm, room, 1)
    return (lines, hidden) if not hidden else _written(rows, width_mm, room, 0)


def _written(
    rows: Sequence[tuple[float, list[Mark]]], width_mm: float, room: int, digits: int
) -> tuple[list[str], int]:
    lines, hidden = [], 0
    for _, marks in rows:
        line = [" "] * room
        for mark in sorted(marks, key=lambda m: (-(m.excess or 0.0), -m.value, m.x_mm)):
            text = f"{_number(mark.value, digits)}{SIGNS[mark.state]}"
            middle = min(max(mark.x_mm / width_mm, 0.0), 1.0) * (room - 1)
            start = min(max(round(middle - (len(text) - 1) / 2), 0), room - len(text))
            if any(cell != " " for cell in line[max(start - 1, 0) : start + len(text) + 1]):
                hidden += 1
                continue
            line[start : start + len(text)] = text
        lines.append("".join(line))
    return lines, hidden


def _number(value: float, digits: int = 1) -> str:
    return fixed(value, digits).replace(MINUS, "-")


def _scale(scale: Scale) -> str:
    references = ", ".join(f"{_number(value)} on {material}" for material, value in scale.references)
    return f"{scale.instrument}: {scale.words}; dry reference {references or 'not taken'}"


def _feature(item: Shape) -> str:
    across = _span(item.x_mm, item.to_x_mm)
    return f"{item.words}: {across} mm across, {_span(item.y_mm, item.to_y_mm)} mm up"


def _span(first: float, second: float) -> str:
    low, high = (_number(value, 0) for value in sorted((first, second)))
    return low if low == high else f"{low} to {high}"
