"""What tests of every folder share."""

from __future__ import annotations

import importlib.util
import json
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import hypothesis
import pytest
import yaml

from engine.case.models import Area, Case

hypothesis.settings.register_profile("untimed", deadline=None)
hypothesis.settings.load_profile("untimed")


@pytest.fixture(scope="session")
def strategies() -> ModuleType:
    """The shared hypothesis strategies of tests/strategies.py; draw from them through ``st.data()``."""
    return _beside("strategies")


@pytest.fixture(scope="session")
def small_vocabulary() -> ModuleType:
    """The small vocabulary of tests/small_vocabulary.py, whose class ``Words`` a case can be read against."""
    return _beside("small_vocabulary")


@pytest.fixture(scope="session")
def beliefs() -> ModuleType:
    """The random belief networks of tests/belief_examples.py, and the plain enumeration to hold belief against."""
    return _beside("belief_examples")


@pytest.fixture(scope="session")
def examples() -> ModuleType:
    """The random rules and facts of tests/chaining_examples.py: ``random_rules`` and ``random_facts``."""
    return _beside("chaining_examples")


@pytest.fixture(scope="session")
def network_draws() -> ModuleType:
    """Cases drawn from the rule base's own network: tests/network_draws.py."""
    return _beside("network_draws")


@pytest.fixture(scope="session")
def case_scoring() -> ModuleType:
    """The scoring of opinions on made-up cases: tests/case_scoring.py."""
    return _beside("case_scoring")


@pytest.fixture(scope="session")
def interviews() -> ModuleType:
    """Interviews played by an answerer who knows a case: tests/interview_player.py."""
    return _beside("interview_player")


@pytest.fixture(scope="session")
def report_cases() -> ModuleType:
    """Cases for reports, full, thin and hostile: tests/report_cases.py."""
    return _beside("report_cases")


@pytest.fixture(scope="session")
def trainees() -> ModuleType:
    """Trainees who practise on worked cases by a plan: tests/practice_player.py."""
    return _beside("practice_player")


@pytest.fixture(scope="session")
def weighed_for_report() -> Callable[..., Any]:
    """Weighs a case file for a report; by the quicker chainer, for the answers agree."""
    from engine.case import read_case
    from engine.reporting.material import material
    from engine.rulebook import load_rulebook

    book = load_rulebook()

    def weigh(path: Path, **options: Any) -> Any:
        return material(read_case(path, vocabulary=book), book, folder=path.parent, backend="python", **options)

    return weigh


@pytest.fixture(scope="session")
def full_material(
    report_cases: ModuleType, weighed_for_report: Callable[..., Any], tmp_path_factory: pytest.TempPathFactory
) -> Any:
    """The full case, weighed; made into a report once by ``full_report``."""
    return weighed_for_report(report_cases.write(report_cases.full_data(), tmp_path_factory.mktemp("full")))


@pytest.fixture(scope="session")
def full_report(full_material: Any) -> Any:
    """The report on the full case."""
    from engine.reporting import make_report

    return make_report(full_material)


@pytest.fixture(scope="session")
def printed_pages(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], list[str]]:
    """Prints an HTML text on A4 in headless Chromium and gives the text of each page; skips where there is none."""
    names = ("chromium", "chromium-browser", "google-chrome")
    chromium = next((path for path in map(shutil.which, names) if path), None)
    if chromium is None:
        pytest.skip("needs Chromium to print")
    from pypdf import PdfReader

    def printed(html: str) -> list[str]:
        folder = tmp_path_factory.mktemp("printed")
        (folder / "report.html").write_text(html, encoding="utf-8")
        options = ("--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking")
        more = ("--disable-component-update", "--disable-sync", f"--user-data-dir={folder / 'user'}")
        out = f"--print-to-pdf={folder / 'report.pdf'}"
        page = (folder / "report.html").as_uri()
        command = [chromium, *options, *more, "--no-pdf-header-footer", out, page]
        subprocess.run(command, capture_output=True, check=True, timeout=180)
        return [page.extract_text() for page in PdfReader(folder / "report.pdf").pages]

    return printed


def _beside(name: str) -> ModuleType:
    path = Path(__file__).with_name(f"{name}.py")
    spec = importlib.util.spec_from_file_location(f"shared_{name}", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def parameters() -> dict[str, float]:
    """The numbers of every parameter record, by id."""
    folder = Path(__file__).parents[1] / "rulesets" / "parameters"
    records = [record for file in sorted(folder.glob("*.yaml")) for record in yaml.safe_load(file.read_text("utf-8"))]
    return {record["id"]: float(record["value"]) for record in records}


@pytest.fixture(scope="session")
def area_case() -> Callable[..., tuple[Case, Area]]:
    """Makes a case of one area: ``visits`` as data (one plain visit by default), the area's parts by name."""

    def made(visits: list[dict[str, Any]] | None = None, **parts: Any) -> tuple[Case, Area]:
        data = {
            "format": 1,
            "id": "made-up",
            "title": "Made up",
            "dwelling": {"title": "House"},
            "visits": visits or [{"id": "first", "on": "2025-01-10"}],
            "areas": [{"id": "area", "title": "Area", **parts}],
        }
        case = Case.model_validate_json(json.dumps(data))
        return case, case.areas[0]

    return made
