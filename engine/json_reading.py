"""JSON (RFC 8259) read with the line of every part, and the same guards as YAML."""

from __future__ import annotations

import json
import math
import re
from bisect import bisect_right
from typing import Any

from engine.reading import LARGEST_WHOLE, FieldPath, Limits, Reading, Unreadable, shorten

_SPACE = re.compile(r"[ \t\r\n]*")
_NUMBER = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][-+]?[0-9]+)?(?![0-9A-Za-z.+-])")
_WORD = re.compile(r"[^\s,:\[\]{}\"]+|.", re.DOTALL)
_SURROGATE = re.compile("[\ud800-\udfff]")
_WORDS = {"true": True, "false": False, "null": None}
_NOT_FINITE = ("NaN", "Infinity", "-Infinity")
_STRINGS = json.JSONDecoder()
_VALUE = 'a value: text in double quotes, a number, true, false, null, "[" or "{"'


def plain(text: str, limits: Limits) -> Any:
    """The data of a sound JSON text, read quickly and without lines; None where `read` must look for a fault."""
    if _HALF.search(text) or sum(map(text.count, ",:[{")) >= limits.parts:
        return None
    try:
        data = _PLAIN.decode(text)
    except (ValueError, RecursionError):
        return None
    return data if isinstance(data, dict | list) and _within(data, limits.depth - 1) else None


def _within(value: Any, depth: int) -> bool:
    """Whether lists and mappings are nested no deeper."""
    inner = value.values() if isinstance(value, dict) else value
    return depth > 0 and all(_within(part, depth - 1) for part in inner if isinstance(part, dict | list))


def _unrepeated(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        raise ValueError("a name given twice")
    return found


def _exact(text: str) -> int:
    if abs(value := int(text)) > LARGEST_WHOLE:
        raise ValueError("a whole number too long to be held exactly")
    return value


def _finite(text: str) -> float:
    if not math.isfinite(value := float(text)):
        raise ValueError("not a finite number")
    return value


_HALF = re.compile(r"\\u[dD][89a-fA-F]")
_PLAIN = json.JSONDecoder(object_pairs_hook=_unrepeated, parse_int=_exact, parse_float=_finite, parse_constant=_finite)


def read(text: str, reading: Reading) -> Any:
    """The data of one JSON text; faults and lines go to ``reading``, whose data then does not count."""
    return _Reader(text, reading).whole()


class _Reader:
    def __init__(self, text: str, reading: Reading) -> None:
        self.text = text
        self.reading = reading
        self.at = 0
        self.line_ends = [match.end() for match in re.finditer(r"\r\n|\r|\n", text)]

    def whole(self) -> Any:
        self.skip()
        if self.at == len(self.text):
            self.reading.fault(1, (), "an empty file", "JSON with at least one value")
            return None
        try:
            data = self.value((), self.line())
            self.skip()
            if self.at < len(self.text):
                self.unexpected((), "the end of the file")
        except Unreadable:
            return None
        return data

    def value(self, path: FieldPath, line: int) -> Any:
        self.reading.lines[path] = line
        if len(self.reading.lines) > self.reading.limits.parts:
            self.reading.too_many(line)
        if len(path) > self.reading.limits.depth:
            self.reading.too_deep(path, line)
            raise Unreadable
        start = self.text[self.at : self.at + 1]
        if start == "{":
            return self.mapping(path)
        if start == "[":
            return self.list(path)
        if start == '"':
            return self.string(path)
        match = _NUMBER.match(self.text, self.at)
        if match:
            self.at = match.end()
            return self.reading.number(match[0], path, line)
        match = _WORD.match(self.text, self.at)
        if match and match[0] in _WORDS:
            self.at = match.end()
            return _WORDS[match[0]]
        if match and match[0] in _NOT_FINITE:
            self.at = match.end()
            self.reading.fault(line, path, f"{match[0]}, which is not a finite number", "a finite number")
            return None
        return self.unexpected(path, _VALUE)

    def mapping(self, path: FieldPath) -> dict[str, Any]:
        found: dict[str, Any] = {}
        while self.another("}", path, first=not found):
            if self.text[self.at : self.at + 1] != '"':
                self.unexpected(path, "a name in double quotes")
            line = self.line()
            name = self.string(path)
            self.skip()
            if self.text[self.at : self.at + 1] != ":":
                self.unexpected((*path, name), "a colon after the name")
            self.at += 1
            self.skip()
            inner = (*path, name)
            if name in found:
                self.reading.repeated(inner, line)
                self.value((*path, f"{name} (again)"), line)
            else:
                found[name] = None
                found[name] = self.value(inner, line)
        return found

    def list(self, path: FieldPath) -> list[Any]:
        found: list[Any] = []
        while self.another("]", path, first=not found):
            found.append(self.value((*path, len(found)), self.line()))
        return found

    def another(self, close: str, path: FieldPath, *, first: bool) -> bool:
        """Whether one more member follows; steps over the bracket that opens, the comma or the bracket that ends."""
        if first:
            self.at += 1
        self.skip()
        start = self.text[self.at : self.at + 1]
        if start == close:
            self.at += 1
            return False
        if first:
            return True
        if start != ",":
            self.unexpected(path, f'a comma or "{close}"')
        self.at += 1
        self.skip()
        if self.text[self.at : self.at + 1] == close:
            self.unexpected(path, "another member after the comma", "remove the comma before it")
        return True

    def string(self, path: FieldPath) -> str:
        line = self.line()
        try:
            value, self.at = _STRINGS.raw_decode(self.text, self.at)
        except json.JSONDecodeError as error:
            self.at = min(error.pos, len(self.text))
            found = {
                "Unterminated string starting at": "text whose closing quote is missing",
                "Invalid control character at": "a line end or a tab inside text",
            }.get(error.msg, "an unknown escape after a backslash")
            advice = "write \\n for a line end, \\t for a tab and \\\\ for a backslash"
            self.reading.fault(self.line(), path, found, "text in double quotes", advice)
            raise Unreadable from None
        text = str(value)
        if _SURROGATE.search(text):
            self.reading.fault(line, path, "half of a surrogate pair (\\ud800 to \\udfff)", "whole characters")
        return text

    def skip(self) -> None:
        match = _SPACE.match(self.text, self.at)
        self.at = match.end() if match else self.at

    def line(self) -> int:
        return bisect_right(self.line_ends, self.at) + 1

    def unexpected(self, path: FieldPath, allowed: str, advice: str = "") -> Any:
        match = _WORD.match(self.text, self.at)
        found = f'"{shorten(match[0])}"' if match else "the end of the file"
        if match and match[0].startswith(("//", "/*", "#")):
            advice = "JSON has no comments; use YAML for a file with comments"
        elif match and match[0].startswith("'"):
            advice = "JSON wants double quotes"
        self.reading.fault(self.line(), path, found, allowed, advice)
        raise Unreadable
