"""New readings written into the text of a case without touching what a person wrote: lines are only added.

Whether it went well is not assumed: the new text is read again and must hold exactly the case that was meant.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import yaml

from engine.case.importing import Imported
from engine.case.writing import one_line, write_case
from engine.documents import Document, read_document
from engine.errors import InvalidInput
from engine.reading import FieldPath

_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_LINE_END = re.compile(r"\r\n|\r|\n")


def with_readings(text: str, imported: Imported) -> str | None:
    """A case's text with an import's readings; comments and layout stay. None where that cannot be done soundly.

    A JSON text, which has neither, is written anew with its fields in their order. InvalidInput where the new text
    would be larger than a case may be.
    """
    name = Path(imported.document.name)
    if name.suffix.lower() == ".json":
        new = json.dumps(imported.document.data, ensure_ascii=False, indent=2) + "\n"
        return new if read_document(name, text=new).data == imported.document.data else None
    inserted = _inserted(text, imported.path, imported.readings)
    return inserted if inserted is not None and _holds(name, inserted, imported.document) else None


def rewritten(imported: Imported, name: Path) -> str:
    """The case with an import's readings as a new text, JSON or YAML by the file's name; comments are not in it."""
    if name.suffix.lower() == ".json":
        text = json.dumps(imported.document.data, ensure_ascii=False, indent=2) + "\n"
    else:
        text = write_case(imported.case)
    read_document(name, text=text)
    return text


def _holds(name: Path, text: str, meant: Document) -> bool:
    try:
        return bool(read_document(name, text=text).data == meant.data)
    except InvalidInput as faults:
        if any(fault.line is None for fault in faults.problems):  # larger than a case may be
            raise
        return False


def _inserted(text: str, path: FieldPath, readings: Sequence[Mapping[str, Any]]) -> str | None:
    root = yaml.compose(text, Loader=_LOADER)
    surface = _node(root, path[:-1])
    if not isinstance(surface, yaml.MappingNode) or surface.flow_style:
        return None
    listed = next((value for key, value in surface.value if key.value == path[-1]), None)
    lines = [one_line(reading) for reading in readings]
    if listed is None:
        margin = " " * surface.start_mark.column
        return _added(text, _after(surface), [f"{margin}{path[-1]}:", *(f"{margin}  - {line}" for line in lines)])
    if not isinstance(listed, yaml.SequenceNode):
        return None
    if listed.flow_style:
        return _within_brackets(text, listed, lines)
    margin = " " * listed.start_mark.column
    return _added(text, _after(listed), [f"{margin}- {line}" for line in lines])


def _node(node: Any, path: FieldPath) -> Any:
    for step in path:
        if isinstance(step, int):
            node = node.value[step]
        else:
            node = next(value for key, value in node.value if key.value == step)
    return node


def _after(node: Any) -> int:
    """The number of lines of the text up to the end of what a node holds."""
    if isinstance(node, yaml.CollectionNode) and not node.flow_style and node.value:
        last = node.value[-1]
        return _after(last[1] if isinstance(last, tuple) else last)
    end = node.end_mark
    return int(end.line if isinstance(node, yaml.ScalarNode) and node.style in ("|", ">") else end.line + 1)


def _added(text: str, after: int, lines: list[str]) -> str:
    ends = [match.end() for match in _LINE_END.finditer(text)]
    line_end = match[0] if (match := _LINE_END.search(text)) else "\n"
    place = ends[after - 1] if after <= len(ends) else len(text)
    start = "" if after <= len(ends) or not text else line_end
    return text[:place] + start + "".join(line + line_end for line in lines) + text[place:]


def _within_brackets(text: str, listed: yaml.SequenceNode, lines: list[str]) -> str:
    """The readings before the bracket that closes a list."""
    starts = [0, *(match.end() for match in _LINE_END.finditer(text))]
    place = starts[listed.end_mark.line] + listed.end_mark.column - 1
    return text[:place] + (", " if listed.value else "") + ", ".join(lines) + text[place:]
