"""Maps of a rule base: what they show, that they can be read, and that titles stay text."""

from __future__ import annotations

import re
from collections import defaultdict
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import isotonic_regression

from engine.errors import InvalidInput
from engine.rulebook import load_rulebook
from engine.rulebook.drawing import chart, mermaid, svg
from engine.rulebook.drawing.layout import GAP, LETTERS, LINES, _fitted, arrange
from engine.rulebook.strengths import strengths

SVG = "{http://www.w3.org/2000/svg}"
VIEWS = [
    {},
    {"steps": True},
    {"topic": "salts"},
    {"topic": "ground-moisture", "steps": True},
    {"cause": "ground-rise"},
    {"cause": "ground-rise", "topic": "salts", "steps": True},
    {"topic": "method"},
    {"least": 100.0},
]
HOSTILE = '"]; </text><script>alert(1)</script> & <b>#quot; `x` {y} click n1 href'


@pytest.fixture(scope="module")
def rulebook():
    return load_rulebook(cache=False)


@pytest.fixture
def hostile(sound: Path):
    """The small base with a title that every format could take for markup."""
    text = (sound / "findings.yaml").read_text(encoding="utf-8")
    titled = re.sub(r"title: .*", lambda _: f"title: '{HOSTILE}'", text, count=1)
    (sound / "findings.yaml").write_text(titled, encoding="utf-8")
    return load_rulebook(folder=sound, cache=False)


def test_a_map_of_the_whole_base_holds_every_cause_and_no_rule(rulebook):
    drawn = chart(rulebook)
    assert {spot.id for spot in drawn.spots if spot.kind == "causes"} == set(rulebook.causes)
    assert {spot.kind for spot in drawn.spots} == {"causes", "findings"}


def test_a_map_of_a_cause_holds_every_finding_above_the_least_weight_and_every_leaning(rulebook):
    drawn = chart(rulebook, cause="ground-rise", least=4.0)
    bearing = {one.finding for one in strengths(rulebook, cause="ground-rise") if abs(one.seen) >= 4.0}
    assert {spot.id for spot in drawn.spots if spot.kind == "findings"} == bearing
    leaning = {
        rule.id for rule in rulebook.rules.values() for c in rule.conclude if "ground-rise" in (c.leaning, c.exclude)
    }
    assert leaning <= {spot.id for spot in drawn.spots}


def test_a_map_of_a_topic_holds_all_its_causes_and_findings_and_marks_guests(rulebook):
    drawn = chart(rulebook, topic="salts")
    spots = {spot.id: spot for spot in drawn.spots}
    for records in (rulebook.causes, rulebook.findings):
        for record in records.values():
            if record.topic == "salts":
                assert not spots[record.id].guest
    assert spots["ground-rise"].guest
    assert "In italics: of another topic." in drawn.account


def test_steps_are_drawn_only_when_they_are_asked_for(rulebook):
    assert not [s for s in chart(rulebook, topic="leaks").spots if s.kind == "steps"]
    assert [s for s in chart(rulebook, topic="leaks", steps=True).spots if s.kind == "steps"]


def test_an_unknown_topic_or_cause_is_refused_with_the_nearest_name(rulebook):
    with pytest.raises(InvalidInput, match="did you mean 'salts'"):
        chart(rulebook, topic="salt")
    with pytest.raises(InvalidInput, match="did you mean 'ground-rise'"):
        chart(rulebook, cause="ground-rize")


@pytest.mark.parametrize("view", VIEWS, ids=str)
def test_no_box_covers_another_and_links_join_neighbouring_columns(rulebook, view):
    drawn = chart(rulebook, **view)
    layout = arrange(drawn)
    columns = defaultdict(list)
    for box in layout.boxes.values():
        columns[box.x].append(box)
        assert len(box.lines) <= LINES
        assert all(len(line) <= LETTERS for line in box.lines)
        assert box.y >= 0
        assert box.y + box.height <= layout.height + 1e-6
    for boxes in columns.values():
        boxes.sort(key=lambda box: box.y)
        for above, below in pairwise(boxes):
            assert above.y + above.height + GAP <= below.y + 1e-6
    order = sorted(columns)
    for link in drawn.links:
        ends = [order.index(layout.boxes[name].x) for name in (link.source, link.target)]
        assert abs(ends[0] - ends[1]) == 1


@pytest.mark.parametrize("view", VIEWS, ids=str)
def test_a_drawing_is_one_well_formed_file_that_needs_nothing_from_elsewhere(rulebook, view):
    drawn = chart(rulebook, **view)
    text = svg(drawn)
    root = ElementTree.fromstring(text)
    assert root.tag == f"{SVG}svg"
    names = {element.tag for element in root.iter()}
    assert names <= {f"{SVG}{tag}" for tag in ("svg", "title", "desc", "rect", "g", "path", "text", "tspan")}
    assert not re.search(r"href|url\(|@import|javascript:", text)
    shown = {element.get("id") for element in root.iter(f"{SVG}g")} - {None}
    assert shown == {spot.id for spot in drawn.spots}


def test_the_same_base_gives_the_same_bytes(rulebook):
    again = load_rulebook(cache=False)
    for view in VIEWS:
        assert svg(chart(rulebook, **view)) == svg(chart(again, **view))
        assert mermaid(chart(rulebook, **view)) == mermaid(chart(again, **view))


def test_what_speaks_against_differs_by_its_broken_line_and_not_only_by_colour(rulebook):
    root = ElementTree.fromstring(svg(chart(rulebook, cause="ground-rise")))
    for path in root.iter(f"{SVG}path"):
        title = path.findtext(f"{SVG}title")
        if title is not None:
            assert ("stroke-dasharray" in path.attrib) == (": speaks or leans against:" in title or "excludes" in title)


def test_a_title_is_text_in_a_drawing(hostile):
    root = ElementTree.fromstring(svg(chart(hostile, least=0.0)))
    assert not list(root.iter(f"{SVG}script"))
    assert any(HOSTILE in (title.text or "") for title in root.iter(f"{SVG}title"))


def test_a_title_is_text_in_mermaid(hostile):
    text = mermaid(chart(hostile, least=0.0))
    label = next(line for line in text.splitlines() if "alert" in line).strip()
    inner = re.fullmatch(r'n\d+\("(.*)"\):::findings', label)
    assert inner
    assert re.fullmatch(r"(?:[\w ,.:\-–()/%]|#\d+;)*", inner[1])
    decoded = re.sub(r"#(\d+);", lambda match: chr(int(match[1])), inner[1])
    assert decoded == HOSTILE


@pytest.mark.parametrize("view", VIEWS, ids=str)
def test_every_line_of_mermaid_is_a_node_a_link_or_a_frame_and_links_join_nodes(rulebook, view):
    drawn = chart(rulebook, **view)
    lines = [line.strip() for line in mermaid(drawn).splitlines() if not line.startswith("%%")]
    assert lines[0] == "flowchart LR"
    nodes = {
        match[1] for line in lines if (match := re.fullmatch(r'(n\d+)(?:\[|\(|\{\{)".*"(?:\]|\)|\}\}):::\w+', line))
    }
    links = [match.groups() for line in lines if (match := re.fullmatch(r'(n\d+) -\.?->\|".*"\| (n\d+)', line))]
    frames = [line for line in lines if re.fullmatch(r'subgraph c\d\[".*"\]|end|classDef .*', line)]
    assert len(nodes) == len(drawn.spots)
    assert len(links) == len(drawn.links)
    assert {end for link in links for end in link} <= nodes
    assert 1 + len(nodes) + len(links) + len(frames) == len(lines)


@given(
    st.lists(st.tuples(st.floats(0, 4000), st.sampled_from([28.0, 42.0, 56.0])), min_size=1, max_size=40),
)
def test_heights_are_the_least_squares_fit_that_keeps_order_and_gaps(wanted):
    """Against scipy's isotonic regression on the heights less what must lie above them."""
    names = [str(number) for number in range(len(wanted))]
    heights = {name: height for name, (_, height) in zip(names, wanted, strict=True)}
    tops = _fitted(names, [middle for middle, _ in wanted], heights)
    offsets = [sum(heights[name] + GAP for name in names[:number]) for number in range(len(names))]
    targets = [middle - heights[name] / 2 - off for (middle, _), name, off in zip(wanted, names, offsets, strict=True)]
    expected = isotonic_regression(targets).x
    assert [tops[name] - off for name, off in zip(names, offsets, strict=True)] == pytest.approx(
        list(expected), abs=1e-6
    )
