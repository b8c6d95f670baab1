"""The few things that a new case needs before the first question."""

from __future__ import annotations

import re
from datetime import date

from cli.interview.lines import Lines
from cli.views.page import Page
from engine.case.models import Case
from engine.case.writing import write_case

NEEDED = ("what the case is about", "the dwelling", "the day of the visit", "the damp place")


def new_case(lines: Lines, page: Page, today: date) -> str | None:
    """The text of a new case, asked for; None when the lines end before."""
    page.line("A new case. Leave out names and addresses that it does not need.")
    title = _asked(lines, page, "What is it about? (such as: damp in the back room)")
    dwelling = title and _asked(lines, page, "Which dwelling? (such as: end of terrace, about 1895)")
    day = dwelling and _day(lines, page, today)
    place = day and _asked(lines, page, "Name the damp place. (such as: back room, garden wall)")
    if not (title and dwelling and day and place):
        return None
    places = [place]
    while more := (lines.next("Another damp place? (Enter if there is none) > ") or "").strip():
        places.append(more[:300])
    areas: list[dict[str, str]] = []
    for name in places:
        areas.append({"id": _free(slug(name, "area"), [area["id"] for area in areas]), "title": name})
    case = Case.model_validate(
        {
            "format": 1,
            "id": slug(title, "case"),
            "title": title,
            "dwelling": {"title": dwelling},
            "visits": ({"id": "first", "on": day},),
            "areas": tuple(areas),
        }
    )
    return write_case(case)


def _asked(lines: Lines, page: Page, question: str) -> str | None:
    page.line(question)
    while (line := lines.next()) is not None:
        text = "".join(sign for sign in line if sign.isprintable()).strip()
        if text:
            return text[:300]
        page.line("Something must stand here; it can be changed in the file later.")
    return None


def _day(lines: Lines, page: Page, today: date) -> date | None:
    page.line(f"On which day was the visit? (Enter = today, {today.isoformat()})")
    while (line := lines.next()) is not None:
        try:
            found = date.fromisoformat(line.strip()) if line.strip() else today
        except ValueError:
            page.line("Write the day as year-month-day, such as 2026-01-31.")
            continue
        if date(1900, 1, 1) <= found <= date(2199, 12, 31):
            return found
        page.line("Give a year from 1900 to 2199.")
    return None


def slug(text: str, otherwise: str) -> str:
    """An id made of a title's letters and figures."""
    return "-".join(re.findall(r"[a-z0-9]+", text.lower()))[:60].strip("-") or otherwise


def _free(name: str, taken: list[str]) -> str:
    number = 2
    found = name
    while found in taken:
        found, number = f"{name[:55]}-{number}", number + 1
    return found
