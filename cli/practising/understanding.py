"""What a typed line asks for in a practice session: evidence, a view, a command, or nothing that can be understood."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from engine.case.numerals import NotANumber
from engine.challenging.auditing import NOTHING
from engine.errors import nearest
from engine.inquiry.quantities import quantity
from engine.practising.asking import MEASUREMENTS, Request
from engine.rulebook import Rulebook

COMMANDS = ("catalogue", "how", "view", "seen", "brief", "conclude", "leave", "help")
ALIASES = {
    "list": "catalogue",
    "?": "help",
    "save": "leave",
    "stop": "leave",
    "quit": "leave",
    "exit": "leave",
    "sample": "samples",
    "logger": "loggers",
    "surfaces": "surface",
}
NOTHING_WORDS = ("none", "nothing", "dry", "no active damp")
MOST_CHOICES = 12
"""How many things that a text could mean are listed."""
_AT = re.compile(r"\bat\s+(?P<x>[-0-9.,]+\s*(?:mm|cm|m)?)(?=\s|$)", re.IGNORECASE)
_ON = re.compile(r"\bon\s+(?P<surface>.+)$", re.IGNORECASE)
_STATED = re.compile(r"^(?P<name>.+?)[\s:=]+(?P<percent>[0-9]+(?:[.,][0-9]+)?)\s*(?:%|percent)?$")

HOW = {
    "press": "press pins 75 300 500 at 1500: those heights, at that distance from the left, in mm. press pins at 1500 "
    "takes the whole column, press pins 75 along the whole row; on NAME says which surface.",
    "dry": "dry pins: what the instrument reads on a dry place of the same material.",
    "check": "check pins: how the instrument reads on its reference.",
    "plan": "plan: the surface measured up, with what is on, in and behind it; plan NAME where there are several.",
    "air": "air: temperature and humidity of the room, and of outside.",
    "surface": "surface: the temperature of the surface.",
    "samples": "samples: drilled samples, weighed as found, at 75 % humidity and dry.",
    "timber": "timber: readings in timber; timber NAME for one piece.",
    "loggers": "loggers: what was logged over weeks.",
}


@dataclass(frozen=True, slots=True)
class Asked:
    """Evidence that a line asks for."""

    requests: tuple[Request, ...]


@dataclass(frozen=True, slots=True)
class Command:
    """A command with what follows it."""

    name: str
    rest: str = ""


@dataclass(frozen=True, slots=True)
class Choose:
    """Questions that a text could mean, the first of them, and how many more there are."""

    questions: tuple[str, ...]
    more: int = 0


@dataclass(frozen=True, slots=True)
class Misunderstood:
    """A line that is nothing of all this, and what to do."""

    message: str


Meant = Asked | Command | Choose | Misunderstood


def understand(line: str, rulebook: Rulebook, listed: tuple[str, ...]) -> Meant:
    """What a line means; ``listed`` are the questions shown last, which their numbers stand for."""
    text = " ".join(line.split()).removeprefix(":").strip()
    word, _, rest = text.partition(" ")
    word = ALIASES.get(word.lower(), word.lower())
    if word in COMMANDS:
        return Command(word, rest)
    if word in MEASUREMENTS and (word not in ("air", "surface", "samples", "loggers") or not rest):
        return _measurement(word, rest)
    numbers = re.findall(r"[0-9]+", text)
    if numbers and re.fullmatch(r"[0-9]+(?:[\s,]+[0-9]+)*", text):
        places = [int(number) for number in numbers if len(number) < 4]
        if not listed:
            return Misunderstood("Nothing is listed yet; catalogue lists what can be asked for.")
        if len(places) < len(numbers) or not all(1 <= place <= len(listed) for place in places):
            return Misunderstood(f"The list above goes from 1 to {len(listed)}.")
        return Asked(tuple(Request("question", listed[place - 1]) for place in places))
    found = questions_named(text, rulebook)
    if len(found) == 1:
        return Asked((Request("question", found[0]),))
    if found:
        return Choose(found[:MOST_CHOICES], len(found) - MOST_CHOICES)
    close = nearest(word, [*COMMANDS, *MEASUREMENTS])
    hint = f" Did you mean {close}?" if close else " catalogue WORD lists what there is about something."
    return Misunderstood(f"Nothing that can be asked for has these words: {_short(text)}.{hint}")


def _measurement(word: str, rest: str) -> Asked | Misunderstood:
    if word == "press":
        return _press(rest)
    if word in ("dry", "check") and not rest:
        return Misunderstood(HOW[word])
    place = _ON.search(f" {rest}") if word == "dry" else None
    if place:
        name = rest[: rest.lower().rindex("on ")].strip()
        return Asked((Request(word, name, place["surface"].strip()),))
    return Asked((Request(word, rest if word in ("dry", "check", "timber") else "", rest if word == "plan" else ""),))


def _press(rest: str) -> Asked | Misunderstood:
    on = _ON.search(rest)
    surface, text = ("", rest) if on is None else (on["surface"].strip(), rest[: on.start()].strip())
    at = _AT.search(text)
    try:
        x = None if at is None else quantity(at["x"], "mm").value
        words = (text if at is None else f"{text[: at.start()]} {text[at.end() :]}").split()
        along = bool(words) and words[-1].lower() == "along"
        name, *heights = words[:-1] if along else words or [""]
        heights = [part for height in heights for part in height.split(",") if part]
        taken = tuple(quantity(height, "mm").value for height in heights)
    except NotANumber as fault:
        return Misunderstood(f"Found {fault.found}: {fault.advice}. {HOW['press']}")
    if not name or (x is None and len(taken) != 1) or (along and x is not None):
        return Misunderstood(HOW["press"])
    return Asked((Request("press", name, surface, x, taken),))


def questions_named(text: str, rulebook: Rulebook) -> tuple[str, ...]:
    """The questions that a text means: one by its id or title, else all in which each of its words stands."""
    said = text.lower()
    questions = rulebook.questions
    if "-".join(said.split()) in questions:
        return ("-".join(said.split()),)
    titled = tuple(question.id for question in questions.values() if question.title.lower() == said)
    return titled or _holding(said, {one.id: f"{one.title} {one.prompt}" for one in questions.values()})


def matching(said: str, titles: Mapping[str, str]) -> tuple[str, ...]:
    """The one id or title that is the text, or the one id that begins with it; else all that hold each of its words."""
    lowered = " ".join(said.lower().split())
    exact = tuple(name for name, title in titles.items() if lowered in (name, title.lower()))
    begun = tuple(name for name in titles if lowered and name.startswith(lowered.replace(" ", "-")))
    if len(exact or begun) == 1:
        return exact or begun
    return tuple(dict.fromkeys((*begun, *_holding(lowered, titles))))


def _holding(said: str, texts: Mapping[str, str]) -> tuple[str, ...]:
    """The ids in whose id or text every word of what was said begins a word."""
    words = re.findall(r"[\w]+", said)
    return tuple(name for name, text in texts.items() if words and _all_begin(words, f"{name} {text}"))


def _all_begin(words: Iterable[str], text: str) -> bool:
    parts = re.findall(r"[\w]+", text.lower())
    return all(any(part.startswith(word) for part in parts) for word in words)


def causes_stated(text: str, rulebook: Rulebook, listing: str) -> dict[str, float] | Misunderstood:
    """Causes with how sure, as typed: `bridged-dpc 70, humid 20 %`; `none 80` where nothing wets the place.

    ``listing`` is what shows the causes.
    """
    titles = {cause.id: cause.title for cause in rulebook.causes.values()}
    found: dict[str, float] = {}
    for part in (part.strip() for part in re.split(r"[,;](?!\d)", text)):
        stated = _STATED.match(part)
        if stated is None:
            how = "name a cause and how sure you are in percent, such as ground-rise 40"
            return Misunderstood(f"Found {_short(part) or 'nothing'}: {how}.")
        percent = float(stated["percent"].replace(",", "."))
        if percent > 100:
            return Misunderstood(f"Found {percent:g} %: how sure you are goes from 0 to 100 %.")
        name = stated["name"].strip().lower()
        names = (NOTHING,) if name in (*NOTHING_WORDS, NOTHING) else matching(name, titles)
        if len(names) != 1:
            return Misunderstood(unclear(name, names, titles, "cause", f"{listing} shows the causes"))
        if names[0] in found:
            return Misunderstood(f"{names[0]} is named twice.")
        found[names[0]] = percent / 100
    if NOTHING in found and any(
        rulebook.causes[c].kind == "wetting" and found[c] + found[NOTHING] > 1 for c in found if c != NOTHING
    ):
        return Misunderstood("Together with a cause that wets it, nothing wets it cannot add up to more than 100 %.")
    return found


def records_named(text: str, titles: Mapping[str, str], one: str, many: str) -> tuple[str, ...] | Misunderstood:
    """The records that a list with commas names, each once; none for an empty line or `none`."""
    if text.strip().lower() in ("", "none", "nothing", "-"):
        return ()
    found = []
    for part in (part.strip() for part in re.split(r"[,;]", text)):
        if not part:
            continue
        names = matching(part, titles)
        if len(names) != 1:
            return Misunderstood(unclear(part, names, titles, one, f"list shows the {many}"))
        found.append(names[0])
    return tuple(dict.fromkeys(found))


def unclear(said: str, names: tuple[str, ...], titles: Mapping[str, str], one: str, otherwise: str) -> str:
    """What to say of a name that means nothing or several things."""
    if names:
        return f"{_short(said)} could be {', '.join(names[:MOST_CHOICES])}. Type more of it."
    close = nearest(said.replace(" ", "-")[:64], titles)
    return f"There is no {one} {_short(said)}.{f' Did you mean {close}?' if close else f' {otherwise}.'}"


def _short(text: str) -> str:
    return repr(text if len(text) <= 60 else f"{text[:57]}...")
