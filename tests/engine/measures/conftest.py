"""What the tests of electrical readings draw on: areas made from a few places."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from engine.measures import Measured, measure

INSTRUMENTS: list[dict[str, Any]] = [
    {"id": "pins", "mode": "pins", "scale": "wood-percent"},
    {"id": "deep", "mode": "deep-pins", "scale": "wood-percent"},
    {"id": "plate", "mode": "capacitance", "scale": "relative", "full_scale": 100.0},
]
DRY = {"pins": (12.0, 3.0), "deep": (12.0, 3.0), "plate": (20.0, 10.0)}
"""Dry reference and smallest rise that counts as raised of each instrument, on its own scale."""


@pytest.fixture(scope="session")
def reading() -> Callable[..., dict[str, Any]]:
    """A reading as data at (x, y) with a wanted excess in multiples of raised, pressed three times alike."""

    def made(x: float, y: float, excess: float, instrument: str = "pins", **more: Any) -> dict[str, Any]:
        dry, raised = DRY[instrument]
        value = dry + raised * excess
        return {"x_mm": x, "y_mm": y, "instrument": instrument, "value": value, "repeats": [value, value], **more}

    return made


@pytest.fixture(scope="session")
def surface() -> Callable[..., dict[str, Any]]:
    """A wall as data, 4 m by 2.4 m of one plaster, with a dry reference for every instrument unless told otherwise."""

    def made(readings: list[dict[str, Any]], *, referenced: bool = True, **more: Any) -> dict[str, Any]:
        references = [{"instrument": name, "material": "plaster", "value": dry} for name, (dry, _) in DRY.items()]
        return {
            "id": "wall",
            "kind": "wall",
            "width_mm": 4000.0,
            "height_mm": 2400.0,
            "material": "plaster",
            "readings": readings,
            "dry_references": references if referenced else [],
            **more,
        }

    return made


@pytest.fixture(scope="session")
def weighed(area_case: Callable[..., Any], parameters: dict[str, float]) -> Callable[..., Measured]:
    """Measures an area made of surfaces; ``visits`` and ``voided`` as for a case."""

    def made(
        *surfaces: dict[str, Any],
        visits: list[dict[str, Any]] | None = None,
        voided: frozenset[tuple[str, str]] = frozenset(),
    ) -> Measured:
        one = [{"id": "first", "on": "2025-01-10", "instruments": INSTRUMENTS}]
        case, area = area_case(visits=visits or one, surfaces=list(surfaces))
        return measure(case, area, parameters, voided)

    return made


@pytest.fixture(scope="session")
def facts_of(weighed: Callable[..., Measured]) -> Callable[..., dict[str, str | float]]:
    """The facts of an area made of surfaces, by attribute."""

    def made(*surfaces: dict[str, Any], **more: Any) -> dict[str, str | float]:
        return {fact.attribute: fact.value for fact in weighed(*surfaces, **more).facts}

    return made


@pytest.fixture(scope="session")
def instruments() -> list[dict[str, Any]]:
    """The instruments of a visit, as data."""
    return INSTRUMENTS
