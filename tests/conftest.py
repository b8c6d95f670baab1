"""What tests in several folders draw on: made-up cases and made-up belief networks."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest


def _beside(name: str) -> ModuleType:
    """The module of that name in this folder."""
    spec = importlib.util.spec_from_file_location(name, Path(__file__).with_name(f"{name}.py"))
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def strategies() -> ModuleType:
    """Hypothesis strategies for sound cases."""
    return _beside("strategies")


@pytest.fixture(scope="session")
def beliefs() -> ModuleType:
    """Random belief networks and observations, and a plain enumeration to hold them against."""
    return _beside("belief_examples")
