"""What each command at a prompt does."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from cli.interview.loop import Go
from cli.interview.measuring import take_air, take_dry, take_readings, take_surface_temperature
from cli.interview.understanding import Command, Misunderstood, understand
from cli.views import interview as view
from cli.views.phrases import list_words
from engine.errors import nearest
from engine.inquiry.reasons import feeds
from engine.inquiry.session import Answer

if TYPE_CHECKING:
    from cli.interview.loop import Interview
    from engine.rulebook.models import Question

Doing = Callable[["Interview", "Question", str], Go | None]


def perform(interview: Interview, question: Question, command: Command) -> Go | None:
    """Carry out a command; what follows it."""
    return _DOING[command.name](interview, question, command.rest)


def _why(interview: Interview, question: Question, rest: str) -> Go:
    """First what the answers would tell; asked again, what keeps the matter open; then how one reasons there."""
    session, page = interview.session, interview.page
    interview.whys += 1
    if interview.whys == 1:
        answers = session.agenda.appraiser.answers
        titles = {cause.id: cause.title for cause in session.rulebook.causes.values()}
        worth = session.appraise(question.id)
        view.show_why(
            question, worth, session.state.beliefs, titles, feeds(answers, question.id), interview.phase, page
        )
    elif interview.whys == 2:
        view.show_behind(session.opinion(), page)
    else:
        topic = session.rulebook.topics[question.topic]
        page.line(f"{topic.title}. {topic.account}", indent=3)
    return Go.STAY


def _how(interview: Interview, question: Question, rest: str) -> Go:
    interview.page.line(question.how, indent=3)
    return Go.STAY


def _back(interview: Interview, question: Question, rest: str) -> Go:
    earlier = interview.asked
    if question.id in earlier:
        earlier = earlier[: earlier.index(question.id)]
    if not earlier:
        interview.page.line("There is no question before this one in this session. change NAME takes any.", indent=3)
        return Go.STAY
    interview.forced += [question.id, earlier[-1]]
    return Go.ON


def _change(interview: Interview, question: Question, rest: str) -> Go:
    name = _named(interview, rest)
    if name is None:
        return Go.STAY
    interview.forced += [question.id, name]
    return Go.ON


def _named(interview: Interview, rest: str) -> str | None:
    """The question that a text names: its id, the beginning of one, or the number at which it was asked."""
    questions = interview.session.rulebook.questions
    said = "-".join(rest.lower().split())
    if said in questions:
        return said
    begun = [name for name in questions if said and name.startswith(said)]
    answered = [name for name in begun if interview.session.recorded(name) is not None]
    for names in (begun, answered):
        if len(names) == 1:
            return names[0]
    if begun:
        interview.page.line(f"{rest} could be {list_words(begun[:8])}.", indent=3)
    else:
        close = nearest(said[:64], questions)
        hint = f" Did you mean {close}?" if close else " list shows the names."
        interview.page.line(
            f"There is no question {rest!r}.{hint}" if rest else "Name a question; list shows them.", indent=3
        )
    return None


def _list(interview: Interview, question: Question, rest: str) -> Go:
    session = interview.session
    topic = rest.lower() if rest.lower() in session.rulebook.topics else None
    if rest and topic is None:
        interview.page.line(f"There is no topic {rest!r}; topics shows them.", indent=3)
        return Go.STAY
    recorded = {}
    for name in session.rulebook.questions:
        fact = session.recorded(name)
        if fact is not None:
            recorded[name] = interview.in_words(fact)
    view.show_list(session.rulebook, session.standings(), recorded, session.later, topic, interview.page)
    if not recorded:
        interview.page.line("Nothing is answered yet.", indent=3)
    return Go.STAY


def _so_far(interview: Interview, question: Question, rest: str) -> Go:
    view.show_so_far(interview.session.opinion(), interview.page)
    return Go.STAY


def _what_if(interview: Interview, question: Question, rest: str) -> Go:
    meant = understand(rest, question) if rest else Misunderstood("Say what: what if ANSWER.")
    if isinstance(meant, Misunderstood):
        interview.page.line(meant.message, indent=3)
    elif isinstance(meant, Command):
        interview.page.line("what if takes an answer to this question.", indent=3)
    elif not view.show_shifts(interview.session.what_if(question.id, meant), interview.page):
        interview.page.line("It would change hardly anything.", indent=3)
    return Go.STAY


def _note(interview: Interview, question: Question, rest: str) -> Go:
    recorded = interview.session.recorded(question.id)
    if not rest:
        interview.page.line("note TEXT keeps a remark on this question, also where it stays unknown.", indent=3)
        return Go.STAY
    fact = recorded or {}
    answer = Answer(fact.get("value", "unknown"), str(fact.get("sureness", "certain")), rest)
    if recorded is None:
        interview.page.line("Kept with the answer unknown until there is one.", indent=3)
    if interview.record(question, answer, recorded, "a note"):
        if answer.value == "unknown":
            interview.session.noted.add(question.id)
        interview.forced.append(question.id)
        return Go.ON
    return Go.STAY


def _later(interview: Interview, question: Question, rest: str) -> Go:
    try:
        interview.session.put_off(question.id)
    except OSError as fault:
        interview.page.line(f"Put off for this session only: {fault.strerror or fault}.", indent=3)
    return Go.ON


def _topics(interview: Interview, question: Question, rest: str) -> Go:
    view.show_topics(interview.session.rulebook, interview.session.standings(), interview.page)
    return Go.STAY


def _open(interview: Interview, question: Question, rest: str) -> Go:
    topics = interview.session.rulebook.topics
    said = "-".join(rest.lower().split())
    if said == "any":
        interview.session.open_topic(None)
        interview.forced.clear()
        return Go.ON
    begun = [name for name in topics if said and name.startswith(said)]
    if len(begun) != 1:
        listed = list_words(list(topics))
        interview.page.line(f"open takes one of {listed}; open any goes back to what tells most.", indent=3)
        return Go.STAY
    interview.session.open_topic(begun[0])
    if interview.phase == "safety":
        interview.page.line(f"Safety first, then {topics[begun[0]].title.lower()}.", indent=3)
    interview.forced.clear()
    return Go.ON


def _area(interview: Interview, question: Question, rest: str) -> Go:
    areas = {area.id: area.title for area in interview.session.case.areas}
    said = "-".join(rest.lower().split())
    begun = [said] if said in areas else [name for name in areas if said and name.startswith(said)]
    if len(begun) != 1:
        listed = list_words([f"{name} ({title})" for name, title in areas.items()])
        interview.page.line(f"area takes one of {listed}.", indent=3)
        return Go.STAY
    interview.session.turn_to(begun[0])
    interview.forced.clear()
    interview.page.line(f"Now {areas[begun[0]]}.", indent=3)
    return Go.ON


def _leave(interview: Interview, question: Question, rest: str) -> Go:
    return Go.LEAVE


def _help(interview: Interview, question: Question, rest: str) -> Go:
    view.show_help(interview.page)
    return Go.STAY


_DOING: dict[str, Doing] = {
    "why": _why,
    "how": _how,
    "back": _back,
    "change": _change,
    "list": _list,
    "so far": _so_far,
    "what if": _what_if,
    "note": _note,
    "later": _later,
    "topics": _topics,
    "open": _open,
    "area": _area,
    "readings": take_readings,
    "dry": take_dry,
    "air": take_air,
    "surface": take_surface_temperature,
    "save": _leave,
    "stop": _leave,
    "help": _help,
}
