"""One value written into the text of a case; everything else in it stays as a person wrote it.

Whether it went well is not assumed: the new text is read again and must hold exactly the data that was meant.
"""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

import yaml

from engine.case.editing import composed, lines_added, lines_until, node_at, text_holds
from engine.case.writing import is_json, json_text, one_line
from engine.documents import Document, read_document
from engine.reading import FieldPath


def with_value(text: str, name: Path, path: FieldPath, value: str | int) -> str | None:
    """A case's text with a text, whole number or day at a path whose last step names a field; the field may be new.

    ``name`` is the file's, by which the text is JSON or YAML. None where the YAML is laid out so that it cannot be
    changed there alone. KeyError or IndexError for a path to a part that is not there.
    """
    data = _put(read_document(name, text=text).data, path, value)
    new = json_text(data) if is_json(name) else _written(text, path, value)
    return new if new is not None and text_holds(name, new, Document(str(name), data, {})) else None


def _put(data: Any, path: FieldPath, value: Any) -> Any:
    """The data with a value at a path; parts that stand in several places by an alias are changed in that one alone."""
    if not path:
        return value
    copied = copy.copy(data)
    copied[path[0]] = _put(data[path[0]] if path[1:] else None, path[1:], value)
    return copied


def _written(text: str, path: FieldPath, value: str | int) -> str | None:
    owner: Any = node_at(composed(text), path[:-1])
    field = str(path[-1])
    line = one_line({field: value})[1:-1]
    old = next((node for key, node in owner.value if key.value == field), None)
    if old is not None:
        start, end = old.start_mark.index, old.end_mark.index
        while end > start and text[end - 1].isspace():  # a block of text ends with the line ends behind it
            end -= 1
        return text[:start] + line.partition(": ")[2] + text[end:]
    if owner.flow_style:
        if not owner.value:
            return None
        end = owner.value[-1][1].end_mark.index
        return f"{text[:end]}, {line}{text[end:]}"
    if not isinstance(owner, yaml.MappingNode) or not owner.value:
        return None
    return lines_added(text, lines_until(owner), [" " * owner.start_mark.column + line])
