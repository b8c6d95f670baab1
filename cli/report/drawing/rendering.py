"""From a figure to SVG or PNG through matplotlib's own canvases, without its global state."""

from __future__ import annotations

import io
import re
from hashlib import sha256
from typing import TYPE_CHECKING
from xml.etree import ElementTree

from cli.report.drawing.style import settings
from cli.report.text import shown
from engine.reporting.figures.models import (
    ClimateStrip,
    EvidenceWeights,
    HeightProfile,
    SampleProfile,
    VisitChange,
    WallMap,
)

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

    from engine.reporting.figures import Figure

SVG, XLINK = "http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"
_REFERENCE = re.compile(r"url\(#([^)]+)\)")


def svg(figure: Figure) -> str:
    """A figure as one <svg> element that names itself, describes itself and refers to nothing outside itself."""
    from matplotlib.backends.backend_svg import FigureCanvasSVG

    written = io.StringIO()
    with settings(figure.id):
        drawing = compose(figure)
        nothing = dict.fromkeys(("Creator", "Date", "Format", "Type"))
        FigureCanvasSVG(drawing).print_figure(written, format="svg", dpi=72, metadata=nothing)
    return _tidied(written.getvalue(), figure)


def png(figure: Figure, dpi: int) -> bytes:
    """A figure as PNG."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg

    written = io.BytesIO()
    with settings(figure.id):
        drawing = compose(figure)
        FigureCanvasAgg(drawing).print_figure(written, format="png", dpi=dpi, metadata={"Software": None})
    return written.getvalue()


def compose(figure: Figure) -> Drawing:
    """The drawing of a figure; to be used within `settings`."""
    match figure.data:
        case WallMap():
            from cli.report.drawing.wall import draw_wall

            return draw_wall(figure.data)
        case HeightProfile():
            from cli.report.drawing.profile import draw_profile

            return draw_profile(figure.data)
        case SampleProfile():
            from cli.report.drawing.samples import draw_samples

            return draw_samples(figure.data)
        case ClimateStrip(courses=()):
            from cli.report.drawing.spots import draw_spots

            return draw_spots(figure.data)
        case ClimateStrip():
            from cli.report.drawing.logged import draw_logged

            return draw_logged(figure.data)
        case EvidenceWeights():
            from cli.report.drawing.weights import draw_weights

            return draw_weights(figure.data)
        case VisitChange():
            from cli.report.drawing.change import draw_change

            return draw_change(figure.data)


def _tidied(written: str, figure: Figure) -> str:
    """The drawing without style sheet, metadata and document type; its ids made unique by the figure's own."""
    mark = f"f{sha256(figure.id.encode()).hexdigest()[:8]}"
    root = ElementTree.fromstring(written)  # noqa: S314 - what matplotlib wrote a moment ago
    for parent in list(root.iter()):
        for child in list(parent):
            if child.tag in (f"{{{SVG}}}metadata", f"{{{SVG}}}style"):
                parent.remove(child)
    for element in root.iter():
        for name, value in list(element.attrib.items()):
            if name == "id":
                element.set(name, f"{mark}-{value}")
            elif name == f"{{{XLINK}}}href":
                del element.attrib[name]
                element.set("href", f"#{mark}-{value.removeprefix('#')}")
            elif "url(#" in value:
                element.set(name, _REFERENCE.sub(rf"url(#{mark}-\1)", value))
    description = ElementTree.Element(f"{{{SVG}}}desc", {"id": f"{mark}-description"})
    description.text = shown(figure.alt)
    root.insert(0, description)
    root.attrib.update(
        {
            "role": "img",
            "aria-label": shown(figure.title),
            "aria-describedby": f"{mark}-description",
            "stroke-linejoin": "round",
            "stroke-linecap": "butt",
        }
    )
    ElementTree.register_namespace("", SVG)
    return ElementTree.tostring(root, encoding="unicode", short_empty_elements=True)
