"""Ids of a case replaced where they tell what they should not, with every reference to them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from engine.case.models import Case

_NAMED = {
    "visits": "visit",
    "instruments": "instrument",
    "areas": "area",
    "surfaces": "surface",
    "zones": "zone",
    "features": "feature",
    "samples": "sample",
    "timber": "timber",
    "loggers": "logger",
}
"""The lists whose items have ids of the writer's choosing, and the field by which others refer to one of them."""


def renamed(case: Case, unwanted: Callable[[str], bool]) -> Case:
    """The case with every unwanted id of a part replaced by its kind and a number, such as area-1; always the same.

    The id of the case itself stays, and so do words of the vocabulary.
    """
    data = case.model_dump(mode="json", exclude_defaults=True)
    given: dict[str, set[str]] = {kind: set() for kind in _NAMED.values()}
    _collect(data, given)
    names = {kind: _new_names(kind, ids, unwanted) for kind, ids in given.items()}
    if not any(names.values()):
        return case
    return Case.model_validate_json(_json(_rewritten(data, names, None)))


def own_ids(case: Case) -> tuple[str, ...]:
    """The ids of parts, which the writer of the case chose, each once in alphabetical order."""
    given: dict[str, set[str]] = {kind: set() for kind in _NAMED.values()}
    _collect(case.model_dump(mode="json", exclude_defaults=True), given)
    return tuple(sorted(set().union(*given.values())))


def _json(data: Any) -> str:
    import json

    return json.dumps(data)


def _collect(data: Any, given: Mapping[str, set[str]]) -> None:
    for name, value in data.items() if isinstance(data, dict) else ():
        for item in value if isinstance(value, list) else [value]:
            if name in _NAMED and isinstance(item, dict) and "id" in item:
                given[_NAMED[name]].add(item["id"])
            _collect(item, given)


def _new_names(kind: str, ids: set[str], unwanted: Callable[[str], bool]) -> dict[str, str]:
    found: dict[str, str] = {}
    number = 0
    for old in sorted(ids):
        if unwanted(old):
            number += 1
            while f"{kind}-{number}" in ids:
                number += 1
            found[old] = f"{kind}-{number}"
    return found


def _rewritten(data: Any, names: Mapping[str, Mapping[str, str]], kind: str | None) -> Any:
    """The data with new names: of the items of a list of this kind, and wherever a field refers to one."""
    if isinstance(data, list):
        return [_rewritten(item, names, kind) for item in data]
    if not isinstance(data, dict):
        return data
    result = {}
    for name, value in data.items():
        of = kind if name == "id" else name if name in names else None
        if of is not None and isinstance(value, str):
            result[name] = names[of].get(value, value)
        else:
            result[name] = _rewritten(value, names, _NAMED.get(name))
    return result
