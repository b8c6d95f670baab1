"""A map as Mermaid text (a flowchart from left to right), for pages that draw it themselves."""

from __future__ import annotations

from engine.rulebook.drawing.selecting import Link, Map, Spot, heading_of

_SHAPES = {"causes": ("[", "]"), "findings": ("(", ")"), "rules": ("[", "]"), "steps": ("{{", "}}")}
_CLASSES = (
    "classDef causes fill:#ffffff,stroke:#000000,stroke-width:2px",
    "classDef findings fill:#eaf2f8,stroke:#4a6a80",
    "classDef rules fill:#f7f3ea,stroke:#8a7a50",
    "classDef steps fill:#edf5f0,stroke:#4f7f68",
)


def mermaid(chart: Map) -> str:
    """The map as Mermaid text, ending in a newline; titles are text and never markup."""
    names = {spot.id: f"n{number}" for number, spot in enumerate(chart.spots)}
    lines = [
        f"%% {_comment(chart.title)}",
        f"%% {_comment(chart.account)}",
        f"%% rule base {chart.digest[:12]}",
        "flowchart LR",
    ]
    for column in sorted({spot.column for spot in chart.spots}):
        heading = heading_of(column, chart.spots)
        inside = [spot for spot in chart.spots if spot.column == column]
        lines.append(f'  subgraph c{column}["{heading}"]')
        lines += [f"    {_node(spot, names[spot.id])}" for spot in inside]
        lines.append("  end")
    lines += [f"  {_link(link, names)}" for link in chart.links]
    lines += [f"  {text}" for text in _CLASSES]
    return "\n".join(lines) + "\n"


def _node(spot: Spot, name: str) -> str:
    opening, closing = _SHAPES[spot.kind]
    return f'{name}{opening}"{_text(spot.title)}"{closing}:::{spot.kind}'


def _link(link: Link, names: dict[str, str]) -> str:
    """An arrow: unbroken for what speaks for or concludes, broken for what speaks against, excludes or treats."""
    arrow = "-.->" if link.kind in ("against", "excludes", "treats") else "-->"
    said = link.kind if link.decibans is None else f"{link.decibans:+.0f} dB"
    return f'{names[link.source]} {arrow}|"{said}"| {names[link.target]}'


def _text(text: str) -> str:
    """Text for a quoted label: everything that Mermaid or HTML could read as markup as a numbered entity."""
    return "".join(letter if letter.isalnum() or letter in " ,.:-–()/%" else f"#{ord(letter)};" for letter in text)


def _comment(text: str) -> str:
    return "".join(letter if letter.isprintable() and letter not in "{}" else " " for letter in text)
