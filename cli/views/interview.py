"""A session in the terminal: prompts, reasons, lists, the picture so far. Numbered, append-only, user text as text."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from cli.interview.understanding import choices
from cli.views.page import Page
from cli.views.phrases import about, list_words
from engine.inquiry.agenda import Next
from engine.inquiry.applying import Standing
from engine.inquiry.reasons import Feeds
from engine.inquiry.session import Shift
from engine.inquiry.value import Worth
from engine.opinion.models import AreaOpinion
from engine.rulebook import Rulebook
from engine.rulebook.models import Question

WORTH_NAMING = 0.10
WORTH_SAYING = 0.03
"""A shift of belief smaller than this is called hardly any."""
MOST_CAUSES, MOST_RULES, MOST_TESTS, MOST_OPEN, SHORT_LINE = 6, 5, 3, 8, 60
PHASES = {
    "safety": "asked first because it is about safety",
    "excluding": "asked early because an answer may rule causes out",
    "weighing": "asked now because it tells most for the effort",
    "done": "",
}

HELP = (
    "Answer with a number, a letter, or the beginning of a word: 1, b, ye. A number may carry its unit: 300 mm, 0,3 m, "
    "300-450 mm, about 300.",
    "Add how sure you are: yes, fairly sure. Or: no, not sure. Or just: no?",
    "Add a note after a semicolon: yes; behind the door only.",
    "If there is no answer: unknown, not applicable, not inspected, later, none of these.",
    "why: what the answer would tell. Ask again for the reason behind it. how: how to look.",
    "back: the question before. change NAME: answer one again. list: what is answered and open.",
    "what if ANSWER: what it would change, without saving it. so far: the picture as it stands.",
    "note TEXT: keep a remark on this question. topics, open TOPIC: choose what to be asked; open any: stop that.",
    "readings, dry, air, surface: type in what was measured (each says how). area NAME: another place.",
    "save or stop: leave. Everything answered is saved already, and the session goes on from there.",
    "A colon makes a word a command even where it is an answer too: :stop.",
)


def show_question(number: int, question: Question, recorded: str | None, page: Page) -> None:
    """A question with its numbered answers, and what is recorded for it already."""
    page.line()
    page.line(f"{number}. {question.prompt}", hanging=3)
    offered = choices(question)
    if question.kind == "number":
        low, high = question.minimum, question.maximum
        span = f" from {low:g} to {high:g}" if low is not None and high is not None else ""
        page.line(f"a number{f' of {question.unit}' if question.unit else ''}{span}", indent=3)
    elif len("   ".join(title for _, title in offered)) <= SHORT_LINE:
        page.line("   ".join(f"{n} {title}" for n, (_, title) in enumerate(offered, start=1)), indent=3)
    else:
        for place, (_, title) in enumerate(offered, start=1):
            page.line(f"{place} {title}", indent=3, hanging=2)
    if recorded is not None:
        page.line(f"recorded: {recorded} (Enter keeps it)", indent=3)


def show_help(page: Page) -> None:
    """What can be typed at a prompt."""
    for line in HELP:
        page.bullet(line)


def show_why(
    question: Question,
    worth: Worth,
    beliefs: Mapping[str, float],
    titles: Mapping[str, str],
    feeds: Feeds,
    phase: str,
    page: Page,
) -> None:
    """What the answers would tell, and what they feed."""
    page.line(question.why, indent=3)
    if PHASES.get(phase):
        page.line(f"It is {PHASES[phase]}.", indent=3)
    words = dict(choices(question))
    for answer in worth.supposed if phase != "safety" else ():
        moved = [
            f"{titles[cause]} from {about(beliefs[cause])} to {about(belief)}"
            for cause, belief in sorted(
                answer.beliefs.items(), key=lambda pair: (-abs(pair[1] - beliefs[pair[0]]), pair[0])
            )
            if abs(belief - beliefs[cause]) >= WORTH_SAYING
        ][:MOST_TESTS]
        said = words.get(str(answer.value), f"around {answer.value}")
        page.bullet(f"{said} ({about(answer.chance)} of the time): {'; '.join(moved) or 'hardly any change'}", 3)
    if phase != "safety":
        known = f"{about(worth.answerable)} to be known"
        page.line(f"It tells about {worth.bits:.2f} bits; {_of_checks(worth)}{known}.", indent=3)
    if feeds.signs:
        page.line(f"Signs it settles: {'; '.join(feeds.signs)}.", indent=3)
    if feeds.rules:
        more = f"; and {len(feeds.rules) - MOST_RULES} more" if len(feeds.rules) > MOST_RULES else ""
        page.line(f"Rules it feeds: {'; '.join(feeds.rules[:MOST_RULES])}{more}.", indent=3)


def _of_checks(worth: Worth) -> str:
    return "it may bring a likely cause nearer to firm; " if worth.firm_bits > 0 else ""


def show_behind(opinion: AreaOpinion, page: Page) -> None:
    """The reason behind the reason: what stands open, and what keeps it open."""
    likely = [
        f"{cause.title} ({about(cause.probability)})" for cause in opinion.causes if cause.probability >= WORTH_NAMING
    ]
    page.line(f"Kept open are {list_words(likely) or 'all causes alike'}.", indent=3)
    for reason in opinion.why_not_determined[:MOST_RULES]:
        page.bullet(f"not determined: {reason}", 3)


def show_shifts(shifts: Sequence[Shift], page: Page, *, least: float = WORTH_SAYING, most: int = 4) -> bool:
    """How beliefs move, the largest first; False, and nothing printed, where none moves by ``least``."""
    moved = [shift for shift in shifts if abs(shift.after - shift.before) >= least][:most]
    for shift in moved:
        page.bullet(f"{shift.title}: from {about(shift.before)} to {about(shift.after)}", 3)
    return bool(moved)


def show_determined(opinion: AreaOpinion, page: Page) -> None:
    """That an answer has settled the matter, and what going on is good for; nothing where it has not."""
    if opinion.determined:
        page.line(_determined(opinion), indent=3)
        page.line("What follows looks for a further cause and for what speaks against it; save leaves.", indent=3)


def _determined(opinion: AreaOpinion) -> str:
    if not opinion.determined:
        return "Not determined."
    if opinion.level == "cause":
        titles = {cause.id: cause.title for cause in opinion.causes}
        return f"Determined: {list_words([titles[cause] for cause in opinion.leading])}."
    named = list_words([name.replace("-", " ") for name in opinion.leading_mechanisms])
    return f"Determined: {named}; by which route is not."


def show_so_far(opinion: AreaOpinion, page: Page) -> None:
    """The opinion as it stands, in short."""
    if opinion.cautions:
        page.line(f"Cautions: {list_words([caution.title for caution in opinion.cautions])}.", indent=3)
    page.line(_determined(opinion), indent=3)
    shown = sorted(opinion.causes, key=lambda cause: (-cause.probability, cause.id))[:MOST_CAUSES]
    for cause in shown:
        if cause.probability >= WORTH_NAMING:
            page.bullet(f"{cause.title}: {cause.words} ({about(cause.probability)})", 3)
    for reason in opinion.why_not_determined[:MOST_TESTS]:
        page.bullet(f"because {reason}", 3)


def show_topics(rulebook: Rulebook, standings: Mapping[str, Standing], page: Page) -> None:
    """Every topic with how many of its questions are answered, open and left."""
    for topic in rulebook.topics.values():
        mine = [standings[q.id] for q in rulebook.questions.values() if q.topic == topic.id]
        if mine:
            counts = [
                f"{mine.count(Standing.ANSWERED)} answered",
                f"{mine.count(Standing.OPEN) + mine.count(Standing.WAITING)} open",
                f"{mine.count(Standing.LEFT)} not known",
            ]
            page.bullet(f"{topic.id}: {', '.join(counts)}", 3)


def show_list(
    rulebook: Rulebook,
    standings: Mapping[str, Standing],
    recorded: Mapping[str, str],
    later: Iterable[str],
    topic: str | None,
    page: Page,
) -> None:
    """What is answered, what is left, what is put off; of one topic also what is open."""
    put_off = set(later)
    for name, question in rulebook.questions.items():
        if topic is not None and question.topic != topic:
            continue
        standing = standings[name]
        if name in recorded:
            kept = " (kept, but its question no longer applies)" if standing is Standing.NOT_APPLICABLE else ""
            mark = " (put off)" if name in put_off else kept
            page.bullet(f"{name}: {recorded[name]}{mark}", 3)
        elif name in put_off:
            page.bullet(f"{name}: put off", 3)
        elif topic is not None and standing in (Standing.OPEN, Standing.WAITING):
            page.bullet(f"{name}: open", 3)


def show_end(found: Next, opinion: AreaOpinion, rulebook: Rulebook, open_points: Sequence[str], page: Page) -> None:
    """Why asking stops, the opinion, what would change the picture, and what is left open."""
    page.line()
    if found.best is None:
        page.line(f"{opinion.title}: nothing is left to ask.")
    else:
        title = rulebook.questions[found.best.question].title
        settled = found.best.expected >= rulebook.parameter("worth-asking-quick")
        why = (
            "quick asking stops where the matter is determined"
            if settled
            else "further questions would hardly tell more"
        )
        page.line(
            f"{opinion.title}: {why}. Of the {found.open_questions} still open the best ({title}) would tell "
            f"{found.best.expected:.3f} bits, its chance of an answer counted."
        )
    show_so_far(opinion, page)
    tests = [step for step in opinion.steps if step.kind == "test"][:MOST_TESTS]
    if tests:
        page.line("What would change it:", indent=3)
    for step in tests:
        page.bullet(f"{step.title}: {step.purpose}", 3)
    if open_points:
        more = f"; and {len(open_points) - MOST_OPEN} more, which list shows" if len(open_points) > MOST_OPEN else ""
        page.line(f"Left open, first what would tell most: {'; '.join(open_points[:MOST_OPEN])}{more}.", indent=3)
