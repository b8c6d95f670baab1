"""What the tests of the measures draw on: a case of one area made from its parts."""

import json
from collections.abc import Callable
from typing import Any

import pytest

from engine.case.models import Area, Case


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
