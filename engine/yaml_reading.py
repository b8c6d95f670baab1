"""YAML read by the core schema of YAML 1.2, event by event, with the line of every part.

Nothing is constructed but dict, list, str, int, float, bool and None, and nothing recurses: the depth of
the text cannot exhaust the stack. An alias is shared, never copied, and its size counts against the limits.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import yaml

from engine.reading import FieldPath, Reading, Unreadable, shorten, shown

_YAML_TAGS = "tag:yaml.org,2002:"
_NULL = frozenset({"", "~", "null", "Null", "NULL"})
_BOOLEANS = {"true": True, "True": True, "TRUE": True, "false": False, "False": False, "FALSE": False}
_DECIMAL = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?")
_OTHER_BASES = ((re.compile(r"0o[0-7]+"), 8), (re.compile(r"0x[0-9a-fA-F]+"), 16))
_NOT_FINITE = re.compile(r"[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN)")

CORE_SCHEMA = (
    (f"{_YAML_TAGS}null", re.compile(r"(?:~|null|Null|NULL)?\Z"), ("", "~", "n", "N")),
    (f"{_YAML_TAGS}bool", re.compile(rf"(?:{'|'.join(_BOOLEANS)})\Z"), tuple("tTfF")),
    (f"{_YAML_TAGS}int", re.compile(r"(?:[-+]?[0-9]+|0o[0-7]+|0x[0-9a-fA-F]+)\Z"), tuple("-+0123456789")),
    (f"{_YAML_TAGS}float", re.compile(rf"(?:{_DECIMAL.pattern}|{_NOT_FINITE.pattern})\Z"), tuple("-+.0123456789")),
)
"""Which plain scalars are not text, with their tags and first characters: what a writer must quote."""

_PART = 64
"""Characters of text that count as one part against the limit on growth by aliases."""
_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

_EXPLAINED = (
    ("mapping values", "a colon where none can stand", "quote text that holds a colon, or check the indentation"),
    ("could not find expected ':'", "a line that is neither 'name: value' nor a list item", "is a colon missing?"),
    ("expected <block end>", "a line that does not line up with those above", "check the indentation"),
    ("did not find expected key", "a line that does not line up with those above", "check the indentation"),
    ("did not find expected '-'", "a line that is no list item among list items", "check the indentation"),
    ("block sequence entries are not allowed", "a list item where none can stand", "start the list on a new line"),
    ("block collections", "a list item where none can stand", "start the list on a new line"),
    ("found unexpected end of stream", "text whose closing quote is missing", "close the quote"),
    ("unexpected document", "text whose closing quote is missing", "close the quote"),
    ("expected ',' or ']'", 'a list in brackets without its comma or "]"', "close the bracket"),
    ("expected ',' or '}'", 'a mapping in braces without its comma or "}"', "close the brace"),
    ("unknown escape character", "an unknown escape after a backslash", "use single quotes, or double the backslash"),
    ("expected alphabetic or numeric", 'a word that begins with "&" or "*"', "put it in quotes"),
    ("cannot start any token", "a character that cannot begin a value", "put the value in quotes"),
    ("<document start>", "more text after the document has ended", "check the quotes, brackets and indentation"),
    ("maximum nesting depth", "nesting that is far too deep", "close each bracket and brace"),
    ("undefined tag handle", 'a word that begins with "!"', "put it in quotes"),
    ("while scanning a tag", 'a word that begins with "!"', "put it in quotes"),
    ("while parsing a tag", 'a word that begins with "!"', "put it in quotes"),
    ("while scanning a directive", 'a line that begins with "%"', "put it in quotes"),
)


@dataclass(slots=True)
class _Part:
    """A mapping or list that is being read; ``key`` is the name whose value comes next."""

    data: dict[str, Any] | list[Any]
    path: FieldPath
    line: int
    anchor: str | None
    size: int = 1
    height: int = 1
    key: str | None = None
    repeats: int = 0
    given: set[str] = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class _Anchored:
    data: Any
    size: int
    height: int


def read(text: str, reading: Reading) -> Any:
    """The data of one YAML text; faults and lines go to ``reading``, whose data then does not count."""
    reader = _Reader(reading)
    try:
        for event in _events(text, reading):
            reader.take(event)
        _whole(reader, text, reading)
    except Unreadable:
        return None
    return reader.result


def _whole(reader: _Reader, text: str, reading: Reading) -> None:
    if reader.documents == 0 or (reader.result is None and not reading.problems):
        found = "a file in which nothing but comments stands" if text.strip() else "an empty file"
        reading.fault(1, (), found, "at least one 'name: value' or list item")
    elif reader.size > reader.written * reading.limits.expansion:
        found = f"aliases that blow the document up to {reader.size} parts from {reader.written} written"
        reading.fault(1, (), shorten(found, 120), f"at most {reading.limits.expansion} times as many", "write it out")


def _events(text: str, reading: Reading) -> Iterator[Any]:
    try:
        yield from yaml.parse(text, Loader=_LOADER)
    except (yaml.YAMLError, ValueError, OverflowError) as error:
        _explain(error, text, reading)
        raise Unreadable from None


def _explain(error: Exception, text: str, reading: Reading) -> None:
    mark = getattr(error, "problem_mark", None)
    lines = re.split(r"\r\n|\r|\n", text)
    line = min(mark.line + 1, len(lines)) if mark else None
    words = f"{getattr(error, 'context', '')} {getattr(error, 'problem', '')}"
    opening = getattr(error, "context_mark", None)
    if opening and "quoted scalar" in words:
        line = opening.line + 1
    if line and re.match(r" *\t", lines[line - 1]):
        reading.fault(line, (), "a tab in the indentation", "spaces", "replace each tab by spaces")
        return
    for fragment, found, advice in _EXPLAINED:
        if fragment in words:
            reading.fault(line, (), found, "YAML", advice)
            return
    problem = getattr(error, "problem", None)
    reading.fault(line, (), f"text that is not YAML ({problem})" if problem else "text that is not YAML", "YAML")


class _Reader:
    def __init__(self, reading: Reading) -> None:
        self.reading = reading
        self.stack: list[_Part] = []
        self.anchored: dict[str, _Anchored] = {}
        self.result: Any = None
        self.documents = 0
        self.aliases = 0
        self.written = 0
        self.size = 0

    def take(self, event: Any) -> None:
        line = event.start_mark.line + 1
        if len(self.reading.lines) > self.reading.limits.parts:
            self.reading.too_many(line)
        if isinstance(event, yaml.ScalarEvent):
            self.scalar(event, line)
        elif isinstance(event, yaml.MappingStartEvent):
            self.open({}, event, line)
        elif isinstance(event, yaml.SequenceStartEvent):
            self.open([], event, line)
        elif isinstance(event, (yaml.MappingEndEvent, yaml.SequenceEndEvent)):
            self.close()
        elif isinstance(event, yaml.AliasEvent):
            self.alias(event, line)
        elif isinstance(event, yaml.DocumentStartEvent):
            self.documents += 1
            if self.documents > 1:
                self.reading.fault(line, (), "a second document after '---'", "one document in a file")
                raise Unreadable

    def awaits_name(self) -> bool:
        """Whether the next part is a name of a mapping, not a value."""
        part = self.stack[-1] if self.stack else None
        return part is not None and isinstance(part.data, dict) and part.key is None

    def place(self) -> FieldPath:
        """The path of the value that comes next."""
        if not self.stack:
            return ()
        part = self.stack[-1]
        return (*part.path, len(part.data) if isinstance(part.data, list) else str(part.key))

    def scalar(self, event: Any, line: int) -> None:
        if self.awaits_name():
            self.name(event, line)
            return
        path = self.place()
        self.reading.lines.setdefault(path, line)
        self.tag(event, path, line)
        value = self.plain(event.value, path, line) if event.implicit[0] else event.value
        size = 1 + len(event.value) // _PART
        self.put(value, event.anchor, size, 0)
        self.written += size

    def name(self, event: Any, line: int) -> None:
        part = self.stack[-1]
        text: str = event.value
        part.size += len(text) // _PART
        self.written += len(text) // _PART
        path = (*part.path, text)
        if event.implicit[0]:
            value = self.plain(text, part.path, line)
            if text == "<<":
                found, advice = "the merge key '<<'", "write the names out; merging is not part of YAML 1.2"
                self.reading.fault(line, part.path, found, "names", advice)
            elif not isinstance(value, str):
                self.reading.fault(
                    line, part.path, f"the name {shown(text)}", "names that are text", "put it in quotes"
                )
        if event.anchor or event.tag:
            self.reading.fault(line, path, "a name with an anchor or a tag", "plain names")
        if text in part.given:
            self.reading.repeated(path, line)
            part.repeats += 1
            text = f"{text} (again {part.repeats})"
        part.given.add(text)
        part.key = text
        self.reading.lines[(*part.path, text)] = line

    def open(self, data: dict[str, Any] | list[Any], event: Any, line: int) -> None:
        if self.awaits_name():
            self.reading.fault(line, self.stack[-1].path, "a list or mapping as a name", "names that are text")
            raise Unreadable
        path = self.place()
        self.reading.lines.setdefault(path, line)
        if len(self.stack) >= self.reading.limits.depth:
            self.reading.too_deep(path, line)
            raise Unreadable
        self.tag(event, path, line)
        self.stack.append(_Part(data, path, line, event.anchor))
        self.written += 1

    def close(self) -> None:
        part = self.stack.pop()
        self.put(part.data, part.anchor, part.size, part.height)

    def alias(self, event: Any, line: int) -> None:
        if self.awaits_name():
            self.reading.fault(
                line, self.stack[-1].path, f"the alias *{shorten(event.anchor)} as a name", "plain names"
            )
            raise Unreadable
        path = self.place()
        self.reading.lines.setdefault(path, line)
        self.aliases += 1
        self.written += 1
        limits = self.reading.limits
        if self.aliases > limits.aliases:
            self.reading.fault(line, path, f"more than {limits.aliases} aliases", f"at most {limits.aliases}")
            raise Unreadable
        target = self.anchored.get(event.anchor)
        if target is None:
            found = f"the alias *{shorten(event.anchor)}, which stands for nothing written above"
            self.reading.fault(line, path, found, "an alias of a complete part above", "quote text that begins with *")
            target = _Anchored(None, 1, 0)
        elif len(self.stack) + target.height > limits.depth:
            self.reading.too_deep(path, line)
        self.put(target.data, None, target.size, target.height)

    def put(self, value: Any, anchor: str | None, size: int, height: int) -> None:
        """Hand a finished part to the one around it."""
        if anchor:
            self.anchored[anchor] = _Anchored(value, size, height)
        if not self.stack:
            self.result, self.size = value, size
            return
        part = self.stack[-1]
        part.size += size
        part.height = max(part.height, height + 1)
        if isinstance(part.data, list):
            part.data.append(value)
        else:
            part.data[str(part.key)] = value
            part.key = None

    def tag(self, event: Any, path: FieldPath, line: int) -> None:
        if event.tag is not None and event.tag != "!":
            found = f"the tag {shown(event.tag.replace(_YAML_TAGS, '!!'))}"
            self.reading.fault(line, path, found, "values without tags", "put text in quotes")

    def plain(self, text: str, path: FieldPath, line: int) -> Any:
        """What an unquoted scalar stands for in the core schema."""
        if text in _NULL:
            return None
        if text in _BOOLEANS:
            return _BOOLEANS[text]
        if text[0] in "+-.0123456789":
            if _DECIMAL.fullmatch(text):
                return self.reading.number(text, path, line)
            for pattern, base in _OTHER_BASES:
                if pattern.fullmatch(text):
                    return self.reading.number(text[2:], path, line, base)
            if _NOT_FINITE.fullmatch(text):
                self.reading.fault(line, path, f"{text}, which is not a finite number", "a finite number")
                return None
        return text
