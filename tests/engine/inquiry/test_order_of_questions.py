"""The order of the questions, and when asking stops."""

from __future__ import annotations

import pytest

from engine.inquiry.applying import Standing


def played(agenda, knowledge, answers, facts, **options):
    """Every question in the order asked, with its phase, of an answerer who knows some answers."""
    left, topic, asked = set(), None, []
    facts = dict(facts)
    while True:
        state = knowledge.weighed(facts)
        found = agenda.next(state, agenda.standings(state, left), left, topic=topic, **options)
        if found.question is None:
            return asked, found
        assert found.question not in [name for name, _ in asked], "asked twice"
        asked.append((found.question, found.phase))
        if found.phase == "weighing":
            topic = agenda.rulebook.questions[found.question].topic
        if found.question in answers:
            facts[found.question] = answers[found.question]
        else:
            left.add(found.question)


@pytest.fixture(scope="module")
def session(agenda, knowledge, full, bare, rulebook):
    answers = {name: fact for name, fact in full.facts.items() if name in rulebook.questions}
    return played(agenda, knowledge, answers, bare.facts)


def test_safety_comes_first(session, agenda):
    phases = [phase for _, phase in session[0]]
    count = phases.count("safety")
    assert count
    assert phases[:count] == ["safety"] * count
    assert {name for name, phase in session[0] if phase == "safety"} <= set(agenda.safety)


def test_what_may_rule_something_out_comes_next(session):
    phases = [phase for _, phase in session[0] if phase != "safety"]
    assert phases[0] == "excluding"


def test_asking_stops_and_nothing_that_remains_is_worth_much(session, agenda):
    asked, found = session
    assert found.phase == "done"
    assert found.open_questions > 0
    assert found.best.expected < agenda.rulebook.parameter("worth-asking-full")
    assert len(asked) < len(agenda.rulebook.questions) / 2


def test_quick_depth_asks_fewer_and_nothing_dear(agenda, knowledge, full, bare, rulebook, session):
    answers = {name: fact for name, fact in full.facts.items() if name in rulebook.questions}
    asked, _ = played(agenda, knowledge, answers, bare.facts, depth="quick")
    assert len(asked) < len(session[0])
    weighed = [name for name, phase in asked if phase == "weighing"]
    assert all(rulebook.questions[name].effort in ("ask", "look", "meter") for name in weighed)


def test_a_topic_is_kept_to_until_another_is_worth_clearly_more(agenda, bare, rulebook):
    left = frozenset(agenda.safety)
    state, standings = bare, dict(agenda.standings(bare, left))
    standings |= dict.fromkeys(agenda.excluding, Standing.LEFT)
    best = agenda.next(state, standings, left)
    rates = {}
    for topic in rulebook.topics:
        found = agenda.next(state, standings, left, topic=topic)
        rates[topic] = (found.worth.rate, rulebook.questions[found.question].topic)
    factor = rulebook.parameter("topic-left-at")
    for topic, (rate, chosen) in rates.items():
        assert chosen == topic or rate == pytest.approx(best.worth.rate)
        assert rate * factor >= best.worth.rate * 0.999


def test_an_opened_topic_is_asked_until_nothing_in_it_is_open(agenda, bare, rulebook):
    left = frozenset(agenda.safety)
    found = agenda.next(bare, agenda.standings(bare, left), left, topic="timber", opened=True)
    assert rulebook.questions[found.question].topic == "timber"


def test_what_is_put_off_is_not_asked(agenda, bare):
    left = frozenset(agenda.safety)
    standings = agenda.standings(bare, left)
    first = agenda.next(bare, standings, left).question
    assert agenda.next(bare, standings, left, later={first}).question != first


def test_a_question_that_does_not_apply_is_never_asked_and_one_that_may_waits(agenda, knowledge, rulebook):
    from engine.inference.facts import Fact

    unknown = knowledge.weighed({})
    upstairs = knowledge.weighed({"storey": Fact("storey", "upper-floor")})
    before, after = agenda.standings(unknown, frozenset()), agenda.standings(upstairs, frozenset())
    assert before["dpc-injection-holes"] is Standing.WAITING
    assert after["dpc-injection-holes"] is Standing.NOT_APPLICABLE
    nobody_knows = agenda.standings(unknown, frozenset({"storey"}))
    assert nobody_knows["dpc-injection-holes"] is Standing.OPEN
