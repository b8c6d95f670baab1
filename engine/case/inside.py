"""Files beside a case: what their names may be, and where they lie inside the case's own folder."""

from __future__ import annotations

import re
from pathlib import Path

from engine.errors import InvalidInput, Problem
from engine.reading import shown

_DRIVE = re.compile(r"[A-Za-z]:")
_FORBIDDEN = re.compile(r'[<>:"|?*\\]')
_RESERVED = re.compile(r"(con|prn|aux|nul|conin\$|conout\$|com[0-9¹²³]|lpt[0-9¹²³])(\..*)?", re.IGNORECASE)
"""Names that Windows keeps for devices, with any ending."""

ALLOWED = "a path inside the case's own folder, with / between its parts, such as photographs/north-wall.jpg"


def path_fault(name: str) -> str | None:
    """Why a file name could lead out of the case's folder or fail on another system; None when it cannot."""
    if name.startswith(("/", "\\", "~")) or _DRIVE.match(name):
        return "which does not start in the case's folder"
    parts = name.split("/")
    if ".." in parts:
        return "which leads out of a folder"
    if _FORBIDDEN.search(name):
        return f"which has the character {_FORBIDDEN.findall(name)[0]}"
    for part in parts:
        if part in ("", ".") or part != part.strip() or part.endswith("."):
            return "which has an empty part, or one that begins or ends with a space or a dot"
        if _RESERVED.fullmatch(part):
            return f"in which Windows keeps {shown(part)} for a device"
    return None


def inside(folder: Path, name: str) -> Path:
    """Where a file of a case lies, links followed; InvalidInput for a name or a link that leads out of its folder."""
    fault = path_fault(name)
    home = folder.resolve()
    if fault is None:
        try:
            path = (home / name).resolve()
        except (OSError, RuntimeError, ValueError):  # a link in a circle
            fault = "which is a link that leads nowhere"
        else:
            if path.is_relative_to(home):
                return path
            fault = "which is a link that leads out of the case's folder"
    raise InvalidInput([Problem(name, None, "file", f"{shown(name)}, {fault}", ALLOWED)])
