"""A map as SVG: one file, no script, no font or picture from elsewhere, the same bytes for the same map.

For and against are told apart by colour (blue and vermilion of a palette made for all colour vision: Okabe and Ito
2008, from memory) and by an unbroken or a broken line; kinds of record by their frame.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from xml.sax.saxutils import escape, quoteattr

from engine.rulebook.drawing.layout import COLUMN_WIDTH, LINE_HEIGHT, PADDING, Box, Layout, arrange
from engine.rulebook.drawing.selecting import Link, Map, heading_of

MARGIN, HEAD, LETTER = 24, 104, 6.4
"""Edges of the drawing, the height of its head without the account, and the width of a letter, rather wide."""
_FOR, _AGAINST, _PLAIN, _STEP = "#0072b2", "#d55e00", "#6b6b6b", "#007a5a"
_LINES = {
    "for": (_FOR, ""),
    "against": (_AGAINST, "7 4"),
    "excludes": (_AGAINST, "2 3"),
    "concludes": (_PLAIN, ""),
    "parts": (_STEP, ""),
    "treats": (_STEP, "7 4"),
}
"""Colour and dashes of each kind of link."""
_MEANS = {
    "for": "speaks or leans for",
    "against": "speaks or leans against",
    "excludes": "excludes",
    "concludes": "concludes",
    "parts": "step parts it from others",
    "treats": "step treats it",
}
_FRAMES = {
    "causes": ("#ffffff", "#000000", 2.2, 0, ""),
    "findings": ("#eaf2f8", "#4a6a80", 1.0, 9, ""),
    "rules": ("#f7f3ea", "#8a7a50", 1.0, 0, ""),
    "steps": ("#edf5f0", "#4f7f68", 1.2, 4, "5 3"),
}
"""Fill, edge, width of edge, roundness and dashes of each kind of record."""


def svg(chart: Map) -> str:
    """The map as the text of an SVG file, ending in a newline; titles are text and never markup."""
    layout = arrange(chart)
    width = max(layout.width, 2 * COLUMN_WIDTH) + 2 * MARGIN
    account = textwrap.wrap(f"{chart.account} Rule base {chart.digest[:12]}.", int((width - 2 * MARGIN) / LETTER))
    head = HEAD + LINE_HEIGHT * len(account)
    height = layout.height + head + MARGIN
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(width)}" height="{_n(height)}"'
        f' viewBox="0 0 {_n(width)} {_n(height)}" role="img" aria-labelledby="title account"'
        ' font-family="Helvetica, Arial, sans-serif" font-size="11">',
        f'<title id="title">{_text(chart.title)}</title>',
        f'<desc id="account">{_text(chart.account)}</desc>',
        f'<rect width="{_n(width)}" height="{_n(height)}" fill="#ffffff"/>',
        *_head(chart, layout, account),
        f'<g transform="translate({MARGIN} {head})">',
        *(_line(link, layout) for link in sorted(chart.links, key=_strength)),
        *(_weight(link, layout) for link in chart.links if chart.one_cause and link.decibans is not None),
        *(_box(box) for box in sorted(layout.boxes.values(), key=lambda box: (box.x, box.y))),
        "</g>",
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def _head(chart: Map, layout: Layout, account: Sequence[str]) -> list[str]:
    parts = [f'<text x="{MARGIN}" y="30" font-size="17" font-weight="bold">{_text(chart.title)}</text>']
    for number, line in enumerate(account):
        parts.append(f'<text x="{MARGIN}" y="{48 + LINE_HEIGHT * number}" fill="#444444">{_text(line)}</text>')
    down = LINE_HEIGHT * (len(account) - 1)
    x = float(MARGIN)
    for kind in _LINES:
        if any(link.kind == kind for link in chart.links):
            colour, dashes = _LINES[kind]
            parts.append(f'<path d="M{_n(x)} {66 + down}h34" stroke="{colour}" stroke-width="2.5"{_dashed(dashes)}/>')
            parts.append(f'<text x="{_n(x + 40)}" y="{70 + down}">{_text(_MEANS[kind])}</text>')
            x += 58 + 6.3 * len(_MEANS[kind])
    for column in sorted({box.spot.column for box in layout.boxes.values()}):
        left = next(box.x for box in layout.boxes.values() if box.spot.column == column) + MARGIN
        heading = heading_of(column, chart.spots)
        parts.append(f'<text x="{_n(left)}" y="{102 + down}" font-size="12" font-weight="bold">{heading}</text>')
    return parts


def _box(box: Box) -> str:
    fill, edge, width, round_, dashes = _FRAMES[box.spot.kind]
    style = ' font-weight="bold"' if box.spot.kind == "causes" else ""
    style += ' font-style="italic" fill="#555555"' if box.spot.guest else ""
    first = box.y + PADDING + LINE_HEIGHT - 3.5
    lines = "".join(
        f'<tspan x="{_n(box.x + 9)}" y="{_n(first + number * LINE_HEIGHT)}">{_text(line)}</tspan>'
        for number, line in enumerate(box.lines)
    )
    return (
        f"<g id={quoteattr(box.spot.id)}><title>{_text(f'{box.spot.title} [{box.spot.id}]')}</title>"
        f'<rect x="{_n(box.x)}" y="{_n(box.y)}" width="{COLUMN_WIDTH}" height="{_n(box.height)}" rx="{round_}"'
        f' fill="{fill}" stroke="{edge}" stroke-width="{width}"{_dashed(dashes)}/><text{style}>{lines}</text></g>'
    )


def _line(link: Link, layout: Layout) -> str:
    source, target = layout.boxes[link.source], layout.boxes[link.target]
    rightwards = source.x < target.x
    start = source.x + COLUMN_WIDTH if rightwards else source.x
    end = target.x if rightwards else target.x + COLUMN_WIDTH
    bend = (layout.gap / 2) * (1 if rightwards else -1)
    colour, dashes = _LINES[link.kind]
    weight = f" [{link.decibans:+.1f} dB]" if link.decibans is not None else ""
    told = f"{source.spot.title}: {_MEANS[link.kind]}: {target.spot.title}{weight}"
    return (
        f'<path d="M{_n(start)} {_n(source.middle)}C{_n(start + bend)} {_n(source.middle)}'
        f' {_n(end - bend)} {_n(target.middle)} {_n(end)} {_n(target.middle)}" fill="none" stroke="{colour}"'
        f' stroke-width="{_n(0.6 + _strength(link) / 6)}" stroke-opacity="0.6"{_dashed(dashes)}>'
        f"<title>{_text(told)}</title></path>"
    )


def _weight(link: Link, layout: Layout) -> str:
    """The weight of evidence in figures, at the end of the link that is not the cause's."""
    source, target = layout.boxes[link.source], layout.boxes[link.target]
    x, anchor = (source.x + COLUMN_WIDTH + 6, "start") if source.x < target.x else (source.x - 6, "end")
    colour, _ = _LINES[link.kind]
    return (
        f'<text x="{_n(x)}" y="{_n(source.middle - 4)}" font-size="10" text-anchor="{anchor}" fill="{colour}"'
        ' paint-order="stroke" stroke="#ffffff" stroke-width="3">'
        f"{link.decibans:+.0f} dB</text>"
    )


def _strength(link: Link) -> float:
    """How heavy a link is drawn [dB]; the lighter ones lie underneath."""
    return abs(link.decibans) if link.decibans is not None else 3.0


def _dashed(dashes: str) -> str:
    return f' stroke-dasharray="{dashes}"' if dashes else ""


def _text(text: str) -> str:
    return escape("".join(letter if letter.isprintable() else " " for letter in text))


def _n(number: float) -> str:
    return f"{number:.1f}".rstrip("0").rstrip(".")
