"""The case: what was seen, measured and told of one dwelling, read from and written to files.

The public names are imported when first used, so that reading a case does not load what writes a schema.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from engine.case.digest import case_digest as case_digest
    from engine.case.models import Case as Case
    from engine.case.reading import parse_case as parse_case
    from engine.case.reading import read_case as read_case
    from engine.case.schema import case_schema as case_schema
    from engine.case.template import starting_file as starting_file
    from engine.case.vocabulary import Vocabulary as Vocabulary
    from engine.case.writing import write_case as write_case

_HOMES = {
    "Case": "models",
    "Vocabulary": "vocabulary",
    "case_digest": "digest",
    "case_schema": "schema",
    "parse_case": "reading",
    "read_case": "reading",
    "starting_file": "template",
    "write_case": "writing",
}

__all__ = [
    "Case",
    "Vocabulary",
    "case_digest",
    "case_schema",
    "parse_case",
    "read_case",
    "starting_file",
    "write_case",
]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'engine.case' has no attribute {name!r}")
    return getattr(importlib.import_module(f"engine.case.{_HOMES[name]}"), name)
