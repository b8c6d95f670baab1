"""Cases for reports: one that holds everything that a report asks for, one that holds next to nothing, hostile texts.

All of it is invented.
"""

from __future__ import annotations

import copy
import io
import json
import types
import typing
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import annotated_types
import pydantic
from PIL import Image

from engine.case.models import Case
from engine.documents import read_document

ROOT = Path(__file__).resolve().parents[1]
DEMO = ROOT / "casebook" / "demo" / "raised-path.yaml"


def full_data() -> dict[str, Any]:
    """The demonstration, with commission, people, history, photographs and a signed conclusion added."""
    data = copy.deepcopy(read_document(DEMO).data)
    data.pop("key", None)
    data["commission"] = {
        "client": "Ada Client",
        "brief": "Say why the back room is damp, before works are ordered.",
        "inspector": "Ines Inspector",
        "qualifications": "invented chartered surveyor",
        "interests": "none; sells no works",
        "reported_on": date(2026, 3, 2),
        "investigation_finished_on": date(2026, 3, 20),
    }
    dwelling = data["dwelling"]
    dwelling["address"] = "1 Invented Row"
    dwelling["facts"] += [
        {"attribute": "heritage-protected", "value": "no", "basis": "seen"},
        {"attribute": "vulnerable-occupant", "value": "yes", "basis": "told", "by": "occupant"},
        {"attribute": "ventilation", "value": "neither", "basis": "seen"},
        {"attribute": "occupied", "value": "occupied", "basis": "seen"},
    ]
    area = data["areas"][0]
    area["facts"] += [
        {"attribute": "alterations", "value": "none-known", "basis": "seen"},
        {"attribute": "whole-elevation-read", "value": "yes", "basis": "measured"},
        {
            "attribute": "onset",
            "value": "over-seasons",
            "basis": "told",
            "by": "occupant",
            "note": "since the path was laid",
        },
        {"attribute": "roof-defect-in-line", "value": "no", "basis": "seen"},
        {"attribute": "decay-found", "value": "no", "basis": "seen"},
    ]
    area["photographs"] = [
        {
            "file": "garden-wall.png",
            "caption": "Garden wall from the left",
            "alt": "a tide line",
            "surface": "garden-wall",
        },
    ]
    area["loggers"] = [{"id": "room", "kind": "room-air", "file": "room.csv", "place": "back room"}]
    area["conclusion"] = {
        "causes": ["bridged-dpc"],
        "sureness": "fairly-sure",
        "blind": True,
        "statement": "The path bridges the slate course.",
        "signed_by": "Ines Inspector",
        "signed_on": date(2026, 3, 20),
    }
    return data


def thin_data() -> dict[str, Any]:
    """A dwelling, a day and a place, and nothing else."""
    return {
        "format": 1,
        "id": "thin",
        "title": "A thin case",
        "invented": True,
        "dwelling": {"title": "invented house"},
        "visits": [{"id": "first", "on": date(2026, 1, 5)}],
        "areas": [{"id": "room", "title": "Room"}],
    }


PAYLOAD = (
    "<script>alert(1)</script> <img src=x onerror=alert(1)> </td></table><h1>H</h1> &lt;b&gt; {{ 7*7 }} {% raw %}"
    " =2+5|cmd '!A0 **bold** [link](javascript:alert(1)) ![i](http://example.invalid/i.png) | `code` \\ ]]> <!-- -->"
    " \u05d0\u05d1\u200f\u061c https://example.invalid/ @someone #1"
)
"""Text that every format could take for something else; no character that the reader of cases refuses."""


def hostile_data(longest: int = 20_000) -> tuple[dict[str, Any], list[str]]:
    """The full case with a hostile text in every free-text field, and the marks by which each is known again.

    A field that takes much text is filled up to ``longest``. KeyError names a field that the full case does not hold.
    """
    data = full_data()
    data["note"] = data["dwelling"]["note"] = "note"
    data["dwelling"]["not_inspected"] = [{"what": "the drain", "why": "no cover found"}]
    data["visits"][0]["note"] = "note"
    data["visits"][0]["facts"][0].update({"by": "surveyor", "note": "note"})
    data["visits"][0]["instruments"][0].update({"serial": "1", "note": "note"})
    area = data["areas"][0]
    area["note"] = "note"
    wall = area["surfaces"][0]
    wall["note"] = "note"
    wall["facts"] = [
        {"attribute": "surface-finish", "value": "vinyl-paint", "basis": "seen", "by": "surveyor", "note": "note"}
    ]
    wall["features"][0]["note"] = "note"
    wall["readings"][0]["note"] = "note"
    area["air"][0]["place"] = area["surface_temperatures"][0]["place"] = "place"
    area["samples"][0]["note"] = area["timber"][0]["note"] = "note"
    area["conclusion"].update({"causes": ["ground-rise"], "reason_for_difference": "reason"})
    marks = []
    for number, (path, most) in enumerate(text_fields()):
        names = [name for name in path if not name[0].isupper()]
        if names[0] == "key" or names[-1] == "file":
            continue
        mark = f"Q{number}Q"
        text = f"{mark} {PAYLOAD}"
        text = (text if most <= 300 else (f"{text}\n\n- {text} " * 60))[: min(most, longest)].strip()
        if _fill(data, names, text) == 0:
            raise KeyError(".".join(names))
        marks.append(mark)
    return data, marks


def _fill(at: Any, names: list[str], text: str) -> int:
    """Put a text into every place of a path that is there; how many there were."""
    if isinstance(at, list):
        return sum(_fill(item, names, text) for item in at)
    if len(names) == 1:
        held = isinstance(at, dict) and names[0] in at
        if held:
            at[names[0]] = text
        return int(held)
    return _fill(at[names[0]], names[1:], text) if isinstance(at, dict) and names[0] in at else 0


def write(data: dict[str, Any], folder: Path, name: str = "case.json") -> Path:
    """The case as a file in a folder, with the photograph and the logger's file that the full case names."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / name
    path.write_text(json.dumps(data, ensure_ascii=False, indent=1, default=str), encoding="utf-8")
    (folder / "garden-wall.png").write_bytes(picture())
    hours = "".join(f"2026-03-{day:02d} {hour:02d}:00,19.5,52\n" for day in range(1, 9) for hour in range(24))
    (folder / "room.csv").write_text(f"time,temperature_c,humidity_percent\n{hours}", encoding="utf-8")
    return path


def picture() -> bytes:
    """A small picture."""
    out = io.BytesIO()
    Image.new("RGB", (60, 40), (90, 110, 140)).save(out, "PNG")
    return out.getvalue()


def text_fields(
    model: type[pydantic.BaseModel] = Case, path: tuple[str, ...] = ()
) -> Iterator[tuple[tuple[str, ...], int]]:
    """Every free-text field of the case format: its path, and how many characters it may hold.

    Found from the model itself, so that a field added to the format is tried as well. Free is a text that no pattern
    and no list of words binds.
    """
    for name, field in model.model_fields.items():
        for inner in _unpacked(field.annotation, list(field.metadata)):
            kind, metadata = inner
            if isinstance(kind, type) and issubclass(kind, pydantic.BaseModel):
                if kind.__name__ not in path:
                    yield from text_fields(kind, (*path, name, kind.__name__))
            elif kind is str:
                rules = [rule for one in metadata for rule in _grouped(one)]
                if not any(getattr(rule, "pattern", None) for rule in rules):
                    yield (*path, name), max((rule.max_length for rule in rules if _bounds(rule)), default=300)


def _bounds(rule: Any) -> bool:
    return getattr(rule, "max_length", None) is not None


def _grouped(rule: Any) -> list[Any]:
    return list(rule) if isinstance(rule, annotated_types.GroupedMetadata) else [rule]


def _unpacked(annotation: Any, metadata: list[Any]) -> Iterator[tuple[Any, list[Any]]]:
    """The kinds within an annotation, each with the constraints on it."""
    origin = typing.get_origin(annotation)
    if origin is typing.Annotated:
        kind, *more = typing.get_args(annotation)
        yield from _unpacked(kind, [*metadata, *more])
    elif origin in (typing.Union, types.UnionType, tuple, list):
        for inner in typing.get_args(annotation):
            yield from _unpacked(inner, [] if origin in (tuple, list) else metadata)
    else:
        yield annotation, metadata
