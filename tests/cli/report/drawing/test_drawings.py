"""Every kind of figure is drawn, the same each time, and nothing in it acts or refers to anything outside."""

from __future__ import annotations

import dataclasses
import hashlib
import os
import pickle
import re
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest

from cli.report.drawing import draw_png, draw_svg
from engine.reporting.figures.models import ClimateSpot, ClimateStrip, EvidenceWeights, SampleProfile, Weight

ROOT = Path(__file__).resolve().parents[4]
SVG = "{http://www.w3.org/2000/svg}"
DRAWN = {"svg", "g", "path", "defs", "use", "clipPath", "rect", "pattern", "desc"}
ADDRESS = re.compile(r"url\(([^)]*)\)")
HOSTILE = [
    "<script>alert(1)</script>",
    "]]><foreignObject><body onload='x()'/></foreignObject>",
    r"$\frac{1}{0}$ and $unclosed",
    "&lt;img src=x onerror=1&gt; --> <!-- ",
    "https://example.org/track.png url(https://example.org/x)",
    "\u202egnirts desrever\u202c \u2066 \x07",
    "漢字 🏠 عربى",
    "word " * 60,
    "x" * 300,
]
PROGRAM = """
import hashlib, pickle, sys
from cli.report.drawing import draw_png, draw_svg
with open(sys.argv[1], "rb") as file:
    figures = pickle.load(file)
for figure in figures:
    print(figure.id, hashlib.sha256(draw_svg(figure).encode()).hexdigest())
print(hashlib.sha256(draw_png(figures[0], 60)).hexdigest())
"""


@pytest.fixture(scope="module")
def drawn(each_kind):
    return {figure.id: draw_svg(figure) for figure in each_kind}


def test_each_kind_is_drawn_as_one_svg_that_names_and_describes_itself(each_kind, drawn):
    for figure in each_kind:
        root = ElementTree.fromstring(drawn[figure.id])
        assert root.tag == f"{SVG}svg"
        assert root.get("role") == "img"
        assert root.get("aria-label") == figure.title
        description = root.find(f"{SVG}desc")
        assert description.text == figure.alt
        assert root.get("aria-describedby") == description.get("id")


def test_nothing_in_a_drawing_acts_or_refers_to_anything_outside(drawn):
    for content in drawn.values():
        check_inert(content)


def test_ids_are_unique_over_the_drawings_of_one_page(drawn):
    ids = [e.get("id") for c in drawn.values() for e in ElementTree.fromstring(c).iter() if e.get("id")]
    assert len(set(ids)) == len(ids)


def check_inert(content):
    root = ElementTree.fromstring(content)
    ids = {element.get("id") for element in root.iter()}
    for element in root.iter():
        assert element.tag.removeprefix(SVG) in DRAWN
        for name, value in element.attrib.items():
            assert not name.lower().startswith("on")
            if name == "href":
                assert value.removeprefix("#") in ids
            for address in () if name == "aria-label" else ADDRESS.findall(value):
                assert address.removeprefix("#") in ids
    assert "<!--" not in content
    assert "<!DOCTYPE" not in content
    assert "<?" not in content


@pytest.mark.parametrize("text", HOSTILE)
def test_whatever_a_person_wrote_is_drawn_as_text(wall_map, text):
    data = wall_map.data
    feature = dataclasses.replace(data.features[0], words=text)
    scale = dataclasses.replace(data.scales[0], instrument=text, words=text, references=((text, 11.0),))
    data = dataclasses.replace(
        data, title=text, material=text, visit_words=text, features=(feature,), scales=(scale,), marks=data.marks[:2]
    )
    check_inert(draw_svg(dataclasses.replace(wall_map, title=text, alt=text, data=data)))


@pytest.mark.parametrize("text", [HOSTILE[2], HOSTILE[5], HOSTILE[7]])
def test_labels_of_charts_are_text_too(each_kind, text):
    figure = each_kind[0]
    spot = ClimateSpot(text, text, 12.0, 0.5, 20.0, 50.0, 9.3, True)
    sample = next(f for f in each_kind if f.kind == "sample-profile").data
    point = dataclasses.replace(sample.points[0], sample=text)
    for data in (
        ClimateStrip((spot,), (), None, 0.0),
        SampleProfile(text, "sample", (point, point)),
        EvidenceWeights("cause", text, text, (Weight(text, 3.0), Weight(text, float("-inf"))), float("inf")),
    ):
        check_inert(draw_svg(dataclasses.replace(figure, data=data)))


def test_a_figure_is_drawn_the_same_whatever_the_clock_zone_seed_and_settings_of_the_machine(each_kind, tmp_path):
    kept, settings = tmp_path / "figures", tmp_path / "settings"
    kept.write_bytes(pickle.dumps(each_kind))
    settings.mkdir()
    (settings / "matplotlibrc").write_text(
        "figure.facecolor: black\nfont.size: 20\nsvg.fonttype: none\nfont.family: serif\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, str(kept)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        env={
            **os.environ,
            "TZ": "Pacific/Kiritimati",
            "PYTHONHASHSEED": "4711",
            "LC_ALL": "C",
            "SOURCE_DATE_EPOCH": "86400",
            "MATPLOTLIBRC": str(settings / "matplotlibrc"),
        },
    )
    here = [f"{figure.id} {digest(draw_svg(figure).encode())}" for figure in each_kind]
    here.append(digest(draw_png(each_kind[0], 60)))
    assert done.stdout.splitlines() == here
    assert done.stderr == ""


def digest(content):
    return hashlib.sha256(content).hexdigest()


def test_drawing_leaves_the_settings_of_the_process_as_they_were(wall_map):
    import matplotlib

    matplotlib.rcParams["font.size"] = 13.5
    try:
        draw_png(wall_map, 40)
        assert matplotlib.rcParams["font.size"] == 13.5
        assert "matplotlib.pyplot" not in sys.modules
    finally:
        matplotlib.rcdefaults()


def test_a_wall_of_very_many_readings_is_drawn_with_every_place_and_says_how_many_values_it_leaves_out(
    wall_map, composed
):
    first = wall_map.data.marks[0]
    marks = tuple(
        dataclasses.replace(first, x_mm=float(x), y_mm=float(y))
        for x in range(0, 4200, 120)
        for y in range(0, 2400, 100)
    )
    data = dataclasses.replace(wall_map.data, marks=marks)
    axes, *_ = (drawing := composed(dataclasses.replace(wall_map, data=data))).axes
    printed = sum(text.get_zorder() == 7 for text in axes.texts)
    plain = sum(len(collection.get_offsets()) for collection in axes.collections)
    assert printed + plain == len(marks)
    assert any(f"{plain} places stand too close for a value" in text.get_text() for text in drawing.texts)
