"""A record as text for other programs: everything as JSON, or a row for each exercise as CSV."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import asdict

from engine.practising.record import Record

_FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""Beginnings of a text that a spreadsheet would reckon with; such a text is quoted with an apostrophe."""
COLUMNS = (
    "exercise",
    "begun",
    "concluded",
    "source",
    "case",
    "area",
    "title",
    "invented",
    "items",
    "minutes",
    "pounds",
    "stated",
    "truth",
    "verdict",
    "brier",
    "cautions_missed",
)


def record_json(record: Record) -> str:
    """Everything in the record, in the order in which it came about."""
    topics = record.topics()
    data = {
        "format": 1,
        "exercises": [
            {
                **asdict(one),
                "topics": list(topics.get(one.number, ())),
                "entries": [asdict(entry) for entry in record.entries(one.number)],
                "forecasts": [asdict(item) for item in record.forecasts() if item.exercise == one.number],
            }
            for one in record.exercises()
        ],
    }
    return json.dumps(data, ensure_ascii=False, indent=2) + "\n"


def record_csv(record: Record) -> str:
    """A row for each exercise; no cell is a formula."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for one in record.exercises():
        entries = record.entries(one.number)
        review = one.review or {}
        stated: dict[str, float] = next(
            (entry.data["value"] for entry in reversed(entries) if entry.kind == "causes"), {}
        )
        row = (
            one.number,
            one.begun,
            one.concluded or "",
            one.source.kind,
            one.source.name,
            one.area,
            one.title,
            "yes" if one.invented else "no",
            sum(entry.kind == "asked" for entry in entries),
            f"{sum(entry.cost.minutes for entry in entries):g}",
            f"{sum(entry.cost.pounds for entry in entries):g}",
            "; ".join(f"{cause} {probability:g}" for cause, probability in stated.items()),
            "; ".join(review.get("truth", ())),
            review.get("verdict", ""),
            f"{review['brier']:g}" if review else "",
            len(review["safety"]["missed"]) if review else "",
        )
        writer.writerow([_plain(cell) for cell in row])
    return out.getvalue()


def _plain(cell: object) -> object:
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(_FORMULA) else cell
