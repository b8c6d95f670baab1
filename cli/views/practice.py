"""A practice session in the terminal: brief, catalogue, answers, what was seen so far. User text is shown as text."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from cli.interview.understanding import choices
from cli.practising.understanding import HOW
from cli.views.page import Page
from cli.views.phrases import list_words, sentence_case
from engine.explaining.wording import value_words
from engine.practising.asking import Reply
from engine.practising.costs import Cost, cost
from engine.practising.exercise import Exercise, given
from engine.practising.measuring import instruments
from engine.practising.pieces import facts_of
from engine.practising.record import Entry
from engine.rulebook import Rulebook
from engine.rulebook.models import Question

EFFORTS = ("ask", "look", "meter", "climb", "open-up", "laboratory")
EFFORT_WORDS = {
    "ask": "ask the occupant or owner",
    "look": "look",
    "meter": "measure or test",
    "climb": "climb",
    "open-up": "open up",
    "laboratory": "laboratory",
}

HELP = (
    "Ask for evidence by its name or words from it: tide line, gutter, black mould. The answer comes from the case; "
    "what nobody recorded is not known.",
    "catalogue: what there is, by topic. catalogue rain, catalogue look, catalogue chimney: what belongs to a topic, "
    "takes that effort, or has the word. A number takes it from the list shown last, several numbers take several.",
    *(text for text in HOW.values()),
    "how NAME: how one looks or asks, for nothing.",
    "view bridged-dpc 60, humid-air 20: note what you think at this moment and how sure you are.",
    "seen: everything found so far and what it cost. brief: the brief again.",
    "conclude: the cause or causes with how sure, timber, next steps, cautions; then the review.",
    "leave: go; everything is saved, and practise goes on from here.",
)


def show_brief(exercise: Exercise, rulebook: Rulebook, number: int, page: Page) -> None:
    """What a trainee is told before anything is asked for."""
    kind = "a synthetic case, made by the program" if exercise.source.kind == "new" else "an invented case"
    page.line(f"Exercise {number}{f', {kind}' if exercise.invented else ''}.")
    page.line()
    page.line(f"{sentence_case(exercise.case.dwelling.title)}. In question: {exercise.area.title}.")
    commission = exercise.case.commission
    if commission is not None and commission.brief:
        page.line(commission.brief)
    known = {piece[1] for piece in given(exercise, rulebook)}
    for _, fact, _ in facts_of(exercise.case, exercise.area):
        if fact.attribute in known:
            known.discard(fact.attribute)
            said = value_words(rulebook, fact.attribute, fact.value)
            page.bullet(f"{rulebook.title(fact.attribute)}: {said}")
    days = list_words([exercise.day(visit.id) for visit in exercise.case.visits])
    page.bullet(f"visited on {days}")
    carried = [f"{one.id} ({one.mode.replace('-', ' ')})" for one in instruments(exercise)]
    page.bullet(f"instruments: {list_words(carried) or 'none'}")
    for surface in exercise.area.surfaces:
        size = f"{surface.width_mm:g} × {surface.height_mm:g} mm"
        title = f"{surface.title} " if surface.title else ""
        page.bullet(f"{title}({surface.id}): {size}, {surface.material.replace('-', ' ')}")
    page.line()
    page.line("Find out what is the matter. help shows what can be typed; every answer is saved at once.")


def show_reply(found: Reply, page: Page) -> None:
    """An answer with what it cost."""
    page.line(f"{sentence_case(found.title)}:", indent=3)
    for line in found.lines:
        page.bullet(line, 3)
    if found.pieces:
        page.line(found.cost.words(), indent=5)


def show_catalogue(rulebook: Rulebook, words: str, page: Page) -> tuple[str, ...]:
    """What can be asked for: topics, or the questions of a topic, an effort or a word, numbered; these are returned."""
    said = "-".join(words.lower().split())
    if not said:
        _topics(rulebook, page)
        return ()
    names = [question.id for question in rulebook.questions.values() if _about(question, said, rulebook)]
    if not names:
        page.line(f"Nothing in the catalogue is about {words!r}. catalogue alone shows the topics.", indent=3)
        return ()
    place = 0
    listed: list[str] = []
    for effort in EFFORTS:
        mine = [name for name in names if rulebook.questions[name].effort == effort]
        if mine:
            page.line(f"{sentence_case(EFFORT_WORDS[effort])}, {cost(rulebook, effort).words()} each:", indent=3)
        for name in mine:
            place += 1
            listed.append(name)
            page.line(f"{place} {rulebook.title(name)}", indent=5, hanging=3)
    return tuple(listed)


def _about(question: Question, said: str, rulebook: Rulebook) -> bool:
    if said in rulebook.topics or said in EFFORTS:
        return said in (question.topic, question.effort)
    words = said.split("-")
    text = f"{question.id} {question.title} {question.prompt}".lower()
    return all(word in text for word in words)


def _topics(rulebook: Rulebook, page: Page) -> None:
    page.line("Questions, by topic:", indent=3)
    for topic in rulebook.topics.values():
        count = sum(question.topic == topic.id for question in rulebook.questions.values())
        if count:
            page.bullet(f"{topic.id}: {topic.title}, {count}", 5)
    page.line("By effort, each with what it costs:", indent=3)
    for effort in EFFORTS:
        page.bullet(f"{effort}: {EFFORT_WORDS[effort]}, {cost(rulebook, effort).words()}", 5)
    page.line("Measurements:", indent=3)
    for text in HOW.values():
        page.bullet(text, 5)


def show_choices(names: Sequence[str], rulebook: Rulebook, page: Page, more: int = 0) -> None:
    """Questions that a text could mean, numbered, and how many more it could mean."""
    page.line("Which of these? A number takes it.", indent=3)
    for place, name in enumerate(names, start=1):
        question = rulebook.questions[name]
        page.line(f"{place} {question.title} ({cost(rulebook, question.effort).words()})", indent=5, hanging=3)
    if more > 0:
        page.line(f"and {more} more; type more of it, or catalogue and the word", indent=5)


def show_how(question: Question, page: Page) -> None:
    """How one looks or asks, and which answers there are."""
    page.line(question.prompt, indent=3)
    page.line(question.how, indent=3)
    offered = [title for _, title in choices(question)]
    if question.kind == "choice":
        page.line(f"Answers: {'; '.join(offered)}.", indent=3)


def show_seen(entries: Iterable[Entry], spent: Cost, page: Page) -> None:
    """Everything asked so far with its answers and what it cost together."""
    shown = 0
    for entry in entries:
        if entry.kind == "asked":
            shown += 1
            title, lines = entry.data["title"], entry.data["lines"]
            page.bullet(f"{title}: {lines[0]}" if len(lines) == 1 else f"{title}:", 3)
            for line in lines if len(lines) > 1 else ():
                page.line(line, indent=7)
        elif entry.kind == "view":
            page.bullet(f"your view: {stated_words(entry.data['causes'])}", 3)
    page.line(f"Spent: {spent.words()}." if shown else "Nothing is asked for yet.", indent=3)


def stated_words(causes: Mapping[str, float]) -> str:
    """Causes with how sure, as they read."""
    return "; ".join(f"{name} {100 * probability:.0f} %" for name, probability in causes.items()) or "nothing"


def show_records(titles: Mapping[str, str], page: Page) -> None:
    """Ids with titles, to choose from."""
    for name, title in titles.items():
        page.line(f"{name}: {title}", indent=3, hanging=2)


def show_help(page: Page) -> None:
    """What can be typed at a prompt."""
    for line in HELP:
        page.bullet(line)
