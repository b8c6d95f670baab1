"""Every fact that the physics measures give is declared, and every one declared can be given."""

import ast
from pathlib import Path

import pytest
import yaml

HOUSE = Path(__file__).parents[3]
TOPICS = ("climate", "timber", "samples")
MODULES = {
    "climate": ("climate.py",),
    "timber": ("timber.py",),
    "samples": ("samples.py", "ion_loads.py"),
}


def declared(topic):
    records = yaml.safe_load((HOUSE / "rulesets" / "measures" / f"{topic}.yaml").read_text("utf-8"))
    return {record["id"]: record for record in records}


def words_in(topic):
    """All text in the modules, with joined names such as ``salt-{ion}`` made up from their parts."""
    found = set()
    for module in MODULES[topic]:
        for node in ast.walk(ast.parse((HOUSE / "engine" / "measures" / module).read_text("utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                found.add(node.value)
    found |= {f"{place}-humidity-verdict" for place in ("room", "surface") if f"{place}-humidity" in found}
    return found | {f"salt-{ion}" for ion in ("nitrate", "chloride", "sulphate", "ammonium") if ion in found}


@pytest.mark.parametrize("topic", TOPICS)
def test_every_declared_measure_is_named_in_its_module(topic):
    assert set(declared(topic)) <= words_in(topic)
    assert all(record["computed_by"] == f"engine.measures.{topic}" for record in declared(topic).values())


@pytest.fixture
def rich_case(area_case, tmp_path):
    """A case with something of everything, without loggers."""
    instruments = [{"id": "pins", "mode": "pins", "scale": "wood-percent"}]
    outside = {"temperature_c": 2.0, "humidity_percent": 85.0}
    ions = [{"name": name, "band": "high"} for name in ("nitrate", "chloride", "sulphate", "ammonium")]
    samples = [
        {
            "id": f"s{height}",
            "surface": "wall",
            "x_mm": 0,
            "y_mm": height,
            "depth_from_mm": depth,
            "depth_to_mm": depth + 15,
        }
        | {"dry_g": 4.0, "wet_g": 4.6 - height / 4000, "conditioned_g": 4.1, "ions": ions}
        for height, depth in ((100, 0), (100, 30), (600, 30), (1200, 30))
    ]
    return area_case(
        [{"id": "first", "on": "2025-01-10", "outside": outside, "instruments": instruments}],
        surfaces=[{"id": "wall", "kind": "wall", "width_mm": 3000, "height_mm": 2400, "material": "brick"}],
        air=[{"temperature_c": 19.0, "humidity_percent": 62.0, "kind": "mean", "days": 10}],
        surface_temperatures=[{"temperature_c": 12.0}],
        timber=[{"id": "one", "item": "joist", "instrument": "pins", "value": 26.0, "temperature_c": 10.0}],
        samples=samples,
    )


def test_every_fact_given_is_declared_with_its_words_and_range(rich_case, parameters):
    from engine.measures.climate import climate_facts
    from engine.measures.samples import sample_facts
    from engine.measures.timber import timber_facts

    for topic, measure in zip(TOPICS, (climate_facts, timber_facts, sample_facts), strict=True):
        facts = measure(*rich_case, parameters).facts
        assert len({fact.attribute for fact in facts}) == len(facts) > 5
        for fact in facts:
            record = declared(topic)[fact.attribute]
            if record["kind"] == "number":
                assert record["minimum"] <= fact.value <= record["maximum"]
            else:
                words = [choice["id"] for choice in record.get("choices", ())] or ["yes", "no"]
                assert fact.value in words
