"""New readings written into the text of a case without touching what a person wrote: lines are only added.

Whether it went well is not assumed: the new text is read again and must hold exactly the case that was meant.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import yaml

from engine.case.editing import composed, line_starts, lines_added, lines_until, node_at, text_holds
from engine.case.importing import Imported
from engine.case.writing import is_json, json_text, one_line, write_case
from engine.documents import read_document
from engine.reading import FieldPath


def with_readings(text: str, imported: Imported) -> str | None:
    """A case's text with an import's readings; comments and layout stay. None where that cannot be done soundly.

    A JSON text, which has neither, is written anew with its fields in their order. InvalidInput where the new text
    would be larger than a case may be.
    """
    name = Path(imported.document.name)
    if is_json(name):
        new = json_text(imported.document.data)
        return new if read_document(name, text=new).data == imported.document.data else None
    inserted = _inserted(text, imported.path, imported.readings)
    return inserted if inserted is not None and text_holds(name, inserted, imported.document) else None


def rewritten(imported: Imported, name: Path) -> str:
    """The case with an import's readings as a new text, JSON or YAML by the file's name; comments are not in it."""
    text = json_text(imported.document.data) if is_json(name) else write_case(imported.case)
    read_document(name, text=text)
    return text


def _inserted(text: str, path: FieldPath, readings: Sequence[Mapping[str, Any]]) -> str | None:
    root = composed(text)
    surface = node_at(root, path[:-1])
    if not isinstance(surface, yaml.MappingNode) or surface.flow_style:
        return None
    listed = next((value for key, value in surface.value if key.value == path[-1]), None)
    lines = [one_line(reading) for reading in readings]
    if listed is None:
        margin = " " * surface.start_mark.column
        return lines_added(
            text, lines_until(surface), [f"{margin}{path[-1]}:", *(f"{margin}  - {line}" for line in lines)]
        )
    if not isinstance(listed, yaml.SequenceNode):
        return None
    if listed.flow_style:
        return _within_brackets(text, listed, lines)
    margin = " " * listed.start_mark.column
    return lines_added(text, lines_until(listed), [f"{margin}- {line}" for line in lines])


def _within_brackets(text: str, listed: yaml.SequenceNode, lines: list[str]) -> str:
    """The readings before the bracket that closes a list."""
    place = line_starts(text)[listed.end_mark.line] + listed.end_mark.column - 1
    return text[:place] + (", " if listed.value else "") + ", ".join(lines) + text[place:]
