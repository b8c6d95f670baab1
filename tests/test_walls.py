"""The walls of the house: who may import whom, and what stays out of where."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
ENGINE = sorted((ROOT / "engine").rglob("*.py"))
CLI = sorted((ROOT / "cli").rglob("*.py"))


def imported(path: Path) -> set[str]:
    names = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names.add(node.module)
    return names


def calls(path: Path) -> set[str]:
    nodes = ast.walk(ast.parse(path.read_text(encoding="utf-8")))
    return {node.func.id for node in nodes if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)}


def within(names: set[str], package: str) -> set[str]:
    return {name for name in names if name == package or name.startswith(package + ".")}


@pytest.mark.parametrize("path", ENGINE, ids=lambda path: str(path.relative_to(ROOT)))
def test_the_engine_imports_no_view_and_neither_prints_nor_asks(path):
    assert not within(imported(path), "cli")
    assert not within(imported(path), "rich") | within(imported(path), "typer")
    assert not calls(path) & {"print", "input"}


@pytest.mark.parametrize("path", sorted((ROOT / "engine" / "inference").glob("*.py")), ids=lambda path: path.name)
def test_inference_knows_nothing_of_cases_measures_or_rule_records(path):
    allowed = within(imported(path), "engine.inference") | within(imported(path), "engine.errors")
    assert within(imported(path), "engine") == allowed


TRADE_WORDS = ("wall", "damp", "salt", "rain", "mould", "plaster", "timber", "house", "leak", "condensation")


@pytest.mark.parametrize("path", sorted((ROOT / "engine" / "inference").glob("*.py")), ids=lambda path: path.name)
def test_inference_speaks_no_word_about_houses(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef)):
            body = node.body
            if body and isinstance(body[0], ast.Expr) and isinstance(body[0].value, ast.Constant):
                body[0].value.value = ""
    names = {node.id for node in ast.walk(tree) if isinstance(node, ast.Name)}
    names |= {node.arg for node in ast.walk(tree) if isinstance(node, ast.arg)}
    words = {part for name in names for part in name.lower().split("_")}
    words |= {
        word
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
        for word in node.value.lower().split()
    }
    assert not words & set(TRADE_WORDS)


@pytest.mark.parametrize("path", CLI, ids=lambda path: str(path.relative_to(ROOT)))
def test_views_and_commands_do_not_reason(path):
    names = imported(path)
    assert not within(names, "engine.inference") - {"engine.inference.chaining"}
    assert not within(names, "engine.measures")
    assert not within(names, "numpy")


def test_weighing_loads_no_heavy_library_that_it_does_not_need():
    program = (
        "import sys; from cli.weighing import run, demonstration;"
        "run(demonstration(), as_json=True, strict=False, exact=False, full=False, plain=True, rules=None,"
        " chainer='python');"
        "print(sorted({'scipy', 'pandas', 'matplotlib', 'pgmpy', 'hypothesis'} & set(sys.modules)), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stderr.strip() == "[]"


def test_the_records_and_cases_are_records_only():
    for folder in ("rulesets", "casebook"):
        assert {path.suffix for path in (ROOT / folder).rglob("*") if path.is_file()} <= {".yaml", ".csv"}
