"""An answerer for interviews: knows a case, answers what its facts say, *unknown* to the rest, and types commands."""

from __future__ import annotations

import json
import re
import sys
from datetime import datetime
from pathlib import Path

from cli.interview.loop import Interview
from cli.views.console import results
from cli.views.page import Page
from engine.case.models import Case
from engine.case.store import Store
from engine.case.writing import write_case
from engine.inquiry.session import Session


def clock():
    """The same moment at every call."""
    return datetime(2026, 3, 12, 9, 30)


def without_answers(case: Case, rulebook) -> Case:
    """The case with its readings, air and samples, but without the facts that a person answers, and without its key."""

    def kept(facts):
        return [fact for fact in facts if fact["attribute"] not in rulebook.questions]

    data = case.model_dump(mode="json", exclude_none=True)
    data.pop("key", None)
    for place in (data["dwelling"], *data["visits"], *data["areas"]):
        place["facts"] = kept(place["facts"])
    for area in data["areas"]:
        for surface in area["surfaces"]:
            surface["facts"] = kept(surface["facts"])
    return Case.model_validate_json(json.dumps(data))


def answers_of(case: Case) -> dict[str, str]:
    """What the answerer would type for every attribute that the case knows; of several the last."""
    found = {}
    places = [case.dwelling, *case.visits]
    places += [place for area in case.areas for place in (*area.surfaces, area)]
    for place in places:
        for fact in place.facts:
            said = f"{fact.value:g}" if isinstance(fact.value, float) else str(fact.value)
            how = "" if fact.sureness == "certain" else f", {fact.sureness.replace('-', ' ')}"
            found[fact.attribute] = said + how
    return found


class Player:
    """Stands in for the lines of a terminal: commands planned for a prompt first, then the answer."""

    typed = False

    def __init__(self, answers: dict[str, str], planned: dict[int, list[str]] | None = None) -> None:
        self.answers, self.planned = answers, {place: list(lines) for place, lines in (planned or {}).items()}
        self.interview: Interview | None = None
        self.read = 0

    def next(self, prompt: str = "> ") -> str | None:
        """The next line, shown after its prompt."""
        assert self.interview is not None
        current = self.interview.current
        planned = self.planned.get(self.interview.numbers.get(current, 0))
        line = planned.pop(0) if planned else self.answers.get(current, "unknown")
        self.read += 1
        sys.stdout.write(f"{prompt}{line}\n")
        return line


def begun(path: Path, case: Case, rulebook) -> Path:
    """A file with the case, without answers."""
    path.write_text(write_case(without_answers(case, rulebook)), encoding="utf-8")
    return path


def opened(path: Path, reasoner, player, *, depth="full", area=None) -> tuple[Store, Interview]:
    """An interview on a case file, ready to run; the store must be closed by the caller."""
    store = Store(path, reasoner.rulebook, "inspector", clock)
    session = Session(store, reasoner, area or store.case.areas[0].id, store.case.visits[-1].id, depth)
    interview = Interview(session, player, Page(results(plain=True)), f"dampwright ask {path.name}")
    player.interview = interview
    return store, interview


def plain(text: str) -> str:
    """A transcript without the blanks that end its lines."""
    return re.sub(r"[ \t]+$", "", text, flags=re.MULTILINE)
