"""An inspector's conclusion written into the text of a case; everything else in it stays as a person wrote it.

Whether it went well is not assumed: the new text is read again and must hold exactly the case that was meant.
"""

from __future__ import annotations

import copy
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from engine.case.editing import composed, lines_added, lines_removed, lines_until, node_at, text_holds
from engine.case.models import Conclusion
from engine.case.writing import is_json, json_text, one_line
from engine.documents import Document

FIELD = "conclusion"


def with_conclusion(text: str, document: Document, area: str, conclusion: Conclusion) -> str | None:
    """A case's text with a conclusion on one of its areas; what else a conclusion there said stays.

    ``document`` is what the text holds. None where the text is laid out so that lines of it cannot be changed alone: an
    area in braces, or one that begins with its conclusion. KeyError for an area that the case has not.
    """
    place = next((i for i, part in enumerate(document.data["areas"]) if part["id"] == area), None)
    if place is None:
        raise KeyError(area)
    data = copy.deepcopy(document.data)
    given = conclusion.model_dump(mode="json", exclude_defaults=True)
    before = data["areas"][place].get(FIELD) or {}
    kept = {name: value for name, value in before.items() if name not in ("causes", "sureness", "blind", "opinion")}
    data["areas"][place][FIELD] = {**given, **kept}
    meant, name = Document(document.name, data, {}), Path(document.name)
    if is_json(name):
        new: str | None = json_text(data)
    else:
        new = _written(text, place, data["areas"][place][FIELD])
    return new if new is not None and text_holds(name, new, meant) else None


def _written(text: str, place: int, conclusion: Mapping[str, Any]) -> str | None:
    area = node_at(composed(text), ("areas", place))
    if area.flow_style:
        return None
    margin = " " * area.start_mark.column
    lines = [f"{margin}{FIELD}:"]
    lines += [f"{margin}  {one_line({name: value})[1:-1]}" for name, value in conclusion.items()]
    for number, (key, value) in enumerate(area.value):
        if key.value == FIELD:
            if number == 0:
                return None
            first: int = key.start_mark.line
            return lines_added(lines_removed(text, first, lines_until(value)), first, lines)
    return lines_added(text, lines_until(area), lines)
