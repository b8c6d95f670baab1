"""The conclusion, asked for part by part; each part is on the disk before the next is asked for."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, get_args

from cli.exits import DONE, PARTLY
from cli.practising.understanding import (
    ALIASES,
    NOTHING_WORDS,
    Misunderstood,
    causes_stated,
    records_named,
)
from cli.views import practice as view
from engine.case.words import TimberState
from engine.challenging.auditing import NOTHING

if TYPE_CHECKING:
    from cli.practising.loop import Rehearsal
    from engine.rulebook import Rulebook

BACK = -1
"""What is returned instead of an exit code by whoever wants more evidence first."""

ASKED = {
    "causes": "Which cause or causes, each with how sure you are in percent? list shows them; none 80 means that "
    "nothing wets it now. Several may be at work at once, so the figures need not add up to 100. From here on no more "
    "evidence is asked for; back returns to it.",
    "timber": "How does timber stand? list shows the words.",
    "steps": "What should happen next? Names with commas between; list WORD finds them. Enter for nothing.",
    "cautions": "Which cautions does this place call for? Names with commas between; list shows them. Enter for none.",
}


def conclude(rehearsal: Rehearsal) -> int | None:
    """Ask for what the conclusion still lacks; None once it is whole, else BACK or the exit code of leaving."""
    practice, page = rehearsal.practice, rehearsal.page
    while (part := practice.wanting) is not None:
        page.line()
        page.line(ASKED[part])
        while True:
            line = rehearsal.lines.next("> ")
            if line is None:
                return PARTLY
            said = " ".join(line.split())
            word, _, rest = said.partition(" ")
            if ALIASES.get(word.lower(), word.lower()) == "leave" and not rest:
                return DONE
            if part == "causes" and said.lower() == "back":
                return BACK
            if word.lower() in ("list", "catalogue", "help", "?"):
                view.show_records(_offered(practice.rulebook, part, rest), page)
                continue
            meant = _meant(part, said, practice.rulebook)
            if not isinstance(meant, Misunderstood):
                practice.conclude(part, said, meant)
                page.line(f"Taken: {_taken(part, meant, practice.rulebook)}.", indent=3)
                break
            page.line(meant.message, indent=3)
    return None


def _taken(part: str, meant: Mapping[str, float] | tuple[str, ...], rulebook: Rulebook) -> str:
    """What was understood, so that a slip shows."""
    if isinstance(meant, Mapping):
        return view.stated_words(meant)
    offered = _offered(rulebook, part, "")
    return "; ".join(offered[name] for name in meant) or "nothing"


def _meant(part: str, said: str, rulebook: Rulebook) -> Mapping[str, float] | tuple[str, ...] | Misunderstood:
    if part == "causes":
        return causes_stated(said, rulebook, "list")
    offered = _offered(rulebook, part, "")
    found = records_named(
        said, offered, *{"timber": ("state", "states"), "steps": ("step", "steps")}.get(part, ("caution", "cautions"))
    )
    if part == "timber" and not isinstance(found, Misunderstood) and len(found) != 1:
        return Misunderstood(f"Say one of {', '.join(offered)}.")
    return found


def _offered(rulebook: Rulebook, part: str, words: str) -> dict[str, str]:
    """What can be named in a part of the conclusion, by id with its title; narrowed to the words."""
    if part == "timber":
        return {state: state.replace("-", " ") for state in get_args(TimberState)}
    records: Mapping[str, object] = {"causes": rulebook.causes, "steps": rulebook.steps}.get(part, rulebook.cautions)
    titles = {name: rulebook.title(name) for name in records}
    if part == "causes":
        titles[NOTHING] = f"nothing wets it now (also: {NOTHING_WORDS[0]})"
    wanted = words.lower().split()
    return {name: title for name, title in titles.items() if all(word in f"{name} {title}".lower() for word in wanted)}
