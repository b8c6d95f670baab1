"""Every fact that electrical readings give is declared as a record, and every record is computed."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest
import yaml

from engine.measures.coverage import GAPS
from engine.measures.extent import FEATURE_GROUPS
from engine.measures.meanings import SHAPES
from engine.measures.places import MODES

ROOT = Path(__file__).resolve().parents[3]


@pytest.fixture(scope="module")
def declared():
    records = yaml.safe_load((ROOT / "rulesets" / "measures" / "electrical.yaml").read_text("utf-8"))
    return {record["id"]: record for record in records}


def written():
    """The names that stand as text in the modules that emit facts, with the patterns filled in."""
    names = set(GAPS)
    for module in ("electrical_facts.py", "instruments.py"):
        tree = ast.parse((ROOT / "engine" / "measures" / module).read_text("utf-8"))
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                names.add(node.value)
    for mode in MODES:
        names |= {f"{mode}-read", f"{mode}-dry-reference", f"{mode}-excess"}
    for mode in MODES[:2]:
        names |= {f"{mode}-shape", f"{mode}-shape-fit"}
    return names | {f"distance-to-{group}-mm" for group in FEATURE_GROUPS}


def test_every_declared_measure_is_computed(declared):
    assert set(declared) - written() == set()


def test_every_fact_of_a_rich_case_is_declared_with_a_value_it_allows(declared, weighed, surface, reading, instruments):
    spots = [(x, y) for x in (300, 1300, 2300, 3300) for y in (50, 300, 600, 900, 1200, 1700, 2200)]
    visits = [{"id": f"v{i}", "on": f"2025-0{i + 1}-10", "instruments": instruments} for i in range(3)]
    features = [
        {"id": kind, "kind": kind, "x_mm": 2600, "y_mm": 1300, "to_x_mm": 3000, "to_y_mm": 1800}
        for kind in ("window", "pipe", "gutter", "outside-ground-line", "flue")
    ]
    readings = [
        reading(x, y, max(0, 6 - i - y / 200), name, visit=f"v{i}")
        for i in range(3)
        for x, y in spots
        for name in ("pins", "plate", "deep")
    ]
    references = [
        {"instrument": name, "material": "plaster", "value": value, "visit": f"v{i}"}
        for i in range(3)
        for name, value in (("pins", 12.0), ("plate", 20.0), ("deep", 12.0))
    ]
    told = [{"attribute": "wall-position", "value": "internal", "basis": "seen"}]
    parts = [
        surface(readings, features=features, dry_references=references),
        surface([reading(500, 100, 1, visit="v2")], id="floor", kind="floor"),
        surface([reading(500, 100, 1, visit="v2")], id="partition", facts=told),
        surface([reading(500, 100, 1, visit="v2")], id="another"),
    ]
    facts = {fact.attribute: fact.value for fact in weighed(*parts, visits=visits).facts}
    assert set(facts) <= set(declared)
    for name, value in facts.items():
        record = declared[name]
        if record["kind"] == "number":
            assert record["minimum"] <= value <= record["maximum"], name
        elif record["kind"] == "choice":
            assert value in {choice["id"] for choice in record["choices"]}, name
        else:
            assert value in ("yes", "no"), name


def test_the_shapes_are_the_declared_ones(declared):
    assert {choice["id"] for choice in declared["wall-shape"]["choices"]} == set(SHAPES)
