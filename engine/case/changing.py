"""One change of a case, as data: items put at the end of a list, or one in the place of one of its items.

Everything that a session writes is such a change, so that what is in the journal can be made again.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import yaml

from engine.case.editing import composed, line_starts, lines_added, lines_until, node_at
from engine.case.writing import one_line
from engine.reading import FieldPath


@dataclass(frozen=True, slots=True)
class Change:
    """Items of a list of the case: ``path`` leads to the list; ``index`` is the one replaced, None for new ones."""

    path: FieldPath
    items: tuple[Mapping[str, Any], ...]
    index: int | None = None

    def applied(self, data: Any) -> Any:
        """The case's data with the change; the given data stays as it is."""
        return _changed(data, self.path, self)

    def before(self, data: Any) -> Mapping[str, Any] | None:
        """The item that the change replaces; None for new ones."""
        for step in self.path:
            data = data[step] if isinstance(step, int) else data.get(step, ())
        return None if self.index is None else data[self.index]

    def written(self, text: str) -> str | None:
        """A YAML text with the change, everything else untouched; None where that cannot be done soundly."""
        root = composed(text)
        owner = node_at(root, self.path[:-1])
        listed = _member(owner, str(self.path[-1]))
        if self.index is None:
            return _added(text, owner, str(self.path[-1]), listed, [one_line(item) for item in self.items])
        if not isinstance(listed, yaml.SequenceNode):
            return None
        old = listed.value[self.index]
        start, end = old.start_mark.index, old.end_mark.index
        if not (isinstance(old, yaml.MappingNode) and old.flow_style) or "#" in text[start:end]:
            return None
        return text[:start] + one_line(self.items[0]) + text[end:]


def _member(owner: Any, name: str) -> Any:
    return next((value for key, value in owner.value if key.value == name), None)


def _added(text: str, owner: Any, name: str, listed: Any, lines: list[str]) -> str | None:
    """The text with more items in the list ``name`` of a mapping; None where the mapping is written in braces."""
    if not isinstance(owner, yaml.MappingNode) or owner.flow_style:
        return None
    if listed is None:
        margin = " " * owner.start_mark.column
        return lines_added(text, lines_until(owner), [f"{margin}{name}:", *(f"{margin}  - {line}" for line in lines)])
    if not isinstance(listed, yaml.SequenceNode):
        return None
    if listed.flow_style:
        place = line_starts(text)[listed.end_mark.line] + listed.end_mark.column - 1
        return text[:place] + (", " if listed.value else "") + ", ".join(lines) + text[place:]
    return lines_added(text, lines_until(listed), [f"{' ' * listed.start_mark.column}- {line}" for line in lines])


def _changed(data: Any, path: FieldPath, change: Change) -> Any:
    if not path:
        items = list(data or ())
        new = [dict(item) for item in change.items]
        if change.index is None:
            return [*items, *new]
        return [*items[: change.index], *new, *items[change.index + 1 :]]
    step, rest = path[0], path[1:]
    if isinstance(data, list) and isinstance(step, int):
        return [*data[:step], _changed(data[step], rest, change), *data[step + 1 :]]
    return {**data, step: _changed(data.get(step), rest, change)}
