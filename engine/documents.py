"""Documents that people write: YAML and JSON read into plain data, with the line of every part.

YAML is read by the core schema of YAML 1.2 (https://yaml.org/spec/1.2.2/#103-core-schema): only `true`
and `false` are booleans, `no` and `on` are text, a date is text. Everything that could surprise, exhaust
or run code is refused with its line: names given twice, tags, deep nesting, alias bombs, numbers that are
not finite, other encodings than UTF-8.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from engine import json_reading, yaml_reading
from engine.errors import InvalidInput, Problem
from engine.reading import FieldPath, Limits, Reading, Unreadable, readable

__all__ = ["LIMITS", "Document", "FieldPath", "Limits", "printable", "read_document", "read_text", "readable"]

LIMITS = Limits()
"""Two mebibytes, 300 000 values, 32 levels, 100 aliases, and ten times the written size once aliases are followed."""

_UNPRINTABLE = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufeff\ufffe\uffff]")
_OTHER_ENCODINGS = (
    (b"\xff\xfe\x00\x00", "UTF-32"),
    (b"\x00\x00\xfe\xff", "UTF-32"),
    (b"\xff\xfe", "UTF-16"),
    (b"\xfe\xff", "UTF-16"),
)
_ARCHIVE, _OF_OFFICE = b"PK\x03\x04", b"[Content_Types].xml"
_FROM_WORKBOOK = "if it is a filled-in form: dampwright case make --from FORM.xlsx -o CASE.yaml"
_SAVE_AS = "save the file again with the encoding UTF-8"


@dataclass(frozen=True)
class Document:
    """What a file holds, as plain data, and the line on which each part of it begins.

    ``data`` is made of dict, list, str, int, float, bool and None. ``lines`` maps the path of every part
    written in the file to its line, counted from 1; for a field that is the line of its name.
    """

    name: str
    data: Any
    lines: Mapping[FieldPath, int]

    def line(self, path: FieldPath) -> int | None:
        """The line of a part, or of the nearest part around it; None only for a document without lines."""
        for end in range(len(path), -1, -1):
            if path[:end] in self.lines:
                return self.lines[path[:end]]
        return None

    def place(self, path: FieldPath) -> str:
        """Where a part stands, in words."""
        return f"line {self.line(path)}"

    def problem(self, path: FieldPath, found: str, allowed: str, advice: str = "", close: str | None = None) -> Problem:
        """A fault of a part, with its place."""
        return Problem(self.name, self.line(path), readable(path), found, allowed, advice, close)


def read_document(path: Path, *, text: str | None = None, limits: Limits = LIMITS, placed: bool = True) -> Document:
    """The document in a file; one whose name ends in ``.json`` is read as JSON, every other as YAML.

    With ``text`` the file is not opened: ``path`` then only names the document and says its kind. Where not
    ``placed``, the parts of sound JSON have no lines of their own, and it is read several times quicker.
    InvalidInput with every fault that can be found, if the file cannot be read, is not UTF-8 (with or
    without byte order mark), is empty, breaks a limit, or is not YAML or JSON.
    """
    name = str(path)
    if text is None:
        text = read_text(path, limits=limits)
    elif len(text.encode("utf-8", "replace")) > limits.size:
        raise _too_large(name, limits)
    else:
        text = _sound(name, text, limits)
    is_json = path.suffix.lower() == ".json"
    if is_json and not placed and (data := json_reading.plain(text, limits)) is not None:
        return Document(name, data, {(): 1})
    reading = Reading(name, limits)
    reader = json_reading.read if is_json else yaml_reading.read
    data = reader(text, reading)
    if reading.problems:
        raise InvalidInput(reading.problems)
    return Document(name, data, reading.lines)


def read_text(path: Path, *, limits: Limits = LIMITS) -> str:
    """The text of a file, with its own line ends and without byte order mark; InvalidInput as for `read_document`."""
    name = str(path)
    return _sound(name, _decoded(name, _bytes(name, path, limits)), limits)


def printable(text: str) -> bool:
    """Whether a text is free of control characters and of others that do not print."""
    return not _UNPRINTABLE.search(text)


def _sound(name: str, text: str, limits: Limits) -> str:
    text = text.removeprefix("\ufeff")
    if _UNPRINTABLE.search(text):
        reading = Reading(name, limits)
        with suppress(Unreadable):
            _tell_unprintable(text, reading)
        raise InvalidInput(reading.problems)
    return text


def _bytes(name: str, path: Path, limits: Limits) -> bytes:
    try:
        with path.open("rb") as file:
            content = file.read(limits.size + 1)
    except FileNotFoundError:
        raise _refused(name, "no such file", "a file that can be read", "check the name and the folder") from None
    except IsADirectoryError:
        raise _refused(name, "a folder", "a file", "name the file inside the folder") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise _refused(name, f"a file that cannot be opened: {reason}", "a file that can be read", "") from None
    if len(content) > limits.size:
        raise _too_large(name, limits)
    return content


def _decoded(name: str, content: bytes) -> str:
    for mark, encoding in _OTHER_ENCODINGS:
        if content.startswith(mark):
            raise _refused(name, f"text encoded as {encoding}", "UTF-8", _SAVE_AS, line=1)
    if content.startswith(_ARCHIVE) and _OF_OFFICE in content:
        raise _refused(name, "a workbook or another office file", "text in UTF-8", _FROM_WORKBOOK)
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        found = f"the byte 0x{content[error.start]:02X}, which is not UTF-8"
        raise _refused(name, found, "text encoded as UTF-8", _SAVE_AS, line=line) from None


def _tell_unprintable(text: str, reading: Reading) -> None:
    if text.count("\x00") * 4 > len(text):
        reading.fault(1, (), "many NUL bytes: this is not text, or not UTF-8", "UTF-8", _SAVE_AS)
        return
    for line, content in enumerate(re.split(r"\r\n|\r|\n", text), start=1):
        match = _UNPRINTABLE.search(content)
        if match:
            found = f"the unprintable character U+{ord(match[0]):04X} in column {match.start() + 1}"
            reading.fault(line, (), found, "printable characters, tabs and line ends", "delete it")


def _too_large(name: str, limits: Limits) -> InvalidInput:
    found = f"a file of more than {limits.size:,} bytes"
    return _refused(name, found, f"at most {limits.size:,} bytes", "keep long series in files of their own")


def _refused(name: str, found: str, allowed: str, advice: str, line: int | None = None) -> InvalidInput:
    return InvalidInput([Problem(name, line, "", found, allowed, advice)])
