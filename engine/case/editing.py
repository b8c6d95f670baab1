"""The text of a case changed where it must be and nowhere else: comments and layout stay."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import yaml

from engine.documents import Document, read_document
from engine.errors import InvalidInput
from engine.reading import FieldPath

_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_LINE_END = re.compile(r"\r\n|\r|\n")


def composed(text: str) -> Any:
    """The nodes of a YAML text, with the place in the text of each."""
    return yaml.compose(text, Loader=_LOADER)


def line_starts(text: str) -> list[int]:
    """Where every line of a text begins."""
    return [0, *(match.end() for match in _LINE_END.finditer(text))]


def text_holds(name: Path, text: str, meant: Document) -> bool:
    """Whether a new text holds exactly what is meant; InvalidInput where it is larger than a case may be."""
    try:
        return bool(read_document(name, text=text).data == meant.data)
    except InvalidInput as faults:
        if any(fault.line is None for fault in faults.problems):  # larger than a case may be
            raise
        return False


def node_at(node: Any, path: FieldPath) -> Any:
    """The node at a path below another."""
    for step in path:
        if isinstance(step, int):
            node = node.value[step]
        else:
            node = next(value for key, value in node.value if key.value == step)
    return node


def lines_until(node: Any) -> int:
    """The number of lines of the text up to the end of what a node holds."""
    if isinstance(node, yaml.CollectionNode) and not node.flow_style and node.value:
        last = node.value[-1]
        return lines_until(last[1] if isinstance(last, tuple) else last)
    end = node.end_mark
    return int(end.line if isinstance(node, yaml.ScalarNode) and node.style in ("|", ">") else end.line + 1)


def lines_added(text: str, after: int, lines: list[str]) -> str:
    """A text with further lines after its first so many, with the line ends that it has."""
    ends = [match.end() for match in _LINE_END.finditer(text)]
    line_end = match[0] if (match := _LINE_END.search(text)) else "\n"
    place = ends[after - 1] if after <= len(ends) else len(text)
    start = "" if after <= len(ends) or not text else line_end
    return text[:place] + start + "".join(line + line_end for line in lines) + text[place:]


def lines_removed(text: str, first: int, until: int) -> str:
    """A text without its lines from ``first`` (counted from 0) up to ``until``, which stays."""
    starts = [*line_starts(text), len(text)]
    return text[: starts[first]] + text[starts[min(until, len(starts) - 1)] :]
